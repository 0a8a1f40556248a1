#include <cmath>
#include <limits>

#include <boost/math/special_functions/digamma.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/tools/roots.hpp>

#include "analysis/rates/empirical_bayes.h"
#include "analysis/rates/exposed.h"
#include "analysis/rates/intervals.h"

namespace leeward::analysis {
namespace {

namespace tools = boost::math::tools;

/// Counts y with exposure e whose rates are Gamma(shape, rate): the margin is negative-binomial.
class Margin {
 public:
  Margin(std::span<const double> events, std::span<const double> exposure, const Exposed& exposed)
      : pooled_rate_(exposed.rate()) {
    for (std::size_t row = 0; row < events.size(); ++row) {
      if (exposed.tells[row]) counts_.push_back({events[row], exposure[row]});
    }
  }

  /// Twice the slope of the log likelihood in 1 / shape where that is 0: not above 0 means no overdispersion.
  double excess() const {
    double sum = 0;
    for (const auto& c : counts_) {
      const double off = c.events - pooled_rate_ * c.exposure;
      sum += off * off - c.events;
    }
    return sum;
  }

  /// The rate that is likeliest for a shape: sum of shape - (y + shape) rate / (e + rate) is 0; it falls with rate.
  double bestRate(double shape) const {
    const auto score = [&](double log_rate) {
      const double rate = std::exp(log_rate);
      double sum = 0;
      for (const auto& c : counts_) sum += shape - (c.events + shape) * rate / (c.exposure + rate);
      return sum;
    };
    return std::exp(rootOfFalling(score, std::log(shape / pooled_rate_)));
  }

  /// Slope in shape of the log likelihood at the best rate.
  double shapeScore(double shape) const {
    const double rate = bestRate(shape);
    double sum = 0;
    for (const auto& c : counts_) {
      if (c.events > 0) sum += boost::math::digamma(c.events + shape) - boost::math::digamma(shape);
      sum -= std::log1p(c.exposure / rate);
    }
    return sum;
  }

  /// Root of a function that is positive left of it and negative right of it, searched outwards from a start.
  template <class Function>
  static double rootOfFalling(const Function& f, double start) {
    double low = start;
    double high = start;
    for (double step = 0.5; f(low) < 0 && low > -700; step *= 2) low -= step;
    for (double step = 0.5; f(high) > 0 && high < 700; step *= 2) high += step;
    if (low == high) return start;
    std::uintmax_t iterations = 200;
    const auto [a, b] = tools::toms748_solve(f, low, high, tools::eps_tolerance<double>(52), iterations);
    return (a + b) / 2;
  }

 private:
  struct Count {
    double events, exposure;
  };
  std::vector<Count> counts_;
  double pooled_rate_;
};

/// Above this shape rates vary by less than a thousandth of their mean: the likelihood can't tell that from none.
constexpr double kLargestShape = 1e6;

std::optional<GammaPrior> likeliest(const Margin& margin, double start_shape) {
  if (!(margin.excess() > 0)) return std::nullopt;
  const auto score = [&](double log_shape) {
    return margin.shapeScore(std::exp(std::min(log_shape, std::log(kLargestShape) + 1)));
  };
  if (score(std::log(kLargestShape)) > 0) return std::nullopt;
  const double shape = std::exp(Margin::rootOfFalling(score, std::log(start_shape)));
  return GammaPrior{shape, margin.bestRate(shape), false};
}

}  // namespace

Result<GammaPrior> fitGammaPrior(std::span<const double> events, std::span<const double> exposure, GammaFit fit) {
  LEEWARD_ASSIGN(exposed, exposedRows(events, exposure));
  LEEWARD_ASSIGN(moments, marshallGlobal(events, exposure));
  const double mean = moments.mean.front();
  const double variance = moments.variance.front();
  const GammaPrior pooled{exposed.events, exposed.exposure, true};
  if (exposed.events == 0) return pooled;
  const bool by_moments = fit == GammaFit::Moments;
  if (by_moments) return variance > 0 ? GammaPrior{mean * mean / variance, mean / variance, false} : pooled;
  const double start = variance > 0 ? std::min(mean * mean / variance, kLargestShape) : 1;
  return likeliest(Margin(events, exposure, exposed), start).value_or(pooled);
}

Result<GammaPoissonRates> gammaPoisson(std::span<const double> events, std::span<const double> exposure, const GammaPrior& prior,
                                       double level) {
  LEEWARD_ASSIGN(exposed, exposedRows(events, exposure));
  if (!(level > 0 && level < 1)) {
    return Problem{ProblemCode::InvalidArgument, "the level of an interval must lie between 0 and 1", "", "Give 0.90 for 90 %"};
  }
  const bool is_proper = prior.rate > 0 && (prior.shape > 0 || (prior.pooled && prior.shape == 0));
  if (!is_proper) return Problem{ProblemCode::InvalidArgument, "the prior's shape and rate must be above 0", "", ""};
  GammaPoissonRates rates;
  rates.prior = prior;
  rates.level = level;
  rates.raw = rawRates(events, exposure, exposed);
  const auto pooled = garwood(prior.shape, level);
  const double tail = (1 - level) / 2;
  for (std::size_t row = 0; row < events.size(); ++row) {
    if (prior.pooled) {
      rates.smoothed.push_back(prior.mean());
      rates.low.push_back(pooled.low / prior.rate);
      rates.high.push_back(pooled.high / prior.rate);
      continue;
    }
    const double shape = prior.shape + (exposed.tells[row] ? events[row] : 0);
    const double rate = prior.rate + (exposed.tells[row] ? exposure[row] : 0);
    rates.smoothed.push_back(shape / rate);
    rates.low.push_back(boost::math::gamma_p_inv(shape, tail) / rate);
    rates.high.push_back(boost::math::gamma_q_inv(shape, tail) / rate);
  }
  return rates;
}

Result<GammaPoissonRates> gammaPoisson(std::span<const double> events, std::span<const double> exposure, GammaFit fit,
                                       double level) {
  LEEWARD_ASSIGN(prior, fitGammaPrior(events, exposure, fit));
  return gammaPoisson(events, exposure, prior, level);
}

}  // namespace leeward::analysis
