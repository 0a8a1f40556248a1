#pragma once
/// How long until something happened, when for some it hasn't happened yet.
///
/// Times to an outcome in this work are known only between two visits; which day stands for them is the caller's to choose and to say.
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/rates/intervals.h"
#include "shared/base/result.h"

namespace leeward::analysis {

/// How limits of a share are built: on the share itself (clipped to 0..1), on its logarithm (clipped to 1), or on log(-log).
enum class SurvivalLimits { Plain, Log, LogLog };

struct SurvivalStep {
  double time = 0;
  std::size_t at_risk = 0;  ///< just before
  std::size_t events = 0;
  double survival = 1;      ///< share without the event after this time
  double se = 0;            ///< Greenwood's; nan where nobody is left
  Interval limits;          ///< nan where nobody is left; (1, 1) before the first event never stands here
};

struct SurvivalCurve {
  std::vector<SurvivalStep> steps;  ///< one a time with an event, rising
  double median = 0;                ///< the first time at which at most half are without the event; nan if never
  std::size_t n = 0, events = 0;
};

/// The product-limit estimate. A subject leaves the risk set after its time; events come before departures at the same time.
/// Shapes:  one time (>= 0) and one mark a subject: 1 = event, 0 = still without it when last seen.
/// Errors:  InvalidArgument: spans of different lengths, a negative or missing time, a level outside (0, 1).
/// Source:  Kaplan & Meier 1958, JASA 53, 457-481; Greenwood 1926; limits: Kalbfleisch & Prentice 2002, 1.4.
Result<SurvivalCurve> kaplanMeier(std::span<const double> time, std::span<const std::uint8_t> event, double level, SurvivalLimits limits);

struct RestrictedMean {
  double mean = 0, se = 0;
};
/// The mean time without the event up to `until`: the area under the curve. Source: Klein & Moeschberger 2003, 4.5.
RestrictedMean restrictedMean(const SurvivalCurve& curve, double until);

struct LogRank {
  std::vector<double> observed, expected;  ///< a group, weighted where rho > 0
  double chi_square = 0;
  int degrees = 0;
  double p = 1;
};

/// Whether groups (0 .. groups - 1) differ in their times. rho 0: log-rank (Mantel 1966); 1: Peto & Peto 1972; the weights are
/// S(t-)^rho (Harrington & Fleming 1982, Biometrika 69, 553-566).
/// Edges:   fewer than two groups with subjects, or no event: chi_square 0, p 1.
/// Errors:  as kaplanMeier; a group out of range.
Result<LogRank> logRank(std::span<const double> time, std::span<const std::uint8_t> event, std::span<const std::int32_t> group, std::size_t groups, double rho);

}  // namespace leeward::analysis
