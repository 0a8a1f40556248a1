#pragma once
/// A steady change of a rate: counts that grow or fall by the same share in each unit of time.
#include <cstddef>
#include <span>

#include "analysis/rates/intervals.h"
#include "shared/base/result.h"

namespace leeward::analysis {

struct PoissonTrend {
  double intercept = 0, slope = 0;        ///< of log(rate) = intercept + slope * time
  double intercept_se = 0, slope_se = 0;  ///< of the Poisson model, before overdispersion
  double dispersion = 1;                  ///< Pearson's chi-square over its degrees of freedom; nan for 2 values
  double deviance = 0;
  double change = 0;                      ///< exp(slope) - 1: the share by which the rate changes in a unit of time
  Interval change_interval;               ///< its standard error widened by sqrt(dispersion) where that is above 1
  double p = 1;                           ///< two-sided, of no change, with the widened error
  std::size_t n = 0;
};

/// Fits counts by maximum likelihood (iteratively reweighted least squares).
/// Shapes:  one count, exposure and time a period; nan in any of them leaves the period out. An empty `exposure` means 1.
/// Edges:   BadData for fewer than 2 periods with exposure, all of one time, or no event at all (the likelihood has no top).
/// Errors:  InvalidArgument: spans of different lengths, negative counts, a level outside (0, 1).
/// Source:  McCullagh & Nelder 1989, Generalized Linear Models, 6; overdispersion 6.2.3.
Result<PoissonTrend> poissonTrend(std::span<const double> counts, std::span<const double> exposure, std::span<const double> times, double level);

}  // namespace leeward::analysis
