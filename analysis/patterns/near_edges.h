#pragma once
/// Which edges of different areas come within a distance of each other, and how far they run side by side.
#include <cstdint>
#include <span>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// An edge, or (both ends the same) a corner.
struct BorderPiece {
  Point a, b;
  std::uint32_t row = 0;
  std::uint32_t edge = 0;  ///< tells pieces of one row apart
  bool known = false;      ///< already joined end for end with another area: not compared with others that are
  bool isCorner() const { return a == b; }
};

/// Two rows, first < second, and how near they come.
struct NearRows {
  std::uint32_t first = 0, second = 0;
  bool meet = false;     ///< within `exact` of each other, else only within `within`
  double run = 0;        ///< length of the first row's edges within `within` of the second's
  double exact_run = 0;  ///< the same within `exact`
};

/// A coarse picture of where edges lie that are not known: others, away from it, need not be looked at.
class RoughPicture {
 public:
  /// Of the pieces that are neither known nor corners, each grown by `within`.
  RoughPicture(std::span<const BorderPiece> pieces, double within);
  /// Whether some may come within reach of the box of a-b; false if there are none.
  bool mayMeet(Point a, Point b) const;

 private:
  static constexpr std::size_t kSide = 1024;
  template <class Call>
  bool overCells(const Bbox& box, const Call& call) const;
  Bbox box_;
  double cell_ = 1;
  std::vector<bool> marks_;
};

/// The part of the edge a-b that lies within `distance` of the segment c-d, as lengths from a; end < begin if there is none.
struct Stretch {
  double begin = 0, end = -1;
};
Stretch stretchNear(Point a, Point b, Point c, Point d, double distance);

/// Pairs of rows of which two pieces lie within `within` of each other, ordered; runs are measured only if asked for. Corners are not
/// compared with known edges. 0 < exact <= within. Cancelled.
Result<std::vector<NearRows>> nearRows(std::span<const BorderPiece> pieces, double within, double exact, bool measure, Progress& progress);

}  // namespace leeward::analysis
