#include "analysis/need/town_fit.h"

#include <cmath>
#include <numeric>

namespace leeward::analysis {

namespace {

/// Where a smooth function with one peak on [low, high] is largest: golden section (Kiefer 1953).
template <class Function>
double peakOf(Function f, double low, double high) {
  constexpr double kGolden = 0.6180339887498949;
  double x1 = high - kGolden * (high - low), x2 = low + kGolden * (high - low);
  double f1 = f(x1), f2 = f(x2);
  while (high - low > 1e-4) {
    if (f1 < f2) {
      low = x1;
      x1 = x2;
      f1 = f2;
      x2 = low + kGolden * (high - low);
      f2 = f(x2);
    } else {
      high = x2;
      x2 = x1;
      f2 = f1;
      x1 = high - kGolden * (high - low);
      f1 = f(x1);
    }
  }
  return (low + high) / 2;
}

// log of (a)(a + 1)...(a + n - 1): counts are small, so this is quicker and more exact than a difference of lgammas.
double logRising(double a, int n) {
  double sum = 0;
  for (int i = 0; i < n; ++i) sum += std::log(a + i);
  return sum;
}

double penalty(double log_value, double log_centre, double sd) {
  const double z = (log_value - log_centre) / sd;
  return -z * z / 2;
}

}  // namespace

GammaTownFit fitGammaTown(std::span<const int> events, std::span<const double> exposure, const GammaFitPrior& prior) {
  const double prior_events = prior.mean * prior.exposure;
  GammaTownFit fit;
  fit.shape = prior.shape;
  const auto updateMean = [&] {
    double sum_events = prior_events, sum_exposure = prior.exposure;
    for (std::size_t i = 0; i < events.size(); ++i) {
      const double weight = 1 / (1 + fit.mean * exposure[i] / fit.shape);
      sum_events += weight * events[i];
      sum_exposure += weight * exposure[i];
    }
    fit.mean = sum_events / sum_exposure;
    fit.mean_shape = fit.mean * sum_exposure;
  };
  const auto logLikelihood = [&](double log_shape) {
    const double shape = std::exp(log_shape);
    double sum = penalty(log_shape, std::log(prior.shape), prior.log_shape_sd);
    for (std::size_t i = 0; i < events.size(); ++i) {
      if (!(exposure[i] > 0)) continue;
      const double expected = fit.mean * exposure[i];
      sum += logRising(shape, events[i]) - shape * std::log1p(expected / shape);
      if (events[i] > 0) sum += events[i] * std::log(expected / (expected + shape));
    }
    return sum;
  };
  // With a mean of 0 all weights are 1: the first mean is the pooled one.
  for (int round = 0; round < 12; ++round) {
    const double before = fit.mean;
    updateMean();
    fit.shape = std::exp(peakOf(logLikelihood, std::log(0.05), std::log(200.0)));
    if (std::abs(fit.mean - before) < 1e-6 * fit.mean) break;
  }
  return fit;
}

BetaTownFit fitBetaTown(std::span<const int> successes, std::span<const int> trials) {
  BetaTownFit fit;
  const double s = std::accumulate(successes.begin(), successes.end(), 1.0);
  const double n = std::accumulate(trials.begin(), trials.end(), 2.0);
  fit.mean = s / n;
  const double log_centre = std::log(fit.weight);
  const auto logLikelihood = [&](double log_weight) {
    const double weight = std::exp(log_weight);
    double sum = penalty(log_weight, log_centre, 1);
    for (std::size_t i = 0; i < trials.size(); ++i) {
      if (trials[i] == 0) continue;
      sum += logRising(fit.mean * weight, successes[i]) + logRising((1 - fit.mean) * weight, trials[i] - successes[i]) -
             logRising(weight, trials[i]);
    }
    return sum;
  };
  fit.weight = std::exp(peakOf(logLikelihood, std::log(0.5), std::log(200.0)));
  return fit;
}

}  // namespace leeward::analysis
