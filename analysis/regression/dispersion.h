#pragma once
/// The spread of counts beyond Poisson's. For analysis/regression/*.cpp only.
#include <optional>
#include <span>

namespace leeward::analysis {

/// Log-likelihood of one negative-binomial count; theta infinite: Poisson's.
double countLogLikelihood(double count, double mean, double theta);
/// Its part of the deviance.
double countDeviance(double count, double mean, double theta);

struct Theta {
  double value = 0, standard_error = 0;  ///< infinite and nan where the counts spread no more than Poisson's
};
/// Maximum likelihood for given means; `start` > 0 or nothing. Nothing if it doesn't converge.
std::optional<Theta> likeliestTheta(std::span<const double> counts, std::span<const double> means, std::optional<double> start);

}  // namespace leeward::analysis
