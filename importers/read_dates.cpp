// Dates and times as people and spreadsheets write them.
#include <array>
#include <charconv>
#include <cmath>

#include "importers/fold.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

bool isLetter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

/// A run of digits or letters, and the character that stood before it.
struct Token {
  std::string_view text;
  char before = ' ';
  int number = -1;  ///< -1 for words, and for numbers too long to be part of a date
};

/// Up to eight tokens; `rest` is what follows the ones asked for.
struct Tokens {
  std::array<Token, 8> at;
  std::size_t count = 0;
};

Tokens tokensOf(std::string_view text) {
  Tokens tokens;
  for (std::size_t i = 0; i < text.size() && tokens.count < tokens.at.size();) {
    const std::size_t begin = i;
    const bool digit = isDigit(text[i]);
    if (!digit && !isLetter(text[i])) {
      ++i;
      continue;
    }
    while (i < text.size() && (digit ? isDigit(text[i]) : isLetter(text[i]))) ++i;
    Token& token = tokens.at[tokens.count++];
    token.text = text.substr(begin, i - begin);
    token.before = begin == 0 ? ' ' : text[begin - 1];
    if (digit && token.text.size() <= 4) std::from_chars(token.text.data(), token.text.data() + token.text.size(), token.number);
  }
  return tokens;
}

/// English and Spanish, in full or cut to three letters or more.
unsigned monthOf(std::string_view word) {
  static constexpr std::array<std::string_view, 12> kMonths = {"january", "february", "march",     "april",   "may",      "june",
                                                               "july",    "august",   "september", "october", "november", "december"};
  static constexpr std::array<std::string_view, 12> kMeses = {"enero", "febrero", "marzo",      "abril",   "mayo",      "junio",
                                                              "julio", "agosto",  "septiembre", "octubre", "noviembre", "diciembre"};
  const std::string lower = lowerAscii(word);
  if (lower.size() < 3) return 0;
  for (unsigned i = 0; i < 12; ++i) {
    if (kMonths[i].starts_with(lower) || kMeses[i].starts_with(lower) || (i == 8 && (lower == "sept" || std::string_view("setiembre").starts_with(lower)))) return i + 1;
  }
  return 0;
}

bool isWeekday(std::string_view word) {
  static constexpr std::array<std::string_view, 14> kDays = {"monday", "tuesday", "wednesday", "thursday", "friday",  "saturday", "sunday",
                                                             "lunes",  "martes",  "miercoles", "jueves",   "viernes", "sabado",   "domingo"};
  const std::string lower = lowerAscii(word);
  if (lower.size() < 2) return false;
  return std::ranges::any_of(kDays, [&](std::string_view day) { return day.starts_with(lower) || (lower == "thurs" && day == "thursday"); });
}

bool isConnective(std::string_view word) {
  static constexpr std::array<std::string_view, 9> kConnectives = {"st", "nd", "rd", "th", "of", "the", "de", "del", "el"};
  return std::ranges::find(kConnectives, lowerAscii(word)) != kConnectives.end();
}

/// yy is 20yy: a log of visits that a team keeps now holds no day of the last century.
int fullYear(const Token& token) { return token.text.size() == 2 ? 2000 + token.number : token.number; }

bool isYear(const Token& token) { return token.number >= 0 && (token.text.size() == 2 || token.text.size() == 4); }

Reading<DateTime> bad(std::string why) { return {{}, std::move(why)}; }

/// The moment by the team's clock, if it was said; else the wall time as it was written.
DateTime byClock(const DateTime& written, int offset_minutes, const Clock& clock) {
  const int hour = (written.time[0] - '0') * 10 + written.time[1] - '0';
  const int minute = (written.time[3] - '0') * 10 + written.time[4] - '0';
  const std::int64_t local = clock.local(std::int64_t{written.date.days} * 1440 + hour * 60 + minute - offset_minutes);
  const std::int64_t day = local >= 0 ? local / 1440 : -((1439 - local) / 1440);
  const auto rest = static_cast<int>(local - day * 1440);
  return {Date{static_cast<std::int32_t>(day)}, fmt::format("{:02}:{:02}", rest / 60, rest % 60)};
}

