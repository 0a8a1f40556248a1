#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>

#include <fmt/format.h>

#include "analysis/rates/classes.h"

namespace leeward::analysis {
namespace {

/// The number with the fewest digits from `low` to `high` (`below`: without it), of those the nearest to `wanted`; `wanted` if none is shorter.
double readableBetween(double low, double high, bool below, double wanted) {
  const auto fits = [&](double value) { return value >= low && (below ? value < high : value <= high); };
  if (fits(0)) return 0;
  constexpr int kMostDigits = 15;
  const int top = static_cast<int>(std::floor(std::log10(std::max(std::abs(low), std::abs(high))))) + 1;
  for (int power = top; power > top - kMostDigits; --power) {
    // Of numbers that end at this digit those that end in 0 come first (they are the last power's), then in 5, in an even one, in any.
    for (const int step : {5, 2, 1}) {
      const double unit = step * std::pow(10.0, power), near = std::round(wanted / unit);
      std::optional<double> best;
      for (const double times : {near, near - 1, near + 1, std::ceil(low / unit), std::floor(high / unit)}) {
        // Read from its digits, so that 0.3 is the 0.3 that everybody writes.
        const double value = std::strtod(fmt::format("{:.0f}e{}", times * step, power).c_str(), nullptr);
        if (fits(value) && (!best || std::abs(value - wanted) < std::abs(*best - wanted))) best = value;
      }
      if (best) return *best;
    }
  }
  return wanted;
}

}  // namespace

Classes withReadableLimits(std::span<const double> values, Classes classes) {
  std::vector<double> ascending;
  std::ranges::copy_if(values, std::back_inserter(ascending), [](double value) { return std::isfinite(value); });
  std::ranges::sort(ascending);
  const std::vector<double> given = classes.limits;
  const std::size_t last = given.size() - 1;
  if (ascending.empty() || last == 0 || !(given.front() < given.back())) return classes;
  const double reach = (given.back() - given.front()) / static_cast<double>(last) / 10;
  classes.limits.front() = readableBetween(given.front() - reach, given.front(), false, given.front());
  classes.limits.back() = readableBetween(given.back(), given.back() + reach, false, given.back());
  for (std::size_t i = 1; i < last; ++i) {
    const auto above = std::ranges::upper_bound(ascending, given[i]);
    // Between the values on its two sides, and never past half way to the next limit, so that limits of empty classes stay apart.
    double low = i > 1 ? (given[i - 1] + given[i]) / 2 : classes.limits.front(), high = (given[i] + given[i + 1]) / 2;
    if (above != ascending.begin()) low = std::max(low, *(above - 1));
    if (above != ascending.end()) high = std::min(high, *above);
    if (low < high && given[i] < high) classes.limits[i] = readableBetween(std::min(low, given[i]), high, true, given[i]);
  }
  return classes;
}

}  // namespace leeward::analysis
