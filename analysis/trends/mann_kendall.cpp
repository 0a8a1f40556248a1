#include "analysis/trends/mann_kendall.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include <boost/math/distributions/normal.hpp>

#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

int sign(double difference) { return difference > 0 ? 1 : difference < 0 ? -1 : 0; }

double median(std::vector<double>& sorted) {
  if (sorted.empty()) return kNan;
  const std::size_t middle = sorted.size() / 2;
  return sorted.size() % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}

struct Score {
  std::size_t n = 0;
  std::int64_t s = 0;
  double variance = 0;
  double tied_pairs = 0;
};

Score scoreOf(std::span<const double> values) {
  std::vector<double> kept;
  for (const double value : values) {
    if (!std::isnan(value)) kept.push_back(value);
  }
  Score score;
  score.n = kept.size();
  for (std::size_t i = 0; i < kept.size(); ++i) {
    for (std::size_t j = i + 1; j < kept.size(); ++j) score.s += sign(kept[j] - kept[i]);
  }
  const auto spread = [](double n) { return n * (n - 1) * (2 * n + 5); };
  score.variance = spread(static_cast<double>(kept.size()));
  std::ranges::sort(kept);
  for (auto from = kept.begin(); from != kept.end();) {
    const auto to = std::upper_bound(from, kept.end(), *from);
    const auto tied = static_cast<double>(to - from);
    score.variance -= spread(tied);
    score.tied_pairs += tied * (tied - 1) / 2;
    from = to;
  }
  score.variance /= 18;
  return score;
}

/// z with continuity correction, 0 where nothing can vary.
double standardised(std::int64_t s, double variance) {
  if (!(variance > 0) || s == 0) return 0;
  return static_cast<double>(s - (s > 0 ? 1 : -1)) / std::sqrt(variance);
}

double twoSided(double z) { return 2 * boost::math::cdf(boost::math::complement(boost::math::normal(), std::abs(z))); }

/// 1-based rank into the sorted slopes; nan outside.
double atRank(const std::vector<double>& sorted, double rank) {
  const double rounded = std::round(rank);
  return rounded >= 1 && rounded <= static_cast<double>(sorted.size()) ? sorted[static_cast<std::size_t>(rounded) - 1] : kNan;
}

}  // namespace

MannKendall mannKendall(std::span<const double> values) {
  const Score score = scoreOf(values);
  MannKendall result{.n = score.n, .s = score.s, .variance = score.variance};
  result.z = standardised(score.s, score.variance);
  result.p = twoSided(result.z);
  const auto n = static_cast<double>(score.n);
  const double pairs = n * (n - 1) / 2;
  result.tau = pairs > score.tied_pairs ? static_cast<double>(score.s) / std::sqrt((pairs - score.tied_pairs) * pairs) : kNan;
  return result;
}

Result<SenSlope> senSlope(std::span<const double> values, std::span<const double> times, double level) {
  if (values.size() != times.size()) return Problem{ProblemCode::InvalidArgument, "there must be one time a value", "", ""};
  std::vector<double> slopes;
  for (std::size_t i = 0; i < values.size(); ++i) {
    for (std::size_t j = i + 1; j < values.size(); ++j) {
      if (std::isnan(values[i]) || std::isnan(values[j])) continue;
      if (times[i] == times[j]) return Problem{ProblemCode::InvalidArgument, "two values are of one time", "", "Add them up first"};
      slopes.push_back((values[j] - values[i]) / (times[j] - times[i]));
    }
  }
  std::ranges::sort(slopes);
  SenSlope result{.slope = median(slopes), .interval = {kNan, kNan}, .pairs = slopes.size()};
  if (slopes.empty()) return result;
  const double reach = boost::math::quantile(boost::math::normal(), 0.5 + level / 2) * std::sqrt(scoreOf(values).variance);
  const auto pairs = static_cast<double>(slopes.size());
  result.interval = {atRank(slopes, (pairs - reach) / 2), atRank(slopes, (pairs + reach) / 2 + 1)};
  return result;
}

Result<SeasonalKendall> seasonalKendall(std::span<const double> values, std::span<const int> season, std::span<const int> year) {
  if (values.size() != season.size() || values.size() != year.size()) {
    return Problem{ProblemCode::InvalidArgument, "there must be one season and one year a value", "", ""};
  }
  std::map<int, std::map<int, double>> by_season;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (!by_season[season[i]].emplace(year[i], values[i]).second) {
      return Problem{ProblemCode::InvalidArgument, "two values are of one season and year", "", "Add them up first"};
    }
  }
  SeasonalKendall result;
  std::vector<double> slopes;
  for (const auto& [which, of_years] : by_season) {
    std::vector<double> series, years;
    for (const auto& [at, value] : of_years) {
      if (std::isnan(value)) continue;
      series.push_back(value);
      years.push_back(at);
    }
    const Score score = scoreOf(series);
    result.s += score.s;
    result.variance += score.variance;
    for (std::size_t i = 0; i < series.size(); ++i) {
      for (std::size_t j = i + 1; j < series.size(); ++j) slopes.push_back((series[j] - series[i]) / (years[j] - years[i]));
    }
  }
  std::ranges::sort(slopes);
  result.slope = median(slopes);
  result.z = standardised(result.s, result.variance);
  result.p = twoSided(result.z);
  return result;
}

}  // namespace leeward::analysis