Reading<DateTime> made(int year, int month, int day, std::string_view rest, const DateStyle& style) {
  const auto date = month >= 1 && day >= 1 ? makeDate(year, static_cast<unsigned>(month), static_cast<unsigned>(day)) : std::nullopt;
  if (!date && month >= 1 && month <= 12) {
    return bad(fmt::format("there is no day {} in {:04}-{:02}; correct the date", day, year, month));
  }
  if (!date) return bad(fmt::format("there is no month {}; correct the date, or say date_order=mdy or dmy", month));
  DateTime result{*date, {}};
  rest = trim(rest);
  if (rest.starts_with('T') || rest.starts_with('t') || rest.starts_with(',')) rest = trim(rest.substr(1));
  const auto zone = zoneAtEnd(rest);
  if (zone) rest = trim(rest.substr(0, zone->at));
  if (!rest.empty()) {
    auto time = readTime(rest);
    if (!time.value) return bad(fmt::format("what follows the date, '{}', is no time", rest));
    result.time = *std::move(time.value);
  }
  if (zone && style.clock && !result.time.empty()) result = byClock(result, zone->offset_minutes, *style.clock);
  return {std::move(result), {}};
}

std::string_view restAfter(std::string_view text, const Token& token) {
  return text.substr(static_cast<std::size_t>(token.text.data() - text.data()) + token.text.size());
}

std::string timeOfDay(double share) {
  const int minutes = std::min(static_cast<int>(std::lround(share * 24 * 60)), 24 * 60 - 1);
  return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
}

/// A spreadsheet's day number; 20000 is in 1954, 80000 in 2119.
Reading<DateTime> serialDate(double serial) {
  const auto epoch = *makeDate(1899, 12, 30);
  const double days = std::floor(serial);
  DateTime result{epoch + static_cast<int>(days), {}};
  if (serial > days) result.time = timeOfDay(serial - days);
  return {std::move(result), {}};
}

/// a/b/yyyy in the column's order.
Reading<DateTime> numericDate(const Tokens& tokens, std::string_view text, const DateStyle& style) {
  const int a = tokens.at[0].number;
  const int b = tokens.at[1].number;
  const Token& year = tokens.at[2];
  if (!isYear(year)) return bad("the year is not understood; write the date as 2025-03-04");
  const bool dots = tokens.at[1].before == '.';
  bool day_first = dots || style.order == DateOrder::DayFirst;
  if (a > 12 && b <= 12) day_first = true;
  else if (b > 12 && a <= 12) day_first = false;
  else if (style.mixed && !dots && a != b) {
    return bad("day or month first can't be told, the column shows both; write the date as 2025-03-04 or say date_order=mdy or dmy");
  }
  return day_first ? made(fullYear(year), b, a, restAfter(text, year), style) : made(fullYear(year), a, b, restAfter(text, year), style);
}

/// "3 Mar 2025", "3rd of March 2025", "March 3, 2025", "2025-Mar-03", "3 de marzo de 2025", a weekday in front.
Reading<DateTime> wordedDate(const Tokens& tokens, std::string_view text, const DateStyle& style) {
  int day = -1;
  unsigned month = 0;
  const Token* year = nullptr;
  for (std::size_t i = 0; i < tokens.count; ++i) {
    const Token& token = tokens.at[i];
    if (token.number < 0) {
      if (month == 0 && monthOf(token.text) != 0) month = monthOf(token.text);
      else if (!isConnective(token.text) && !isWeekday(token.text)) break;
    } else if (year == nullptr && token.text.size() == 4) {
      year = &token;
    } else if (day < 0 && token.text.size() <= 2) {
      day = token.number;
    } else if (year == nullptr && month != 0 && isYear(token)) {
      year = &token;
    } else {
      break;
    }
    if (month != 0 && day >= 0 && year != nullptr) return made(fullYear(*year), static_cast<int>(month), day, restAfter(text, token), style);
  }
  if (month != 0) return bad("day, month and year are not all there; write the date as 2025-03-04");
  return bad("this is no date; write it as 2025-03-04");
}

