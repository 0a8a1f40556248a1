#pragma once
/// Distribution of a small whole number: dogs at doors with a gamma-distributed rate, plus leads that are there or not.
#include <span>
#include <vector>

namespace leeward::analysis {

/// Chances of 0, 1, 2, ...; sums to 1. What lies beyond the end is below 1e-12.
using CountChances = std::vector<double>;

/// The sum of N draws from `each` (chances of 1, 2, ...; sums to 1), where N is Poisson with a mean of `exposure` times
/// a Gamma(shape, scale) rate: a compound negative binomial by Panjer's recursion (Panjer 1981, ASTIN Bulletin 12:22).
/// shape, scale > 0; exposure >= 0.
CountChances compoundNegativeBinomial(double shape, double scale, double exposure, std::span<const double> each);

/// The same count plus one more with the given chance.
void addBernoulli(CountChances& chances, double chance);

struct CountInterval {
  int low = 0;
  int high = 0;
  double mass = 1;  ///< chance of low..high
};
/// Equal-tailed: at most (1 - level) / 2 below low and above high; so mass >= level.
CountInterval equalTailed(const CountChances& chances, double level);

}  // namespace leeward::analysis
