#include <algorithm>
#include <cmath>
#include <map>

#include "analysis/overlay/apportion.h"
#include "shared/geo/overlay.h"

namespace leeward::analysis {
namespace {

bool isOnOutline(const Geometries& areas, std::size_t row, Point p) {
  for (std::size_t path = 0; path < areas.paths(row); ++path) {
    if (distanceToPath(areas.path(row, path), p) == 0) return true;
  }
  return false;
}

/// Rows that hold the point inside; if there is none, the first that has it on its outline.
std::vector<std::size_t> holdersOf(const BoxIndex& index, const Geometries& areas, Point p) {
  Bbox box;
  box.add(p);
  std::vector<std::size_t> inside, on_outline;
  for (const auto row : index.meeting(box)) {
    if (areas.kind(row) != GeometryKind::Areas || !contains(areas, row, p)) continue;
    (isOnOutline(areas, row, p) ? on_outline : inside).push_back(row);
  }
  if (inside.empty() && !on_outline.empty()) inside.push_back(on_outline.front());
  return inside;
}

struct Held {
  std::vector<std::size_t> from, to;
};

}  // namespace

Result<PointShares> sharesByPoints(const Geometries& from, const Geometries& to, std::span<const Point> points, Progress& progress, std::span<const double> weights) {
  if (!weights.empty() && (weights.size() != points.size() || std::ranges::any_of(weights, [](double weight) { return weight < 0 || std::isinf(weight); }))) {
    return Problem{ProblemCode::InvalidArgument, "weights of points must be as many as the points, and 0 or more", "", ""};
  }
  auto overlaying = progress.part(0, 0.5);
  LEEWARD_ASSIGN(by_area, sharesByArea(from, to, overlaying));
  const BoxIndex from_index(from), to_index(to);
  std::vector<Held> held(points.size());
  auto finding = progress.part(0.5, 1);
  LEEWARD_TRY(finding.parallelFor(points.size(), 512, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) {
      if (!std::isfinite(points[i].x) || !std::isfinite(points[i].y)) continue;
      held[i] = {holdersOf(from_index, from, points[i]), holdersOf(to_index, to, points[i])};
    }
  }));
  std::vector<double> in_source(from.size(), 0), in_targets(from.size(), 0);
  std::map<std::pair<std::size_t, std::size_t>, double> in_both;
  for (std::size_t i = 0; i < held.size(); ++i) {
    const auto& one = held[i];
    const double weight = weights.empty() ? 1 : std::isnan(weights[i]) ? 0 : weights[i];
    if (weight == 0) continue;
    for (const auto source : one.from) {
      in_source[source] += weight;
      if (!one.to.empty()) in_targets[source] += weight;
      for (const auto target : one.to) in_both[{source, target}] += weight;
    }
  }
  PointShares result;
  result.shares.target_covered = std::move(by_area.target_covered);
  std::map<std::pair<std::size_t, std::size_t>, AreaShare> pairs;
  for (const auto& share : by_area.shares) {
    auto& pair = pairs[{share.from, share.to}] = share;
    pair.weight = 0;
    if (in_source[share.from] > 0) pair.of_source = 0;
  }
  for (const auto& [key, count] : in_both) {
    auto& pair = pairs[key];  // points on a border may stand in two areas that only touch
    pair.from = key.first;
    pair.to = key.second;
    pair.weight = count;
    pair.of_source = count / in_source[key.first];
  }
  for (const auto& [key, share] : pairs) result.shares.shares.push_back(share);
  for (std::size_t row = 0; row < from.size(); ++row) {
    const bool has_points = in_source[row] > 0;
    result.shares.source_uncovered.push_back(has_points ? 1 - in_targets[row] / in_source[row] : by_area.source_uncovered[row]);
    if (!has_points && from.kind(row) == GeometryKind::Areas) ++result.sources_without_points;
  }
  return result;
}

}  // namespace leeward::analysis
