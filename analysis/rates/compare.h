#pragma once
/// Rates compared: two of them with an interval, a standardised one, and the limits within which chance alone keeps an area.
#include <span>

#include "analysis/rates/intervals.h"

namespace leeward::analysis {

/// Exact limits of a share. nan for arguments out of range. Source: Clopper & Pearson 1934, Biometrika 26, 404-413.
Interval clopperPearson(double part, double whole, double level);

/// The ratio of two rates of events and its limits; nan where it has none (no event in the second; low = 0 for none in the first).
struct RateRatio {
  double ratio = 0;
  Interval limits;
};
/// Poisson events a and b over exposures > 0, conditional on a + b. Source: Przyborowski & Wilenski 1940, Biometrika 31, 313-323.
RateRatio rateRatio(double events_a, double exposure_a, double events_b, double exposure_b, double level);

/// Limits of the difference of two independent shares, a less b. Source: Newcombe 1998, Statistics in Medicine 17, 873-890, method 10.
Interval differenceOfShares(double part_a, double whole_a, double part_b, double whole_b, double level);

/// A directly standardised rate and its limits.
struct Standardised {
  double rate = 0;
  Interval limits;
};
/// A value a stratum: events, exposure > 0, weight of the standard >= 0 (any scale). Sizes that differ, no strata or no weight: nan.
/// Source: Fay & Feuer 1997, Statistics in Medicine 16, 791-801.
Standardised fayFeuer(std::span<const double> events, std::span<const double> exposure, std::span<const double> standard, double level);

/// Within which an area's rate lies at this level if its mean is `rate`, for an exposure (Poisson) or a number of animals (binomial):
/// exact, interpolated between whole counts. Source: Spiegelhalter 2005, Statistics in Medicine 24, 1185-1202, appendix A.1.
Interval funnelOfRate(double rate, double exposure, double level);
Interval funnelOfShare(double share, double whole, double level);

}  // namespace leeward::analysis
