#include "importers/clock.h"

#include <algorithm>
#include <array>

#include "shared/base/text.h"

namespace leeward::importers {
namespace {

struct NamedZone {
  std::string_view name;
  int hours;
};
constexpr auto kNamedZones = std::to_array<NamedZone>({{"utc", 0}, {"gmt", 0}, {"est", -5}, {"edt", -4}, {"cst", -6}, {"cdt", -5},
                                                       {"mst", -7}, {"mdt", -6}, {"pst", -8}, {"pdt", -7}});

/// "+01:00", "-0500", "-5": minutes; nothing if it is no offset.
std::optional<int> signedOffset(std::string_view text) {
  if (text.size() < 2 || (text.front() != '+' && text.front() != '-')) return std::nullopt;
  const int sign = text.front() == '-' ? -1 : 1;
  std::string digits(text.substr(1));
  const std::size_t colon = digits.find(':');
  if (colon != std::string::npos && (colon == 0 || colon > 2 || digits.size() != colon + 3)) return std::nullopt;
  std::erase(digits, ':');
  if (!allDigits(digits) || digits.size() > 4) return std::nullopt;
  const auto number = static_cast<int>(*parseInteger(digits));
  const int hours = digits.size() > 2 ? number / 100 : number;
  const int minutes = digits.size() > 2 ? number % 100 : 0;
  return hours <= 14 && minutes < 60 ? std::optional(sign * (hours * 60 + minutes)) : std::nullopt;
}

int yearOf(std::int64_t minutes) {
  const std::int64_t day = minutes >= 0 ? minutes / 1440 : -((1439 - minutes) / 1440);
  return static_cast<int>(calendar(Date{static_cast<std::int32_t>(day)}).year());
}

/// The number at the front of `text`, which is cut off.
std::optional<int> takeNumber(std::string_view& text) {
  std::size_t end = 0;
  while (end < text.size() && isDigit(text[end])) ++end;
  if (end == 0 || end > 4) return std::nullopt;
  const auto number = static_cast<int>(*parseInteger(text.substr(0, end)));
  text.remove_prefix(end);
  return number;
}

std::size_t lettersOf(std::string_view text) {
  std::size_t end = 0;
  while (end < text.size() && ((text[end] >= 'a' && text[end] <= 'z') || (text[end] >= 'A' && text[end] <= 'Z'))) ++end;
  return end;
}

}  // namespace

std::optional<ZoneMark> zoneAtEnd(std::string_view text) {
  const std::string_view whole = trim(text);
  std::size_t end = whole.size();
  const bool brackets = end > 0 && whole[end - 1] == ')';
  const std::size_t begin = brackets ? whole.rfind('(') : whole.find_last_of(" +-");
  // A mark stands behind a blank, or at once behind the digits: "14:05Z", "14:05-05:00".
  if (end > 1 && (whole[end - 1] == 'Z' || whole[end - 1] == 'z') && (isDigit(whole[end - 2]) || whole[end - 2] == ' ')) return ZoneMark{end - 1, 0};
  if (begin == std::string_view::npos || begin == 0) return std::nullopt;
  std::size_t from = whole[begin] == ' ' || brackets ? begin + 1 : begin;
  std::string word = lowerAscii(whole.substr(from, end - from - (brackets ? 1 : 0)));
  if (whole[begin] == '+' || whole[begin] == '-') {
    std::size_t letters = begin;  // "GMT-5"
    while (letters > 0 && whole[letters - 1] >= 'A' && whole[letters - 1] <= 'z') --letters;
    const std::string name = lowerAscii(whole.substr(letters, begin - letters));
    if (name == "gmt" || name == "utc") from = letters;
    else if (!name.empty()) return std::nullopt;
  }
  if (const auto offset = signedOffset(word)) return ZoneMark{from, *offset};
  for (const NamedZone& zone : kNamedZones) {
    if (word == zone.name) return ZoneMark{brackets ? begin : from, zone.hours * 60};
  }
  return std::nullopt;
}

std::optional<Clock::Change> Clock::parseChange(std::string_view text) {
  Change change;
  if (!text.starts_with('M')) return std::nullopt;
  text.remove_prefix(1);
  for (int* part : {&change.month, &change.week, &change.weekday}) {
    const auto number = takeNumber(text);
    if (!number) return std::nullopt;
    *part = *number;
    if (text.starts_with('.')) text.remove_prefix(1);
  }
  if (text.starts_with('/')) {
    text.remove_prefix(1);
    const auto hour = takeNumber(text);
    if (!hour || *hour > 24) return std::nullopt;
    change.at_minutes = *hour * 60;
  }
  const bool good = text.empty() && change.month >= 1 && change.month <= 12 && change.week >= 1 && change.week <= 5 && change.weekday <= 6;
  return good ? std::optional(change) : std::nullopt;
}

std::optional<Clock> Clock::parse(std::string_view text) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 7> kPlaces = {{{"America/New_York", "EST5EDT"},
                                                                                           {"America/Chicago", "CST6CDT"},
                                                                                           {"America/Denver", "MST7MDT"},
                                                                                           {"America/Phoenix", "MST7"},
                                                                                           {"America/Los_Angeles", "PST8PDT"},
                                                                                           {"America/Anchorage", "AKST9AKDT"},
                                                                                           {"Pacific/Honolulu", "HST10"}}};
  text = trim(text);
  for (const auto& [place, rule] : kPlaces) {
    if (text == place) text = rule;
  }
  Clock clock;
  const std::string lower = lowerAscii(text);
  if (lower == "utc" || lower == "z" || lower == "gmt") return clock;
  if (const auto offset = signedOffset(text)) {
    clock.standard_minutes_ = *offset;
    return clock;
  }
  std::string_view rest = text;
  const std::size_t name = lettersOf(rest);
  if (name < 3) return std::nullopt;
  rest.remove_prefix(name);
  const bool east = rest.starts_with('-');  // POSIX counts west of Greenwich
  if (east || rest.starts_with('+')) rest.remove_prefix(1);
  const auto hours = takeNumber(rest);
  if (!hours || *hours > 14) return std::nullopt;
  clock.standard_minutes_ = (east ? 1 : -1) * *hours * 60;
  if (rest.empty()) return clock;
  const std::size_t summer = lettersOf(rest);
  if (summer < 3) return std::nullopt;
  rest.remove_prefix(summer);
  clock.has_summer_ = true;
  clock.summer_minutes_ = clock.standard_minutes_ + 60;
  if (rest.empty()) return clock;
  const auto parts = split(rest, ',');
  if (parts.size() != 3 || !parts[0].empty()) return std::nullopt;
  const auto begin = parseChange(parts[1]);
  const auto end = parseChange(parts[2]);
  if (!begin || !end) return std::nullopt;
  clock.begin_ = *begin;
  clock.end_ = *end;
  return clock;
}

Date Clock::dayOf(const Change& change, int year) {
  const Date first = *makeDate(year, static_cast<unsigned>(change.month), 1);
  const int weekday = ((first.days + 4) % 7 + 7) % 7;  // 1970-01-01 was a Thursday
  Date day = first + (change.weekday - weekday + 7) % 7 + (change.week - 1) * 7;
  while (calendar(day).month() != calendar(first).month()) day = day + -7;  // week 5: the last one
  return day;
}

std::int64_t Clock::local(std::int64_t utc_minutes) const {
  const std::int64_t standard = utc_minutes + standard_minutes_;
  if (!has_summer_) return standard;
  const int year = yearOf(standard);
  // Summer time begins by the standard clock and ends by its own.
  const std::int64_t begin = std::int64_t{dayOf(begin_, year).days} * 1440 + begin_.at_minutes - standard_minutes_;
  const std::int64_t end = std::int64_t{dayOf(end_, year).days} * 1440 + end_.at_minutes - summer_minutes_;
  const bool summer = begin < end ? utc_minutes >= begin && utc_minutes < end : utc_minutes >= begin || utc_minutes < end;
  return summer ? utc_minutes + summer_minutes_ : standard;
}

}  // namespace leeward::importers
