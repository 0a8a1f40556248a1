#include "analysis/regression/dispersion.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <boost/math/special_functions/digamma.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <boost/math/special_functions/trigamma.hpp>

#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

constexpr double kSummedUpTo = 200;  ///< counts up to which a difference of gamma functions is a sum, without loss of digits

// The C library's lgamma writes the sign into a global variable, which threads then share.

/// log gamma(theta + count) - log gamma(theta), less count x log theta.
double risen(double count, double theta) {
  if (count > kSummedUpTo) return boost::math::lgamma(theta + count) - boost::math::lgamma(theta) - count * std::log(theta);
  double sum = 0;
  for (double k = 1; k < count; ++k) sum += std::log1p(k / theta);
  return sum;
}

/// The first derivative of the log-likelihood by theta, and the second one's negative.
struct Slope {
  double score = 0, information = 0;
};

Slope slopeAt(std::span<const double> counts, std::span<const double> means, double theta) {
  Slope slope;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    const double y = counts[i], mu = means[i], both = mu + theta;
    double first = 0, second = 0;  // digamma(theta + y) - digamma(theta), and of trigamma
    if (y <= kSummedUpTo) {
      for (double k = 0; k < y; ++k) first += 1 / (theta + k), second -= 1 / ((theta + k) * (theta + k));
    } else {
      first = boost::math::digamma(theta + y) - boost::math::digamma(theta);
      second = boost::math::trigamma(theta + y) - boost::math::trigamma(theta);
    }
    slope.score += first - std::log1p(mu / theta) - (y - mu) / both;
    slope.information += -second - mu / (theta * both) - (y - mu) / (both * both);
  }
  return slope;
}

}  // namespace

double countLogLikelihood(double count, double mean, double theta) {
  if (std::isinf(theta)) return (count > 0 ? count * std::log(mean) : 0) - mean - boost::math::lgamma(count + 1);
  return risen(count, theta) - boost::math::lgamma(count + 1) + (count > 0 ? count * std::log(mean) : 0) - (theta + count) * std::log1p(mean / theta);
}

double countDeviance(double count, double mean, double theta) {
  const double own = count > 0 ? count * std::log(count / mean) : 0;
  if (std::isinf(theta)) return 2 * (own - (count - mean));
  return 2 * (own - (count + theta) * std::log1p((count - mean) / (mean + theta)));
}

std::optional<Theta> likeliestTheta(std::span<const double> counts, std::span<const double> means, std::optional<double> start) {
  // At theta without end the likelihood falls towards Poisson's from above only if the counts spread more than their means say.
  double beyond = 0, squares = 0;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    const double off = counts[i] - means[i];
    beyond += off * off - counts[i];
    squares += off * off / (means[i] * means[i]);
  }
  if (!(beyond > 0)) return Theta{std::numeric_limits<double>::infinity(), kNan};
  constexpr int kMostSteps = 200;
  constexpr double kEndless = 1e10;
  double theta = start.value_or(static_cast<double>(counts.size()) / squares), low = 0, high = std::numeric_limits<double>::infinity();
  for (int step = 0; step < kMostSteps; ++step) {
    const Slope slope = slopeAt(counts, means, theta);
    (slope.score > 0 ? low : high) = theta;
    double next = theta + slope.score / slope.information;
    // Newton's step where it heads for the top and stays between what is known to lie below and above it; else half way, or double.
    if (!(slope.information > 0) || !(next > low) || !(next < high)) next = std::isinf(high) ? 2 * theta : low > 0 ? std::sqrt(low * high) : high / 4;
    if (next > kEndless) return Theta{std::numeric_limits<double>::infinity(), kNan};
    const bool still = std::abs(next - theta) <= 1e-12 * theta;
    theta = next;
    if (still) return Theta{theta, 1 / std::sqrt(slopeAt(counts, means, theta).information)};
  }
  return std::nullopt;
}

}  // namespace leeward::analysis
