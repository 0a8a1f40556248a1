#pragma once
/// Whether a series rises or falls, and how fast, without assuming its form.
///
/// Shapes:  `values` in the order of time; nan = a gap, which is left out (`times` keep their distances).
/// Edges:   fewer than 2 values, or all of them equal: s = 0, z = 0, p = 1. Everything is O(n^2): meant for periods, not for single visits.
#include <cstddef>
#include <cstdint>
#include <span>

#include "analysis/rates/intervals.h"
#include "shared/base/result.h"

namespace leeward::analysis {

struct MannKendall {
  std::size_t n = 0;     ///< values that are there
  std::int64_t s = 0;    ///< pairs that rise less pairs that fall
  double variance = 0;   ///< of s under no trend, corrected for ties
  double z = 0;          ///< with continuity correction
  double p = 1;          ///< two-sided, from the normal
  double tau = 0;        ///< Kendall's tau-b against time; nan for fewer than 2 values or all equal
};

/// Source:  Mann 1945, Econometrica 13, 245-259; Kendall 1975, Rank Correlation Methods; ties: Hollander & Wolfe 1973.
MannKendall mannKendall(std::span<const double> values);

struct SenSlope {
  double slope = 0;       ///< median of the slopes of all pairs, per unit of time; nan for fewer than 2 values
  Interval interval;      ///< by ranks of the sorted slopes (Gilbert 1987, rounded); nan where the ranks fall outside
  std::size_t pairs = 0;
};

/// Source:  Sen 1968, JASA 63, 1379-1389; interval: Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring, 16.
/// Errors:  InvalidArgument: times of another length, two equal times.
Result<SenSlope> senSlope(std::span<const double> values, std::span<const double> times, double level);

struct SeasonalKendall {
  std::int64_t s = 0;
  double variance = 0, z = 0, p = 1;
  double slope = 0;       ///< median of all slopes within seasons, per year; nan without a pair
};

/// The same season of different years is compared, never January with June: `season` and `year` name each value's place.
/// Source:  Hirsch, Slack & Smith 1982, Water Resources Research 18, 107-121; no correction for dependence between seasons.
/// Errors:  InvalidArgument: spans of different lengths, two values of one season and year.
Result<SeasonalKendall> seasonalKendall(std::span<const double> values, std::span<const int> season, std::span<const int> year);

}  // namespace leeward::analysis
