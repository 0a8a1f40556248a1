#include "importers/oddities.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace leeward::importers {
namespace {

constexpr auto kSuspects = std::to_array<double>({0, -99, 99, -99.9, 99.9, -999, 999, -999.9, 999.9, -9999, 9999, -9999.9, 9999.9,
                                                   -99999, 99999, -32768, 32767, 65535, -3.4028234663852886e38});

template <class T>
std::vector<OddConstant> find(std::span<const T> values) {
  std::vector<OddConstant> odd;
  for (const double suspect : kSuspects) {
    const T constant = static_cast<T>(suspect);
    const auto count = static_cast<std::size_t>(std::ranges::count(values, constant));
    if (count == 0) continue;
    std::vector<T> others;
    others.reserve(values.size() - count);
    for (const T value : values) {
      const bool suspicious = std::ranges::any_of(kSuspects, [&](double other) { return value == static_cast<T>(other); });
      if (!std::isnan(value) && (!suspicious || (value == 0 && suspect != 0))) others.push_back(value);
    }
    if (others.size() < 10) continue;
    const auto at = [&](double share) {
      const auto place = others.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(others.size() - 1));
      std::ranges::nth_element(others, place);
      return static_cast<double>(*place);
    };
    const double low = at(0.01);
    const double high = at(0.99);
    const double gap = std::max(low - suspect, suspect - high);
    if (gap > std::max(high - low, 1.0)) odd.push_back({suspect, count, low, high});
  }
  return odd;
}

}  // namespace

std::vector<OddConstant> oddConstants(std::span<const double> values) { return find(values); }
std::vector<OddConstant> oddConstants(std::span<const float> values) { return find(values); }

std::vector<Pile> piles(std::span<const Point> points, const std::function<std::string(std::size_t row)>& text, std::size_t least) {
  std::vector<std::size_t> order(points.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::ranges::sort(order, [&](std::size_t a, std::size_t b) {
    return std::tie(points[a].x, points[a].y, a) < std::tie(points[b].x, points[b].y, b);
  });
  std::vector<Pile> found;
  for (std::size_t begin = 0; begin < order.size();) {
    std::size_t end = begin + 1;
    while (end < order.size() && points[order[end]] == points[order[begin]]) ++end;
    if (end - begin >= least) {
      const std::string first = text(order[begin]);
      const bool differ = std::any_of(order.begin() + static_cast<std::ptrdiff_t>(begin), order.begin() + static_cast<std::ptrdiff_t>(end),
                                      [&](std::size_t row) { return text(row) != first; });
      if (differ) found.push_back({points[order[begin]], end - begin});
    }
    begin = end;
  }
  std::ranges::stable_sort(found, std::ranges::greater{}, &Pile::rows);
  return found;
}

}  // namespace leeward::importers
