#pragma once
/// Plane geometry on Geometries: measures by our own formulas, overlays by GEOS. Everything here works in
/// the plane of its coordinates; give it a CRS that is true to scale (Crs::isTrueToScaleAt) and the results
/// are in square metres and metres.
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward {

double areaOf(const Geometries& areas, std::size_t row);             ///< holes taken off; >= 0
double lengthOf(const Geometries& lines, std::size_t row);
Point centroidOf(const Geometries& geometry, std::size_t row);       ///< area-, length- or point-weighted
Point pointInside(const Geometries& areas, std::size_t row);         ///< surely inside (GEOS point on surface)
/// Boundary counts as inside. Even-odd over all rings, so holes are outside.
bool contains(const Geometries& areas, std::size_t row, Point p);
double distanceToPath(std::span<const Point> path, Point p);
/// The point at `share` (0..1) of the length of a path, moved `offset` to its left (negative: right).
Point alongPath(std::span<const Point> path, double share, double offset = 0);

/// Boxes of all rows in a static packed tree: rows whose box meets a box, ascending.
class BoxIndex {
 public:
  explicit BoxIndex(const Geometries& geometry);
  ~BoxIndex();
  BoxIndex(BoxIndex&&) noexcept;
  BoxIndex& operator=(BoxIndex&&) noexcept;
  std::vector<std::size_t> meeting(const Bbox& box) const;  ///< safe from several threads

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

struct OverlapPair {
  std::size_t from = 0;  ///< row of the first store
  std::size_t to = 0;    ///< row of the second store
  double area = 0;       ///< of the intersection, > 0
};
/// All overlapping pairs of areas, ordered by (from, to). Rows that aren't valid areas are repaired first
/// (see repairAreas). Cancelled if stopped.
Result<std::vector<OverlapPair>> overlaps(const Geometries& from, const Geometries& to, Progress& progress);

struct RepairNote {
  std::size_t row = 0;
  std::string what;  ///< "the outline crosses itself", "a ring is not closed", "empty" ...
};
/// Makes every area valid (rings cleaned as clean_rings.h says, then GEOS MakeValid, structure method) with rings wound as Geometries
/// says; notes say what was changed, several a row if need be. A row of which nothing is left becomes kind None.
Geometries repairAreas(const Geometries& areas, std::vector<RepairNote>& notes);
/// Pairs of areas of one layer that lie over each other by more than `share` of the smaller one, first < second: neighbours that only touch
/// don't count. Nothing is changed.
Result<std::vector<OverlapPair>> overlappingNeighbours(const Geometries& areas, double share, Progress& progress);
/// Rows that are slivers: thinner than a strip of one to a hundred or so (4 pi area / outline^2 under 0.01) and under a hundredth of
/// the median area. Our own rule.
std::vector<std::size_t> slivers(const Geometries& areas);
/// Rows merged into one area (dissolve), e.g. blocks to a study outline.
Geometries unionOf(const Geometries& areas, const std::vector<std::size_t>& rows);
/// Convex hull of points as an area row; a point or line where the points are degenerate.
Geometries convexHull(std::span<const Point> points);
/// Simplified copy that keeps shared edges shared (for drawing): corners farther than `tolerance` (in the CRS's unit) from the
/// simpler line stay (Douglas & Peucker 1973), and so do those where three areas meet. A part that would vanish keeps its outline,
/// a hole that would is left out. Outlines can cross where areas are narrower than the tolerance.
Geometries simplifiedCoverage(const Geometries& areas, double tolerance);

}  // namespace leeward