bool allAscii(std::string_view text) {
  return std::ranges::all_of(text, [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

void countZone(std::string_view text, DateEvidence& evidence) {
  const std::size_t colon = text.find(':');
  if (colon == std::string_view::npos && !text.ends_with('Z')) return;
  const std::string_view time = colon == std::string_view::npos ? text : text.substr(colon);
  const auto zone = zoneAtEnd(time);
  if (!zone) return;
  if (zone->offset_minutes == 0) {
    ++evidence.utc;
    return;
  }
  if (evidence.zoned++ == 0) evidence.first_zone = trim(time.substr(zone->at));
}

void say(DateStyle& style, std::string sentence) {
  if (!style.remark.empty()) style.remark += ". ";
  style.remark += sentence;
}

void sayZones(DateStyle& style, const DateEvidence& evidence, const std::string& name) {
  const std::size_t all = evidence.utc + evidence.zoned;
  if (all == 0) return;
  const std::string count = formatCount(static_cast<std::int64_t>(all));
  if (style.clock) return say(style, fmt::format("{} times in column '{}' carry a zone; they were converted to the clock that time_zone names", count, name));
  if (evidence.utc > 0) {
    say(style, fmt::format("{} times in column '{}' are in UTC and were kept as they stand, so that an evening in America counts for the next day; "
                           "time_zone=EST5EDT (or -05:00) converts them", formatCount(static_cast<std::int64_t>(evidence.utc)), name));
  }
  if (evidence.zoned > 0) {
    say(style, fmt::format("{} times in column '{}' carry a zone such as {}; the time where it was written was kept",
                           formatCount(static_cast<std::int64_t>(evidence.zoned)), name, evidence.first_zone));
  }
}

}  // namespace

void DateEvidence::add(const Column& column, std::optional<Date> latest) {
  if (column.kind() != Column::Kind::Text) return;
  for (std::size_t row = 0; row < column.size(); ++row) {
    const std::string_view text = trim(column.textAt(row));
    if (text.size() < 6) continue;
    countZone(text, *this);
    if (text[4] == '-' || !isDigit(text.front())) continue;
    const Tokens tokens = tokensOf(text);
    if (tokens.count < 3 || tokens.at[0].number < 0 || tokens.at[0].text.size() > 2 || !isYear(tokens.at[2])) continue;
    if (tokens.at[2].text.size() == 2) ++short_years;
    const int a = tokens.at[0].number, b = tokens.at[1].number;
    const char mark = tokens.at[1].before;
    if (b < 0 || (mark != '/' && mark != '-')) continue;
    if (a > 12) ++day_first;
    else if (b > 12) ++month_first;
    if (a > 12 || b > 12 || a == b) continue;
    if (either++ == 0) unclear = text;
    if (!latest) continue;
    // A log holds no days to come: a value that would be one the one way round speaks for the other.
    const int year = fullYear(tokens.at[2]);
    const auto as_month_first = makeDate(year, static_cast<unsigned>(a), static_cast<unsigned>(b));
    const auto as_day_first = makeDate(year, static_cast<unsigned>(b), static_cast<unsigned>(a));
    if (!as_month_first || !as_day_first || (*as_month_first > *latest) == (*as_day_first > *latest)) continue;
    ++future;
    ++(*as_month_first > *latest ? day_first : month_first);
  }
}

DateStyle dateStyleOf(const Column& column, std::string_view order, std::string_view time_zone, std::optional<Date> latest) {
  DateEvidence evidence;
  evidence.add(column, latest);
  return dateStyleOf(evidence, column.name(), order, time_zone);
}

DateStyle dateStyleOf(const DateEvidence& evidence, const std::string& heading, std::string_view order, std::string_view time_zone) {
  DateStyle style;
  if (order == "dmy") style.order = DateOrder::DayFirst;
  if (!time_zone.empty()) style.clock = Clock::parse(time_zone);
  const bool asked = order == "dmy" || order == "mdy";
  if (!asked) {
    const std::size_t shown = evidence.day_first + evidence.month_first;
    style.mixed = evidence.day_first > 0 && evidence.month_first > 0;
    if (evidence.day_first > evidence.month_first) style.order = DateOrder::DayFirst;
    style.decided = shown > 0;
    style.unclear = shown == 0 ? evidence.unclear : std::string{};
    if (style.mixed) {
      style.remark = fmt::format("Column '{}' holds dates with the day first ({}) and with the month first ({}); {} that could be either are refused",
                                 heading, evidence.day_first, evidence.month_first, evidence.either);
    } else if (evidence.day_first > 0) {
      style.remark = fmt::format("Dates in column '{}' are read as day/month/year", heading);
    } else if (evidence.future > 0) {
      style.remark = fmt::format("Dates in column '{}' are read as month/day/year", heading);
    }
    if (evidence.future > 0 && !style.mixed) style.remark += ": the other way round some would lie in the future";
  }
  if (evidence.short_years > 0) say(style, fmt::format("Years of two digits in column '{}' are read as 20yy", heading));
  sayZones(style, evidence, heading);
  return style;
}

std::optional<Problem> undecidedDates(const DateStyle& style, const std::string& heading) {
  if (style.unclear.empty()) return std::nullopt;
  return Problem{ProblemCode::BadData, fmt::format("No date shows whether day or month comes first (the first that could be either: {})", style.unclear),
                 fmt::format("column '{}'", heading), "Say it: --map date_order=mdy if the month comes first, --map date_order=dmy if the day does"};
}

Result<void> checkDateSettings(std::string_view order, std::string_view time_zone) {
  if (!order.empty() && order != "mdy" && order != "dmy") {
    return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no order of dates", order), "--map date_order", "Write date_order=mdy (month first) or date_order=dmy (day first)"};
  }
  if (!time_zone.empty() && !Clock::parse(time_zone)) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no time zone that is known here", time_zone), "--map time_zone",
                   "Write for instance time_zone=EST5EDT, CST6CDT, MST7MDT, PST8PDT (with summer time), or an offset such as -05:00"};
  }
  return {};
}

