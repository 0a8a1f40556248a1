#pragma once
/// First and last frost of each winter on a station's own record.
#include <optional>
#include <span>
#include <vector>

#include "shared/base/dates.h"

namespace leeward::analysis {

/// A winter runs from 1 July to 30 June (northern hemisphere).
struct Winter {
  int begins = 0;              ///< year of its July
  std::optional<Date> first;   ///< first day whose minimum is at or below the limit; none if there was none
  std::optional<Date> last;
  bool is_whole = false;       ///< of the days from 1 September to 31 May at most kMissingDays lack a minimum
};

struct FrostRange {
  int winters = 0;             ///< whole ones with frost: fewer than ten tell a range, not a climate
  Date earliest_first, latest_last;  ///< the days on which they fell
};

inline constexpr int kMissingDays = 10;  ///< by choice

/// Winters in order. Days need not be in order; of two rows of one day the lower minimum counts; nan is no reading.
/// Units:   degrees Celsius; the limit is 0 (freezing in the shelter; ground frost comes earlier).
/// Edges:   no days: no winters. Spans of different length: the shorter one counts.
/// Source:  counting on the record itself; frost days as days with a minimum below or at 0 degrees: World Meteorological Organization, Guide to
///          Climatological Practices (WMO-No. 100), from memory.
std::vector<Winter> wintersOf(std::span<const Date> day, std::span<const double> minimum_c, double limit_c = 0);
/// Earliest first and latest last frost by day of the winter; nothing without a whole winter that had frost.
std::optional<FrostRange> frostRange(std::span<const Winter> winters);
/// The same day of the winter that `in` lies in: a 4 November of another year. 29 February becomes 28 February where there is none.
Date inWinterOf(Date day, Date in);

}  // namespace leeward::analysis
