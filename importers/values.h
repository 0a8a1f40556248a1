#pragma once
/// Reading what people type into cells: dates, times, counts, yes and no, words, lists, positions.
///
/// Every reader gives a Reading: a value, or nothing because the cell is blank (why empty), or nothing with the reason.
/// Nothing here guesses silently; what a whole column decides (day or month first) is decided once by a *Style and said.
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "importers/clock.h"
#include "shared/base/dates.h"
#include "shared/base/result.h"
#include "shared/geo/geometry.h"
#include "shared/table/table.h"

namespace leeward::importers {

template <class T>
struct Reading {
  std::optional<T> value;
  std::string why;  ///< what is wrong and how to mend it; "" if the value is fine or the cell blank
  bool bad() const { return !why.empty(); }
};

enum class DateOrder { MonthFirst, DayFirst };
/// How the dates of one column are written.
struct DateStyle {
  DateOrder order = DateOrder::MonthFirst;
  bool mixed = false;    ///< the column shows both orders: dates that fit both are refused
  std::string remark;    ///< what was found or assumed; "" if there is nothing to say
  bool decided = false;  ///< some values fit one order only
  std::string unclear{};  ///< a value that could be either while nothing decides: the person must be asked (undecidedDates)
  std::optional<Clock> clock{};  ///< times with a zone are converted to it
};
/// What a column's values show of their style; several stretches of one column add up.
struct DateEvidence {
  std::size_t day_first = 0, month_first = 0, either = 0, short_years = 0, future = 0, utc = 0, zoned = 0;
  std::string unclear, first_zone;  ///< examples
  /// latest: days after it speak for the other order.
  void add(const Column& column, std::optional<Date> latest);
};
/// The order from the values that fit one only: a number over 12, or with `latest` a day that would lie after it the other way round.
/// order: "mdy", "dmy" or "" (setting date_order). time_zone: the team's clock (setting time_zone; Clock::parse), "" = times with a zone
/// keep the time and day as written, which is said.
DateStyle dateStyleOf(const DateEvidence& evidence, const std::string& heading, std::string_view order = {}, std::string_view time_zone = {});
DateStyle dateStyleOf(const Column& column, std::string_view order = {}, std::string_view time_zone = {}, std::optional<Date> latest = {});
/// The problem that asks for date_order, if the column doesn't show it and it matters.
std::optional<Problem> undecidedDates(const DateStyle& style, const std::string& heading);
/// InvalidArgument for a setting date_order or time_zone that isn't known.
Result<void> checkDateSettings(std::string_view order, std::string_view time_zone);

struct DateTime {
  Date date;
  std::string time;  ///< "14:05", "" if the cell held no time
};
/// ISO 8601 (2025-03-04, 20250304, with a time after T or a blank), m/d/y or d/m/y by style, d.m.y always day first,
/// "3 Mar 2025", "March 3, 2025", "3 de marzo de 2025" (English and Spanish, weekday names in front skipped), spreadsheet serial days 20000..80000
/// (days since 1899-12-30, the fraction is the time). A year of two digits yy is 20yy. 31 February is refused.
/// A zone behind the time (Z, -05:00, EST) is converted by style.clock, else the time is kept as written.
Reading<DateTime> readDate(std::string_view text, const DateStyle& style);
/// "14:05", "2:05 pm", "2pm", "1405", "14h05", "14.05", a fraction of a day; gives "14:05". Refused with a zone.
Reading<std::string> readTime(std::string_view text);
/// yes, y, true, 1, x, a tick, sí; no, n, false, 0, none, ninguno.
Reading<bool> readYesNo(std::string_view text);
/// 0 .. most: digits, "2.0", one .. twelve, uno .. doce, none. Ranges ("2-3", "3+") are refused.
Reading<std::int64_t> readCount(std::string_view text, std::int64_t most);
/// How the numbers of one column are written.
struct NumberStyle {
  char decimal = '.';   ///< what 1.234 and 1,234 are read by, which can mean either
  bool mixed = false;   ///< the column shows both: such numbers are refused
  std::string remark{};  ///< what was found; "" if there is nothing to say
};
/// From the values that can be read one way only: "12,5", "1.234,5" and "1.234.567" have a decimal comma, "12.5" and "1,234.5" a point.
NumberStyle numberStyleOf(const Column& column);
/// A number whose thousands are parted by the other mark, by blanks (thin and no-break ones too) or apostrophes, or not at all. What
/// can be read one way only is read so; "1,234" is 1234 unless the column's style has decimal commas.
Reading<double> readNumber(std::string_view text, const NumberStyle& style = {});
/// Degrees: "-71.105", "71.105 W", "71°06'18\"W", "71 06 18 W", decimal comma. Out of range (180 or 90): refused.
Reading<double> readLongitude(std::string_view text);
Reading<double> readLatitude(std::string_view text);

/// The ledger's word for what was typed; `words` of one kind below. Refused with the list of known words.
Reading<std::string_view> readLook(std::string_view text);
Reading<std::string_view> readWhyHere(std::string_view text);
Reading<std::string_view> readDoorResult(std::string_view text);
Reading<std::string_view> readOutcome(std::string_view text, std::string* followed = nullptr);  ///< "given up: foster" fills followed
Reading<std::string_view> readStockMove(std::string_view text);
Reading<std::string_view> readSightingWhat(std::string_view text);
Reading<std::string_view> readSightingSource(std::string_view text);
/// met, unmet, not seen. A lone "-" is unmet only where plus_minus says that the file marks met with "+", else not
/// seen; "x" can mean either and is refused.
Reading<std::string_view> readCheck(std::string_view text, bool plus_minus = false);
/// dog, cat, or the word as typed in lower case; male/female; altered yes/no/unknown: the ledger's free words, tidied.
std::string tidyWord(std::string_view text);

struct Item {
  std::string item;
  double quantity = 1;
};
/// "straw 2; swivel 1", "2 x straw, swivel": parted by ';', ',', '+' or line ends.
Reading<std::vector<Item>> readItems(std::string_view text);

struct Treatment {
  std::string product, lot, weight_unit, next_due;  ///< next_due ISO or ""
  std::optional<double> weight;
};
/// "product|lot|weight unit|next due" parted by ';'; all but the product may be missing.
Reading<std::vector<Treatment>> readTreatments(std::string_view text, const DateStyle& style);

/// A body condition scale. No score is converted from one to another.
struct BodyScale {
  std::string_view id;     ///< as kept in the ledger: "five_ideal_first"
  int highest = 5;         ///< steps run 1..highest
  std::string_view words;  ///< "1 ideal to 5 emaciated"
};
const std::vector<BodyScale>& bodyScales();
/// By id, by words, or "1-9". A bare "1-5" does not say which way it runs and is refused.
Reading<const BodyScale*> readBodyScale(std::string_view text);

}  // namespace leeward::importers
