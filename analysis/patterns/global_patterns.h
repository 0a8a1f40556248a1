#pragma once
/// Whether high values lie by high ones over the whole study: Moran's I, Geary's C, Getis and Ord's general G.
#include <span>
#include <string>

#include "analysis/patterns/spatial_weights.h"

namespace leeward::analysis {

/// A statistic with its moments. All nan and `undefined` says why where there is nothing to say: fewer than four areas with a value and a
/// neighbour, values all equal, negative values for G.
struct PatternTest {
  double statistic = 0, expectation = 0, variance = 0, z = 0;
  double p = 0;  ///< two-sided, by the normal approximation
  std::size_t areas = 0;  ///< that took part
  std::string undefined{};
};

enum class VarianceOf : std::uint8_t {
  Randomisation,  ///< the values as they are, over all ways to lay them on the areas
  Normality,      ///< values drawn from one normal distribution
};

/// Areas without a value (nan) or without a neighbour take no part, neither in the mean nor in the count.
/// Cliff & Ord 1981. z of Moran and G is (statistic - expectation) / sd; of Geary (expectation - statistic) / sd, so that a positive z
/// always says that like lies by like. InvalidArgument if lengths differ.
Result<PatternTest> moran(std::span<const double> values, const Neighbours& neighbours, WeightStyle style = WeightStyle::Share, VarianceOf variance = VarianceOf::Randomisation);
Result<PatternTest> geary(std::span<const double> values, const Neighbours& neighbours, WeightStyle style = WeightStyle::Share, VarianceOf variance = VarianceOf::Randomisation);
/// Getis & Ord 1992, The analysis of spatial association by use of distance statistics, Geographical Analysis 24, 189-206.
Result<PatternTest> generalG(std::span<const double> values, const Neighbours& neighbours, WeightStyle style = WeightStyle::Equal);

/// Rates on a footing on which areas with few people and many are comparable: (rate - mean) / its standard deviation, by the moments of
/// Assuncao & Reis 1999, A new proposal to adjust Moran's I for population density, Statistics in Medicine 18, 2147-2162. Where the
/// estimated variance is not positive, that of the mean alone stands. nan where exposure is not above 0 or events are missing.
Result<std::vector<double>> standardisedRates(std::span<const double> events, std::span<const double> exposure);

}  // namespace leeward::analysis
