#pragma once
/// Clocks: moments with a zone, and the clock that a team lives by.
#include <optional>
#include <string_view>

#include "shared/base/dates.h"

namespace leeward::importers {

/// A zone at the end of a moment: "Z", "+01:00", "-0500", "UTC", "EST", "GMT-5".
struct ZoneMark {
  std::size_t at = 0;      ///< where it begins
  int offset_minutes = 0;  ///< east of Greenwich
};
/// Only behind a time of day (a digit, a blank, or am/pm in front of it). US zone letters as in RFC 5322, 4.3.
std::optional<ZoneMark> zoneAtEnd(std::string_view text);

/// A clock with or without summer time.
class Clock {
 public:
  /// "UTC", "-05:00", or a POSIX TZ text (IEEE 1003.1, 8.3): "EST5EDT", "EST5EDT,M3.2.0,M11.1.0", "MST7". Without dates summer time
  /// is that of the USA since 2007. The names America/New_York, Chicago, Denver, Phoenix, Los_Angeles, Anchorage and
  /// Pacific/Honolulu are known too. Nothing for any other text: the machine's own zones are never asked.
  static std::optional<Clock> parse(std::string_view text);

  /// Minutes since 1970-01-01T00:00 UTC to minutes since then by this clock.
  std::int64_t local(std::int64_t utc_minutes) const;

 private:
  struct Change {
    int month = 3, week = 2, weekday = 0, at_minutes = 120;  ///< M3.2.0/2: the second Sunday in March at two
  };
  static std::optional<Change> parseChange(std::string_view text);
  static Date dayOf(const Change& change, int year);

  int standard_minutes_ = 0;
  int summer_minutes_ = 0;
  bool has_summer_ = false;
  Change begin_{3, 2, 0, 120}, end_{11, 1, 0, 120};
};

}  // namespace leeward::importers
