/// Places for numbers that are no known point, and how far off such places are: measured on points held out.
#include <cmath>

#include "analysis/place/index_data.h"

namespace leeward::analysis {
namespace {

constexpr int kWidestGap = 60;            ///< numbers between two known points; beyond, the range is the better guide
constexpr double kWidestGapM = 250;
constexpr double kOffsetM = 10;           ///< from the line to a door: common practice, no published source
constexpr double kInsetM = 8;             ///< kept free at corners: common practice, no published source
constexpr std::size_t kHeldOut = 3000;    ///< points tried, evenly through the file
constexpr std::size_t kFewest = 30;       ///< below, the default stands

double apart(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

double quantile(std::vector<double>& values, double share) {
  const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(at), values.end());
  return values[at];
}

double pathLength(std::span<const Point> path) {
  double length = 0;
  for (std::size_t i = 1; i < path.size(); ++i) length += apart(path[i - 1], path[i]);
  return length;
}

struct HeldOut {
  double stretch_m = 0;
  double off_m = 0;
};

double offQuantile(std::span<const HeldOut> tried, double share, double from_m, double to_m, double otherwise) {
  std::vector<double> off;
  for (const HeldOut& one : tried) {
    if (one.stretch_m > from_m && one.stretch_m <= to_m) off.push_back(one.off_m);
  }
  return off.size() < kFewest ? otherwise : quantile(off, share);
}

/// The radius of each class of stretches; of a class in which few were tried, the one of all.
void measure(std::span<const HeldOut> tried, StretchRadius& out) {
  constexpr double kAny = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < out.radius_m.size(); ++i) {
    const double of_all = offQuantile(tried, 0.95, -1, kAny, out.radius_m[i]);
    out.radius_m[i] = offQuantile(tried, 0.95, i == 0 ? -1 : StretchRadius::kUpToM[i - 1], StretchRadius::kUpToM[i], of_all);
  }
}

}  // namespace

std::optional<BetweenPlace> placeBetween(const IndexData& index, const Street& street, int number, std::uint32_t without_row) {
  const auto at = std::lower_bound(street.points.begin(), street.points.end(), number,
                                   [](const NumberedPoint& p, int n) { return p.number < n; });
  const auto fits = [&](const NumberedPoint& p) {
    return p.row != without_row && p.number != number && (p.number - number) % 2 == 0 && std::abs(p.number - number) <= kWidestGap;
  };
  auto above = at;
  while (above != street.points.end() && above->number - number <= kWidestGap && !fits(*above)) ++above;
  if (above == street.points.end() || !fits(*above)) return std::nullopt;
  auto below = at;
  while (below != street.points.begin()) {
    --below;
    if (fits(*below)) break;
    if (number - below->number > kWidestGap) return std::nullopt;
  }
  if (below == street.points.end() || !fits(*below) || below->number > number) return std::nullopt;
  if (above->number - below->number > kWidestGap) return std::nullopt;
  const Point a = index.points.position[below->row];
  const Point b = index.points.position[above->row];
  const double stretch_m = apart(a, b);
  if (stretch_m > kWidestGapM) return std::nullopt;
  const double share = static_cast<double>(number - below->number) / (above->number - below->number);
  return BetweenPlace{{a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)}, below->row, above->row, stretch_m};
}

std::optional<RangePlace> placeOnRange(const IndexData& index, const Street& street, const HouseNumber& number) {
  const StreetSide* best = nullptr;
  bool best_parity = false;
  for (const StreetSide& side : street.sides) {
    bool parity = false;
    if (!inside(side.range, number, &parity)) continue;
    const auto width = [](const StreetSide& s) { return std::abs(s.range.to - s.range.from); };
    const bool better = best == nullptr || (parity && !best_parity) || (parity == best_parity && width(side) < width(*best));
    if (!better) continue;
    best = &side;
    best_parity = parity;
  }
  if (best == nullptr) return std::nullopt;
  const auto line = index.ranges.lines.path(best->row, 0);
  return RangePlace{placeAlong(line, shareAlong(best->range, number.number), best->left, kOffsetM, kInsetM), best->row, best_parity, pathLength(line)};
}

void measureUncertainty(IndexData& index) {
  std::vector<HeldOut> between;
  std::vector<HeldOut> on_range;
  std::vector<double> spacing;
  const std::size_t every = std::max<std::size_t>(1, index.points.size() / kHeldOut);
  for (const Street& street : index.streets) {
    for (std::size_t i = 0; i < street.points.size(); ++i) {
      const NumberedPoint& p = street.points[i];
      if (p.row % every != 0) continue;
      const Point truth = index.points.position[p.row];
      if (const auto placed = placeBetween(index, street, p.number, p.row)) {
        between.push_back({placed->stretch_m, apart(placed->position, truth)});
        spacing.push_back(apart(index.points.position[placed->below], truth) / 2);
      }
      if (const auto placed = placeOnRange(index, street, {"", p.number, p.number, ""}); placed && placed->parity_agrees) {
        on_range.push_back({placed->stretch_m, apart(placed->position, truth)});
      }
    }
  }
  measure(between, index.uncertainty.between);
  measure(on_range, index.uncertainty.range);
  index.uncertainty.range_m = offQuantile(on_range, 0.95, -1, std::numeric_limits<double>::infinity(), index.uncertainty.range_m);
  // A point is as exact as it tells one premises from the next: half the usual way to the neighbour.
  if (spacing.size() >= kFewest) index.uncertainty.point_m = std::clamp(quantile(spacing, 0.5), 5.0, 30.0);
}

}  // namespace leeward::analysis
