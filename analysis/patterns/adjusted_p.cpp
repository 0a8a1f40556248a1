#include "analysis/patterns/adjusted_p.h"

#include <algorithm>
#include <cmath>

namespace leeward::analysis {

std::vector<double> adjustedP(std::span<const double> p, AdjustBy by) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < p.size(); ++i) {
    if (!std::isnan(p[i])) order.push_back(i);
  }
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return p[i]; });
  const double tests = static_cast<double>(order.size());
  double factor = 1;
  if (by == AdjustBy::BenjaminiYekutieli) {
    factor = 0;
    for (std::size_t i = 1; i <= order.size(); ++i) factor += 1 / static_cast<double>(i);
  }
  std::vector<double> adjusted(p.begin(), p.end());
  double least = 1;
  for (std::size_t rank = order.size(); rank-- > 0;) {
    least = std::min(least, factor * tests / static_cast<double>(rank + 1) * p[order[rank]]);
    adjusted[order[rank]] = least;
  }
  return adjusted;
}

}  // namespace leeward::analysis
