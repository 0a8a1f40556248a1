#pragma once
/// The two fits that borrow strength over a town: gamma-Poisson for rates, beta-binomial for shares.
///
/// Both are marginal likelihoods with a weak prior on the one parameter that says how much areas differ, so that they
/// stay sensible with few data and go over into the plain maximum likelihood with many.
#include <span>

namespace leeward::analysis {

struct GammaFitPrior {
  double mean = 0.05;    ///< assumed events per exposure
  double exposure = 20;  ///< that the assumption weighs
  double shape = 1;      ///< assumed spread between areas (1 = exponential), log-normal with
  double log_shape_sd = 1;
};
struct GammaTownFit {
  double mean = 0;
  double shape = 1;
  double mean_shape = 1;  ///< information on the mean: it is known like a gamma of this shape (Fisher information)
};
/// Events ~ Poisson(rate x exposure), rate ~ Gamma(shape, mean / shape) between areas: the negative-binomial likelihood's
/// estimating equation for the mean and its profile for the shape in turn (Clayton & Kaldor 1987). Areas without
/// exposure tell nothing. Same length; exposure >= 0.
GammaTownFit fitGammaTown(std::span<const int> events, std::span<const double> exposure, const GammaFitPrior& prior);

struct BetaTownFit {
  double mean = 0.5;  ///< (1 + successes) / (2 + trials)
  double weight = 8;  ///< a + b of the beta between areas; large = areas alike
};
/// Weight by beta-binomial marginal likelihood, log-normal prior around 8 with sd 1 of its logarithm.
BetaTownFit fitBetaTown(std::span<const int> successes, std::span<const int> trials);

}  // namespace leeward::analysis
