#include "analysis/overlay/bordering_streets.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <numbers>
#include <unordered_map>
#include <utility>

#include "analysis/overlay/locate.h"

namespace leeward::analysis {
namespace {

/// One place along a street; its two sides are rows 2 i and 2 i + 1 of the points.
struct StreetSample {
  std::size_t name = 0;
  double length = 0;  ///< of the street that it stands for
};

struct Samples {
  std::vector<StreetSample> samples;
  std::vector<Point> sides;
};

void samplePath(std::span<const Point> line, std::size_t name, const BorderingRequest& request, Samples& out) {
  double whole = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) whole += std::hypot(line[i + 1].x - line[i].x, line[i + 1].y - line[i].y);
  if (!(whole > 0) || !std::isfinite(whole)) return;
  const auto count = static_cast<std::size_t>(std::max(1.0, std::floor(whole / request.step_m)));
  const double each = whole / static_cast<double>(count);
  double at = each / 2, walked = 0;
  std::size_t placed = 0;
  for (std::size_t i = 0; i + 1 < line.size() && placed < count; ++i) {
    const double dx = line[i + 1].x - line[i].x, dy = line[i + 1].y - line[i].y, length = std::hypot(dx, dy);
    for (; placed < count && length > 0 && at <= walked + length; at += each, ++placed) {
      const double along = (at - walked) / length;
      const Point middle{line[i].x + along * dx, line[i].y + along * dy};
      const double off_x = -dy / length * request.beside_m, off_y = dx / length * request.beside_m;
      out.samples.push_back({name, each});
      out.sides.push_back({middle.x + off_x, middle.y + off_y});
      out.sides.push_back({middle.x - off_x, middle.y - off_y});
    }
    walked += length;
  }
}

/// How much of a street runs along an area, and where.
struct Side {
  double beside = 0, inside = 0;
  double sum_x = 0, sum_y = 0;  ///< of the sampled places, weighted by length

  double weight() const { return beside + inside; }
};

/// 0 at north, growing clockwise to 2 pi.
double bearing(Point from, const Side& side) {
  const double angle = std::atan2(side.sum_x / side.weight() - from.x, side.sum_y / side.weight() - from.y);
  return angle < 0 ? angle + 2 * std::numbers::pi : angle;
}

/// The names worth naming, in their order around the box's centre.
std::vector<std::size_t> chosenNames(const std::map<std::size_t, Side>& sides, Point centre, const BorderingRequest& request) {
  double beside = 0, inside = 0;
  for (const auto& [name, side] : sides) beside += side.beside, inside += side.inside;
  const bool by_border = beside > 0;
  const auto length = [&](const Side& side) { return by_border ? side.beside : side.inside; };
  std::vector<std::pair<std::size_t, const Side*>> kept;
  for (const auto& [name, side] : sides) {
    if (length(side) > 0 && length(side) >= request.least_share * (by_border ? beside : inside)) kept.emplace_back(name, &side);
  }
  std::ranges::stable_sort(kept, [&](const auto& a, const auto& b) { return length(*a.second) > length(*b.second); });
  if (kept.size() > request.most) kept.resize(request.most);
  std::ranges::stable_sort(kept, [&](const auto& a, const auto& b) { return bearing(centre, *a.second) < bearing(centre, *b.second); });
  std::vector<std::size_t> names;
  for (const auto& [name, side] : kept) names.push_back(name);
  return names;
}

Result<void> checkRequest(std::size_t names, std::size_t rows, const BorderingRequest& request) {
  if (names != rows) return Problem{ProblemCode::InvalidArgument, "there must be one name a street", "", ""};
  if (!(request.step_m > 0) || !(request.beside_m > 0) || !(request.least_share >= 0 && request.least_share <= 1)) {
    return Problem{ProblemCode::InvalidArgument, "steps along streets and to their sides must be above 0, and the least share from 0 to 1", "", ""};
  }
  return {};
}

}  // namespace

Result<std::vector<std::vector<std::string>>> borderingStreets(const Geometries& areas, const Geometries& streets, std::span<const std::string> names,
                                                               const BorderingRequest& request, Progress& progress) {
  LEEWARD_TRY(checkRequest(names.size(), streets.size(), request));
  std::vector<std::string> name_of;
  std::unordered_map<std::string, std::size_t> number_of;
  Samples along;
  for (std::size_t row = 0; row < streets.size(); ++row) {
    if (names[row].empty() || streets.kind(row) != GeometryKind::Lines) continue;
    const auto [it, fresh] = number_of.emplace(names[row], name_of.size());
    if (fresh) name_of.push_back(names[row]);
    for (std::size_t path = 0; path < streets.paths(row); ++path) samplePath(streets.path(row, path), it->second, request, along);
  }
  LEEWARD_ASSIGN(located, locate(along.sides, {}, areas, progress));
  std::vector<std::map<std::size_t, Side>> sides(areas.size());
  for (std::size_t i = 0; i < along.samples.size(); ++i) {
    const auto& [name, length] = along.samples[i];
    const bool within = located[2 * i].area == located[2 * i + 1].area;
    for (const std::size_t at : {2 * i, 2 * i + 1}) {
      if (located[at].area < 0) continue;
      Side& side = sides[static_cast<std::size_t>(located[at].area)][name];
      (within ? side.inside : side.beside) += length;
      side.sum_x += length * along.sides[at].x;
      side.sum_y += length * along.sides[at].y;
    }
  }
  std::vector<std::vector<std::string>> bordering(areas.size());
  for (std::size_t area = 0; area < areas.size(); ++area) {
    for (const std::size_t name : chosenNames(sides[area], areas.bbox(area).center(), request)) bordering[area].push_back(name_of[name]);
  }
  return bordering;
}

}  // namespace leeward::analysis
