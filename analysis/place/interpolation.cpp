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
  if (apart(a, b) > kWidestGapM) return std::nullopt;
  const double share = static_cast<double>(number - below->number) / (above->number - below->number);
  return BetweenPlace{{a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)}, below->row, above->row};
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
  return RangePlace{placeAlong(line, shareAlong(best->range, number.number), best->left, kOffsetM, kInsetM), best->row, best_parity};
}

void measureUncertainty(IndexData& index) {
  std::vector<double> between;
  std::vector<double> on_range;
  std::vector<double> spacing;
  const std::size_t every = std::max<std::size_t>(1, index.points.size() / kHeldOut);
  for (const Street& street : index.streets) {
    for (std::size_t i = 0; i < street.points.size(); ++i) {
      const NumberedPoint& p = street.points[i];
      if (p.row % every != 0) continue;
      const Point truth = index.points.position[p.row];
      if (const auto placed = placeBetween(index, street, p.number, p.row)) {
        between.push_back(apart(placed->position, truth));
        spacing.push_back(apart(index.points.position[placed->below], truth) / 2);
      }
      if (const auto placed = placeOnRange(index, street, {"", p.number, p.number, ""}); placed && placed->parity_agrees) {
        on_range.push_back(apart(placed->position, truth));
      }
    }
  }
  if (between.size() >= kFewest) index.uncertainty.between_m = quantile(between, 0.95);
  if (on_range.size() >= kFewest) index.uncertainty.range_m = quantile(on_range, 0.95);
  // A point is as exact as it tells one premises from the next: half the usual way to the neighbour.
  if (spacing.size() >= kFewest) index.uncertainty.point_m = std::clamp(quantile(spacing, 0.5), 5.0, 30.0);
}

}  // namespace leeward::analysis
