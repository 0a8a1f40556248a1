#include "analysis/trends/survival.h"

#include <Eigen/Dense>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/normal.hpp>

#include "analysis/trends/risk_sets.h"
#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

/// From the share, and the standard error of its logarithm.
Interval limitsOf(double share, double log_se, double reach, SurvivalLimits kind) {
  if (!(share > 0)) return {kNan, kNan};
  const double off = reach * log_se;
  switch (kind) {
    case SurvivalLimits::Plain: return {std::max(0.0, share - off * share), std::min(1.0, share + off * share)};
    case SurvivalLimits::Log: return {share * std::exp(-off), std::min(1.0, share * std::exp(off))};
    case SurvivalLimits::LogLog: break;
  }
  const double log_share = std::log(share), factor = std::exp(off / log_share);
  return {std::pow(share, 1 / factor), std::pow(share, factor)};
}

}  // namespace

Result<SurvivalCurve> kaplanMeier(std::span<const double> time, std::span<const std::uint8_t> event, double level, SurvivalLimits limits) {
  LEEWARD_TRY(checkSubjects(time, event.size()));
  if (!(level > 0 && level < 1)) return Problem{ProblemCode::InvalidArgument, "a level lies between 0 and 1", "", ""};
  const double reach = boost::math::quantile(boost::math::normal(), 0.5 + level / 2);
  SurvivalCurve curve{.steps = {}, .median = kNan, .n = time.size()};
  double survival = 1, log_variance = 0;
  throughTimes(time, byTime(time), [&](double at, std::span<const std::size_t> subjects, std::size_t at_risk) {
    const auto events = static_cast<std::size_t>(std::ranges::count_if(subjects, [&](std::size_t i) { return event[i] != 0; }));
    if (events == 0) return;
    const auto n = static_cast<double>(at_risk), d = static_cast<double>(events);
    survival = events == at_risk ? 0 : survival * (n - d) / n;
    log_variance += d / (n * (n - d));
    const double log_se = std::sqrt(log_variance);
    curve.steps.push_back({at, at_risk, events, survival, survival > 0 ? survival * log_se : kNan, limitsOf(survival, log_se, reach, limits)});
    curve.events += events;
    // A rounding error must not carry a share of exactly one half past it.
    if (std::isnan(curve.median) && survival <= 0.5 * (1 + 1e-12)) curve.median = at;
  });
  return curve;
}

RestrictedMean restrictedMean(const SurvivalCurve& curve, double until) {
  // From the right: the area after each event is what its variance is weighted with.
  RestrictedMean result;
  double variance = 0, right = until;
  for (auto step = curve.steps.rbegin(); step != curve.steps.rend(); ++step) {
    if (step->time >= until) continue;
    result.mean += step->survival * (right - step->time);
    right = step->time;
    const auto n = static_cast<double>(step->at_risk), d = static_cast<double>(step->events);
    if (n > d) variance += result.mean * result.mean * d / (n * (n - d));
  }
  result.mean += right;
  result.se = std::sqrt(variance);
  return result;
}

Result<LogRank> logRank(std::span<const double> time, std::span<const std::uint8_t> event, std::span<const std::int32_t> group, std::size_t groups, double rho) {
  LEEWARD_TRY(checkSubjects(time, event.size()));
  if (group.size() != time.size()) return Problem{ProblemCode::InvalidArgument, "there must be one group a time", "", ""};
  std::vector<double> at_risk(groups, 0);
  for (const std::int32_t one : group) {
    if (one < 0 || static_cast<std::size_t>(one) >= groups) return Problem{ProblemCode::InvalidArgument, "a group is out of range", "", ""};
    ++at_risk[static_cast<std::size_t>(one)];
  }
  std::vector<Eigen::Index> filled;
  for (std::size_t g = 0; g < groups; ++g) {
    if (at_risk[g] > 0) filled.push_back(static_cast<Eigen::Index>(g));
  }
  LogRank result{std::vector<double>(groups, 0), std::vector<double>(groups, 0), 0, std::max(0, static_cast<int>(filled.size()) - 1), 1};
  const auto size = static_cast<Eigen::Index>(groups);
  Eigen::MatrixXd variance = Eigen::MatrixXd::Zero(size, size);
  double survival = 1;
  throughTimes(time, byTime(time), [&](double, std::span<const std::size_t> subjects, std::size_t all) {
    std::vector<double> events(groups, 0);
    double d = 0;
    for (const std::size_t i : subjects) {
      if (event[i] != 0) ++events[static_cast<std::size_t>(group[i])], ++d;
    }
    const auto n = static_cast<double>(all);
    const double weight = std::pow(survival, rho);
    for (std::size_t g = 0; g < groups; ++g) {
      result.observed[g] += weight * events[g];
      result.expected[g] += weight * d * at_risk[g] / n;
    }
    if (n > 1 && d > 0) {
      const Eigen::Map<const Eigen::VectorXd> risk(at_risk.data(), size);
      const Eigen::VectorXd share = risk / n;
      const Eigen::MatrixXd spread = Eigen::MatrixXd(share.asDiagonal()) - share * share.transpose();
      variance += weight * weight * d * (n - d) / (n - 1) * spread;
    }
    for (const std::size_t i : subjects) --at_risk[static_cast<std::size_t>(group[i])];
    survival *= (n - d) / n;
  });
  if (result.degrees == 0 || variance.trace() == 0) return result;
  // The groups' differences add up to nothing, so that the last one is left out.
  Eigen::VectorXd off(result.degrees);
  Eigen::MatrixXd part(result.degrees, result.degrees);
  for (int i = 0; i < result.degrees; ++i) {
    const Eigen::Index g = filled[static_cast<std::size_t>(i)];
    off(i) = result.observed[static_cast<std::size_t>(g)] - result.expected[static_cast<std::size_t>(g)];
    for (int j = 0; j < result.degrees; ++j) part(i, j) = variance(g, filled[static_cast<std::size_t>(j)]);
  }
  result.chi_square = off.dot(part.completeOrthogonalDecomposition().solve(off));
  result.p = boost::math::cdf(boost::math::complement(boost::math::chi_squared(result.degrees), std::max(0.0, result.chi_square)));
  return result;
}

}  // namespace leeward::analysis
