#include "analysis/trends/competing.h"

#include <boost/math/distributions/normal.hpp>

#include "analysis/trends/risk_sets.h"

namespace leeward::analysis {
namespace {

/// The sums that the variance of one cause's incidence at time t is made of: with F the incidence at t and F_i that at each earlier time,
/// sum (F - F_i)^2 a_i + sum b_i - 2 sum (F - F_i) c_i. Expanded in F, so that each step costs the same.
struct VarianceSums {
  double a = 0, a_f = 0, a_ff = 0, b = 0, c = 0, c_f = 0;

  double at(double f) const { return std::max(0.0, f * f * a - 2 * f * a_f + a_ff + b - 2 * (f * c - c_f)); }
};

Interval limitsOf(double incidence, double se, double reach) {
  if (!(incidence > 0)) return {0, 0};
  if (incidence >= 1) return {1, 1};
  const double without = 1 - incidence, log_without = std::log(without);
  const double factor = std::exp(reach * se / (without * log_without));
  return {1 - std::pow(without, factor), 1 - std::pow(without, 1 / factor)};
}

}  // namespace

Result<std::vector<IncidenceStep>> cumulativeIncidence(std::span<const double> time, std::span<const std::int32_t> cause, std::size_t causes, double level) {
  LEEWARD_TRY(checkSubjects(time, cause.size()));
  if (!(level > 0 && level < 1)) return Problem{ProblemCode::InvalidArgument, "a level lies between 0 and 1", "", ""};
  if (std::ranges::any_of(cause, [&](std::int32_t one) { return one < 0 || static_cast<std::size_t>(one) > causes; })) {
    return Problem{ProblemCode::InvalidArgument, "a cause is out of range", "", ""};
  }
  const double reach = boost::math::quantile(boost::math::normal(), 0.5 + level / 2);
  std::vector<IncidenceStep> steps;
  std::vector<double> incidence(causes, 0);
  std::vector<VarianceSums> sums(causes);
  double without = 1;
  throughTimes(time, byTime(time), [&](double at, std::span<const std::size_t> subjects, std::size_t at_risk) {
    IncidenceStep step{.time = at, .at_risk = at_risk, .without = without, .events = std::vector<std::size_t>(causes, 0), .incidence = {}, .se = {}, .limits = {}};
    std::size_t all = 0;
    for (const std::size_t i : subjects) {
      if (cause[i] != 0) ++step.events[static_cast<std::size_t>(cause[i]) - 1], ++all;
    }
    if (all == 0) return;
    const auto n = static_cast<double>(at_risk), d = static_cast<double>(all);
    for (std::size_t k = 0; k < causes; ++k) {
      const auto of_cause = static_cast<double>(step.events[k]);
      incidence[k] += without * of_cause / n;
      VarianceSums& sum = sums[k];
      const double f = incidence[k], a = all < at_risk ? d / (n * (n - d)) : 0, c = without * of_cause / (n * n);
      sum.a += a, sum.a_f += a * f, sum.a_ff += a * f * f;
      sum.b += without * without * of_cause * (n - of_cause) / (n * n * n);
      sum.c += c, sum.c_f += c * f;
      step.incidence.push_back(f);
      step.se.push_back(std::sqrt(sum.at(f)));
      step.limits.push_back(limitsOf(f, step.se.back(), reach));
    }
    without = all == at_risk ? 0 : without * (n - d) / n;
    step.without = without;
    steps.push_back(std::move(step));
  });
  return steps;
}

}  // namespace leeward::analysis
