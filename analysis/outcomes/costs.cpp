#include "analysis/outcomes/costs.h"

#include "analysis/rates/intervals.h"
#include "shared/base/missing.h"

namespace leeward::analysis {

PerOutcome perOutcome(double spent, std::int64_t count, double level) {
  if (!(spent >= 0) || count < 0) return {kNan, kNan, kNan};
  const Interval limits = garwood(static_cast<double>(count), level);
  return {count > 0 ? spent / static_cast<double>(count) : kNan, spent / limits.high, count > 0 ? spent / limits.low : kNan};
}

double hoursOf(std::int64_t looks, std::int64_t visits, double minutes_per_door, double minutes_per_visit, double share_beyond) {
  constexpr double kMinutes = 60;
  return (static_cast<double>(looks) * minutes_per_door + static_cast<double>(visits) * minutes_per_visit) / kMinutes * (1 + share_beyond);
}

}  // namespace leeward::analysis
