#pragma once
/// How many came to which end by when, where one end keeps the others from happening: given up, died, lost contact.
///
/// One minus a Kaplan-Meier curve of each end alone would add up to more than all; these shares add up to one less those still without an end.
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/rates/intervals.h"
#include "shared/base/result.h"

namespace leeward::analysis {

struct IncidenceStep {
  double time = 0;
  std::size_t at_risk = 0;          ///< just before
  double without = 1;               ///< share without any end after this time
  std::vector<std::size_t> events;  ///< a cause
  std::vector<double> incidence;    ///< a cause: share that came to it by this time
  std::vector<double> se;           ///< a cause
  std::vector<Interval> limits;     ///< a cause: on log(-log(1 - incidence)) (Kalbfleisch & Prentice 2002, 8.2); (0, 0) before its first event
};

/// The Aalen-Johansen estimate, one step a time with an end of any cause.
/// Shapes:  one time (>= 0) and one cause a subject: 0 = none so far, 1 .. causes.
/// Errors:  InvalidArgument: spans of different lengths, a missing or negative time, a cause out of range, a level outside (0, 1).
/// Source:  Aalen & Johansen 1978, Scand. J. Statist. 5, 141-150; variance by the delta method: Dinse & Larson 1986, Biometrika 73,
///          379-386; Marubini & Valsecchi 1995, 10.2.
Result<std::vector<IncidenceStep>> cumulativeIncidence(std::span<const double> time, std::span<const std::int32_t> cause, std::size_t causes, double level);

}  // namespace leeward::analysis
