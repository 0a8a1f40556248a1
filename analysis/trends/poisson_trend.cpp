#include "analysis/trends/poisson_trend.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <boost/math/distributions/normal.hpp>

#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

struct Observed {
  double count, exposure, time;
};

/// The Fisher information of intercept and slope.
struct Information {
  double w = 0, wt = 0, wtt = 0;

  double determinant() const { return w * wtt - wt * wt; }
};

Result<std::vector<Observed>> observed(std::span<const double> counts, std::span<const double> exposure, std::span<const double> times) {
  if (counts.size() != times.size() || (!exposure.empty() && exposure.size() != counts.size())) {
    return Problem{ProblemCode::InvalidArgument, "there must be one count, one exposure and one time a period", "", ""};
  }
  std::vector<Observed> kept;
  double events = 0;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    const double exposed = exposure.empty() ? 1 : exposure[i];
    if (counts[i] < 0 || exposed < 0) return Problem{ProblemCode::InvalidArgument, "a count or an exposure is below 0", "", ""};
    if (std::isnan(counts[i]) || std::isnan(times[i]) || !(exposed > 0)) continue;
    kept.push_back({counts[i], exposed, times[i]});
    events += counts[i];
  }
  const bool one_time = std::ranges::all_of(kept, [&](const Observed& one) { return one.time == kept.front().time; });
  if (kept.size() < 2 || one_time) return Problem{ProblemCode::BadData, "a trend needs two periods with exposure", "", ""};
  if (events == 0) return Problem{ProblemCode::BadData, "there is no event, so no rate can change", "", ""};
  return kept;
}

/// Newton's steps on intercept and slope from `fit`; times are taken from their mean, which keeps the two apart.
bool converge(const std::vector<Observed>& data, double middle, double& intercept, double& slope, Information& information) {
  constexpr int kMostSteps = 100;
  for (int step = 0; step < kMostSteps; ++step) {
    double gradient = 0, gradient_t = 0;
    information = {};
    for (const Observed& one : data) {
      const double t = one.time - middle, mean = one.exposure * std::exp(intercept + slope * t);
      gradient += one.count - mean;
      gradient_t += (one.count - mean) * t;
      information.w += mean, information.wt += mean * t, information.wtt += mean * t * t;
    }
    const double determinant = information.determinant();
    if (!(determinant > 0) || !std::isfinite(determinant)) return false;
    const double by = (information.wtt * gradient - information.wt * gradient_t) / determinant;
    const double by_slope = (information.w * gradient_t - information.wt * gradient) / determinant;
    // Far steps are shortened: a long series of zeros before the first event would otherwise overshoot.
    const double shorten = std::min(1.0, 4 / std::max({std::abs(by), std::abs(by_slope), 1.0}));
    intercept += shorten * by;
    slope += shorten * by_slope;
    if (std::abs(by) < 1e-12 * (1 + std::abs(intercept)) && std::abs(by_slope) < 1e-12 * (1 + std::abs(slope))) return true;
  }
  return false;
}

}  // namespace

Result<PoissonTrend> poissonTrend(std::span<const double> counts, std::span<const double> exposure, std::span<const double> times, double level) {
  if (!(level > 0 && level < 1)) return Problem{ProblemCode::InvalidArgument, "a level lies between 0 and 1", "", ""};
  LEEWARD_ASSIGN(data, observed(counts, exposure, times));
  double events = 0, exposed = 0, middle = 0;
  for (const Observed& one : data) events += one.count, exposed += one.exposure, middle += one.time / static_cast<double>(data.size());
  double intercept = std::log(events / exposed), slope = 0;
  Information information;
  if (!converge(data, middle, intercept, slope, information)) {
    return Problem{ProblemCode::BadData, "the events lie in too few periods to say how the rate changes", "", "Use longer periods"};
  }
  PoissonTrend trend{.intercept = intercept - slope * middle, .slope = slope, .n = data.size()};
  const double variance = information.wtt / information.determinant(), slope_variance = information.w / information.determinant();
  const double covariance = -information.wt / information.determinant();
  trend.slope_se = std::sqrt(slope_variance);
  trend.intercept_se = std::sqrt(variance - 2 * middle * covariance + middle * middle * slope_variance);
  double pearson = 0;
  for (const Observed& one : data) {
    const double mean = one.exposure * std::exp(trend.intercept + trend.slope * one.time);
    pearson += (one.count - mean) * (one.count - mean) / mean;
    trend.deviance += 2 * ((one.count > 0 ? one.count * std::log(one.count / mean) : 0) - (one.count - mean));
  }
  trend.dispersion = data.size() > 2 ? pearson / static_cast<double>(data.size() - 2) : kNan;
  const double widened = trend.slope_se * std::sqrt(trend.dispersion > 1 ? trend.dispersion : 1);
  const boost::math::normal normal;
  const double reach = boost::math::quantile(normal, 0.5 + level / 2) * widened;
  trend.change = std::expm1(slope);
  trend.change_interval = {std::expm1(slope - reach), std::expm1(slope + reach)};
  trend.p = 2 * boost::math::cdf(boost::math::complement(normal, std::abs(slope) / widened));
  return trend;
}

}  // namespace leeward::analysis
