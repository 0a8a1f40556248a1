#include "analysis/need/count_distribution.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace leeward::analysis {

CountChances compoundNegativeBinomial(double shape, double scale, double exposure, std::span<const double> each) {
  const double odds = scale * exposure;
  if (!(odds > 0)) return {1.0};
  const double a = odds / (1 + odds);
  const double b = (shape - 1) * a;
  double mean_each = 0;
  for (std::size_t m = 0; m < each.size(); ++m) mean_each += static_cast<double>(m + 1) * each[m];
  const double far = shape * odds * mean_each * 2 + 10;

  // The recursion is linear, so it may start anywhere and be scaled: the chance of 0 itself underflows for large means.
  CountChances g{1.0};
  double sum = 1, recent = 0;
  for (std::size_t x = 1; x < 1'000'000; ++x) {
    double next = 0;
    for (std::size_t m = 1; m <= std::min(x, each.size()); ++m)
      next += (a + b * static_cast<double>(m) / static_cast<double>(x)) * each[m - 1] * g[x - m];
    g.push_back(next);
    sum += next;
    recent = std::max(next, recent * 0.7);
    if (sum > 1e200) {
      for (double& chance : g) chance *= 1e-200;
      sum *= 1e-200;
      recent *= 1e-200;
    }
    if (static_cast<double>(x) > far && recent < 1e-14 * sum * (1 - a)) break;
  }
  for (double& chance : g) chance /= sum;
  return g;
}

void addBernoulli(CountChances& chances, double chance) {
  chances.push_back(0);
  for (std::size_t x = chances.size() - 1; x > 0; --x) chances[x] = chances[x] * (1 - chance) + chances[x - 1] * chance;
  chances[0] *= 1 - chance;
}

CountInterval equalTailed(const CountChances& chances, double level) {
  constexpr double kRounding = 1e-12;
  const double tail = (1 - level) / 2;
  CountInterval interval;
  double below = 0;
  std::size_t low = 0;
  while (low + 1 < chances.size() && below + chances[low] <= tail + kRounding) below += chances[low++];
  double above = 0;
  std::size_t high = chances.size() - 1;
  while (high > low && above + chances[high] <= tail + kRounding) above += chances[high--];
  interval.low = static_cast<int>(low);
  interval.high = static_cast<int>(high);
  interval.mass = std::min(1.0, std::accumulate(chances.begin() + static_cast<std::ptrdiff_t>(low),
                                                chances.begin() + static_cast<std::ptrdiff_t>(high) + 1, 0.0));
  return interval;
}

}  // namespace leeward::analysis