Reading<DateTime> readDate(std::string_view text, const DateStyle& style) {
  text = trim(text);
  if (text.empty()) return {};
  std::string plain;
  if (!allAscii(text)) plain = folded(text), text = trim(plain);
  if (text.empty() || !isDigit(text.front())) return wordedDate(tokensOf(text), text, style);
  if (const auto number = parseNumber(text)) {
    if (text.size() == 8 && text.find('.') == std::string_view::npos) {
      const int all = static_cast<int>(*number);
      return made(all / 10000, all / 100 % 100, all % 100, {}, style);
    }
    if (*number >= 20000 && *number <= 80000) return serialDate(*number);
    return bad("a number alone is no date; write it as 2025-03-04");
  }
  const Tokens tokens = tokensOf(text);
  if (tokens.at[0].text.size() == 8 && allDigits(tokens.at[0].text)) {  // 20250304T140500Z
    const auto all = static_cast<int>(*parseInteger(tokens.at[0].text));
    return made(all / 10000, all / 100 % 100, all % 100, restAfter(text, tokens.at[0]), style);
  }
  if (tokens.count < 3 || tokens.at[0].number < 0) return bad("day, month and year are not all there; write the date as 2025-03-04");
  if (tokens.at[1].number < 0) return wordedDate(tokens, text, style);
  const char mark = tokens.at[1].before;
  if (mark != tokens.at[2].before || (mark != '-' && mark != '/' && mark != '.')) return bad("this is no date; write it as 2025-03-04");
  if (tokens.at[0].text.size() == 4) {
    if (tokens.at[2].number < 0) return bad("this is no date; write it as 2025-03-04");
    return made(tokens.at[0].number, tokens.at[1].number, tokens.at[2].number, restAfter(text, tokens.at[2]), style);
  }
  return numericDate(tokens, text, style);
}

Reading<std::string> readTime(std::string_view text) {
  text = trim(text);
  if (text.empty()) return {};
  const Reading<std::string> no_time{{}, "this is no time of day; write it as 14:05"};
  std::string lower = folded(text);
  if (zoneAtEnd(text)) return {{}, "a time with a zone needs its day beside it; write both in the date column, or the time where it was"};
  int add = -1;  // 0 am, 12 pm
  const std::size_t letters = lower.find_first_of("ap");
  if (letters != std::string::npos) {
    std::string mark = lower.substr(letters);
    std::erase_if(mark, [](char c) { return c == '.' || c == ' '; });  // "p. m."
    if (mark != "am" && mark != "pm" && mark != "a" && mark != "p") return no_time;
    add = mark.front() == 'p' ? 12 : 0;
    lower.resize(letters);
  }
  const std::string_view body = trim(lower);
  if (const auto share = parseNumber(body); share && add < 0 && *share > 0 && *share < 1 && body.find('.') != std::string_view::npos) {
    return {timeOfDay(*share), {}};
  }
  if (allDigits(body) && body.size() == 6) return readTime(fmt::format("{}:{}:{}", body.substr(0, 2), body.substr(2, 2), body.substr(4)));
  const Tokens tokens = tokensOf(body);
  int hour = tokens.count > 0 ? tokens.at[0].number : -1;
  int minute = 0;
  std::size_t next = 1;
  if (tokens.count > next && tokens.at[next].text == "h") ++next;
  if (tokens.count > next) minute = tokens.at[next].text.size() == 2 ? tokens.at[next].number : -1;
  else if (tokens.count == 1 && tokens.at[0].text.size() >= 3) minute = hour % 100, hour /= 100;
  else if (tokens.count == 1 && add < 0) return no_time;
  if (hour < 0 || minute < 0 || minute > 59) return no_time;
  if (add >= 0) {
    if (hour < 1 || hour > 12) return no_time;
    hour = hour % 12 + add;
  }
  if (hour > 23) return no_time;
  return {fmt::format("{:02}:{:02}", hour, minute), {}};
}

}  // namespace leeward::importers
