#pragma once
/// The fewest events with which a window can beat a given statistic (of low rates: the most), from a table.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "analysis/scans/likelihood.h"

namespace leeward::analysis {

/// Rows go by the root of the expected events, levels by the statistic; both are rounded down, so that `at` is never more than the fewest events of
/// the exact values (the statistic rises with events and falls with what is expected). For low rates expected events are rounded up, and `at` is never less
/// than the most events; -1 where none are few enough.
class Thresholds {
 public:
  explicit Thresholds(const ScanLikelihood& likelihood) : likelihood_(likelihood) {
    const auto rows = row(likelihood.exposure) + 2;  // sums of all weights may be a rounding above
    table_.reserve(static_cast<std::size_t>(rows) * kLevels);
    for (std::uint32_t r = 0; r < rows; ++r) {
      const bool is_low = likelihood.rates == ScanRates::Low;
      const double root = (is_low ? r + 1 : r) / kFineness, expected = root * root, weight = expected / likelihood.events * likelihood.exposure;
      auto c = static_cast<std::int64_t>(expected) + 1;
      for (std::uint32_t l = 0; l < kLevels; ++l) {
        c = is_low ? most(c, weight, l * kStep - kMargin) : fewest(c, weight, l * kStep - kMargin);
        table_.push_back(static_cast<std::int32_t>(c));
      }
    }
  }

  std::uint32_t row(double weight) const { return static_cast<std::uint32_t>(std::sqrt(std::max(0.0, likelihood_.expected(weight))) * kFineness); }
  std::uint32_t level(double statistic) const { return statistic >= (kLevels - 1) * kStep ? kLevels - 1 : static_cast<std::uint32_t>(statistic / kStep); }
  std::int32_t at(std::uint32_t row, std::uint32_t level) const { return table_[static_cast<std::size_t>(row) * kLevels + level]; }

 private:
  static constexpr double kFineness = 16, kStep = 0.25;
  static constexpr double kMargin = 1e-6;  ///< far above rounding
  static constexpr std::uint32_t kLevels = 64;

  /// From `c` on; one more than all events if none is enough. A window can't hold more events than its exposure where each unit is one at most,
  /// and one that expects nothing gets none.
  std::int64_t fewest(std::int64_t c, double weight, double above) const {
    const double all = likelihood_.events;
    const auto beats = [&](std::int64_t count) {
      if (weight == 0) return true;
      if (likelihood_.model == ScanModel::Bernoulli && static_cast<double>(count) > weight) return true;
      return static_cast<double>(count) >= all || likelihood_(static_cast<double>(count), weight) > above;
    };
    if (beats(c)) return c;
    std::int64_t step = 1;
    while (!beats(c + step)) c += step, step *= 2;
    auto low = c, high = c + step;  // low does not, high does
    while (high - low > 1) {
      const auto middle = low + (high - low) / 2;
      (beats(middle) ? high : low) = middle;
    }
    return high;
  }

  /// From `c` downwards; the statistic of low rates rises as events become fewer.
  std::int64_t most(std::int64_t c, double weight, double above) const {
    const auto all = static_cast<std::int64_t>(likelihood_.events);
    if (!(likelihood_.expected(weight) < likelihood_.events)) return all;  // rounded up beyond all: nothing can be said
    const auto beats = [&](std::int64_t count) { return likelihood_(static_cast<double>(count), weight) > above; };
    auto high = std::min(c, all) + 1, low = std::int64_t{-1};  // high does not, low may stand for none
    while (high - low > 1) {
      const auto middle = low + (high - low) / 2;
      (beats(middle) ? low : high) = middle;
    }
    return low;
  }

  ScanLikelihood likelihood_;
  std::vector<std::int32_t> table_;
};

}  // namespace leeward::analysis
