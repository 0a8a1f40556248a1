#include "analysis/overlay/locate.h"

#include <cmath>
#include <numbers>

#include <boost/math/special_functions/owens_t.hpp>

#include "shared/geo/overlay.h"

namespace leeward::analysis {
namespace {

constexpr double kLeastChance = 1e-9;
/// Beyond this many standard deviations lies less than kLeastChance: exp(-6.5^2 / 2) = 6.7e-10.
constexpr double kReach = 6.5;
/// Chances that differ by less are ties: their sums of edges round differently.
constexpr double kTie = 1e-12;

/// Mass of the standard normal over the wedge between the foot of the perpendicular (length h, from the centre to a line)
/// and the point t * h further along the line.
double wedgeMass(double h, double t) { return std::atan(t) / (2 * std::numbers::pi) - boost::math::owens_t(h, t); }

/// Signed mass over the triangle (0, a, b): positive if a to b runs counter-clockwise about the centre.
double triangleMass(Point a, Point b) {
  const double cross = a.x * b.y - a.y * b.x;
  const double dx = b.x - a.x;
  const double dy = b.y - a.y;
  const double length = std::hypot(dx, dy);
  if (cross == 0 || length == 0) return 0;
  const double h = std::abs(cross) / length;
  const double along_a = (a.x * dx + a.y * dy) / length;
  const double along_b = (b.x * dx + b.y * dy) / length;
  // A centre on the line to within rounding: the triangle has no mass, and the quotients below would overflow.
  if (h < 1e-300) return 0;
  const double mass = wedgeMass(h, along_b / h) - wedgeMass(h, along_a / h);
  return cross > 0 ? mass : -mass;
}

double signedArea2(std::span<const Point> ring) {
  double sum = 0;
  for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
    sum += (ring[i].x - ring[0].x) * (ring[i + 1].y - ring[0].y) - (ring[i + 1].x - ring[0].x) * (ring[i].y - ring[0].y);
  }
  return sum;
}

std::int32_t containingArea(const BoxIndex& index, const Geometries& areas, Point p) {
  Bbox box;
  box.add(p);
  for (const auto row : index.meeting(box)) {
    if (areas.kind(row) == GeometryKind::Areas && contains(areas, row, p)) return static_cast<std::int32_t>(row);
  }
  return -1;
}

Located likeliestAreas(const BoxIndex& index, const Geometries& areas, Point p, double sigma) {
  Bbox box;
  box.add(p);
  Located located;
  for (const auto row : index.meeting(box.grownBy(kReach * sigma))) {
    if (areas.kind(row) != GeometryKind::Areas) continue;
    const double chance = normalMass(areas, row, p, sigma);
    if (chance < kLeastChance) continue;
    if (chance > located.chance + kTie) {
      located.second = located.area;
      located.second_chance = located.chance;
      located.area = static_cast<std::int32_t>(row);
      located.chance = chance;
    } else if (chance > located.second_chance + kTie) {
      located.second = static_cast<std::int32_t>(row);
      located.second_chance = chance;
    }
  }
  return located;
}

}  // namespace

double normalMass(const Geometries& areas, std::size_t row, Point center, double sigma) {
  double mass = 0;
  for (std::size_t path = 0; path < areas.paths(row); ++path) {
    const auto ring = areas.path(row, path);
    double of_ring = 0;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      of_ring += triangleMass({(ring[i].x - center.x) / sigma, (ring[i].y - center.y) / sigma},
                              {(ring[i + 1].x - center.x) / sigma, (ring[i + 1].y - center.y) / sigma});
    }
    if (signedArea2(ring) < 0) of_ring = -of_ring;
    mass += areas.isHole(row, path) ? -of_ring : of_ring;
  }
  return std::clamp(mass, 0.0, 1.0);
}

Result<std::vector<Located>> locate(std::span<const Point> points, std::span<const double> uncertainty_m, const Geometries& areas,
                                    Progress& progress) {
  if (!uncertainty_m.empty() && uncertainty_m.size() != points.size()) {
    return Problem{ProblemCode::InvalidArgument, "there must be one uncertainty a point", "", ""};
  }
  for (std::size_t row = 0; row < uncertainty_m.size(); ++row) {
    if (uncertainty_m[row] < 0 || std::isinf(uncertainty_m[row])) {
      return Problem{ProblemCode::InvalidArgument, "an uncertainty is negative or has no end", fmt::format("row {}", row + 1),
                     "Give metres, 0 or more, or leave it empty"};
    }
  }
  std::vector<Located> located(points.size());
  const BoxIndex index(areas);
  const auto work = [&](std::size_t begin, std::size_t end) {
    for (std::size_t row = begin; row < end; ++row) {
      if (!std::isfinite(points[row].x) || !std::isfinite(points[row].y)) continue;
      if (!uncertainty_m.empty() && uncertainty_m[row] > 0) {
        located[row] = likeliestAreas(index, areas, points[row], uncertainty_m[row]);
      } else if (const auto area = containingArea(index, areas, points[row]); area >= 0) {
        located[row].area = area;
        located[row].chance = 1;
      }
    }
  };
  LEEWARD_TRY(progress.parallelFor(points.size(), 512, work));
  return located;
}

}  // namespace leeward::analysis
