#pragma once
/// Calendar days and reporting periods. No time zone: a crew's day is a day where the crew was.
#include <chrono>
#include <compare>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace leeward {

/// A calendar day (proleptic Gregorian), held as days since 1970-01-01.
struct Date {
  std::int32_t days = 0;
  auto operator<=>(const Date&) const = default;
  Date operator+(int n) const { return {days + n}; }
  int operator-(Date other) const { return days - other.days; }
};

/// Nothing for a day that does not exist (31 February).
std::optional<Date> makeDate(int year, unsigned month, unsigned day);
std::chrono::year_month_day calendar(Date date);
/// ISO 8601 "YYYY-MM-DD", optionally followed by 'T' or a blank and a time, which is not read here.
/// Nothing for any other style (importers/values reads those) or for a day that does not exist.
std::optional<Date> parseIsoDate(std::string_view text);
std::string toIso(Date date);
/// "3 March 2025", English, whatever the locale.
std::string toWords(Date date);
/// Today in the machine's local time; LEEWARD_TODAY=YYYY-MM-DD overrides it (tests, replays).
Date today();

enum class Every { Month, Quarter, Year };
std::optional<Every> parseEvery(std::string_view text);

/// A calendar month, quarter or year.
struct Period {
  Every every = Every::Quarter;
  std::int32_t index = 0;  ///< count since year 0: 12 y + m - 1, 4 y + q - 1, or y
  auto operator<=>(const Period&) const = default;
  Date first() const;
  Date last() const;
  std::string name() const;  ///< "2025-03", "2025 Q1", "2025"
};
Period periodOf(Date date, Every every);

/// Seasons by month, northern: used for chances of seeing an outdoor dog.
enum class Season { Winter, Spring, Summer, Autumn };
Season seasonOf(Date date);

}  // namespace leeward
