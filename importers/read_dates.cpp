// Dates and times as people and spreadsheets write them.
#include <array>
#include <charconv>
#include <cmath>

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

/// Up to six tokens; `rest` is what follows the ones asked for.
struct Tokens {
  std::array<Token, 6> at;
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

unsigned monthOf(std::string_view word) {
  static constexpr std::array<std::string_view, 12> kMonths = {"january", "february", "march",     "april",   "may",      "june",
                                                               "july",    "august",   "september", "october", "november", "december"};
  const std::string lower = lowerAscii(word);
  if (lower.size() < 3) return 0;
  for (unsigned i = 0; i < 12; ++i) {
    if (kMonths[i].starts_with(lower) || (i == 8 && lower == "sept")) return i + 1;
  }
  return 0;
}

bool isWeekday(std::string_view word) {
  static constexpr std::array<std::string_view, 7> kDays = {"monday", "tuesday",  "wednesday", "thursday",
                                                            "friday", "saturday", "sunday"};
  const std::string lower = lowerAscii(word);
  if (lower.size() < 2) return false;
  return std::ranges::any_of(kDays, [&](std::string_view day) { return day.starts_with(lower) || (lower == "thurs" && day == "thursday"); });
}

/// yy is 20yy: a log of visits that a team keeps now holds no day of the last century.
int fullYear(const Token& token) { return token.text.size() == 2 ? 2000 + token.number : token.number; }

bool isYear(const Token& token) { return token.number >= 0 && (token.text.size() == 2 || token.text.size() == 4); }

Reading<DateTime> bad(std::string why) { return {{}, std::move(why)}; }

Reading<DateTime> made(int year, int month, int day, std::string_view rest) {
  const auto date = month >= 1 && day >= 1 ? makeDate(year, static_cast<unsigned>(month), static_cast<unsigned>(day)) : std::nullopt;
  if (!date && month >= 1 && month <= 12) {
    return bad(fmt::format("there is no day {} in {:04}-{:02}; correct the date", day, year, month));
  }
  if (!date) return bad(fmt::format("there is no month {}; correct the date, or say date_order=mdy or dmy", month));
  DateTime result{*date, {}};
  rest = trim(rest);
  if (rest.starts_with('T') || rest.starts_with('t') || rest.starts_with(',')) rest = trim(rest.substr(1));
  if (rest.ends_with('Z')) rest.remove_suffix(1);
  if (!rest.empty()) {
    auto time = readTime(rest);
    if (!time.value) return bad(fmt::format("what follows the date, '{}', is no time", rest));
    result.time = *std::move(time.value);
  }
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
  return day_first ? made(fullYear(year), b, a, restAfter(text, year)) : made(fullYear(year), a, b, restAfter(text, year));
}

/// "3 Mar 2025", "3rd of March 2025", "March 3, 2025", a weekday in front.
Reading<DateTime> wordedDate(const Tokens& tokens, std::string_view text) {
  int day = -1;
  unsigned month = 0;
  for (std::size_t i = 0; i < tokens.count; ++i) {
    const Token& token = tokens.at[i];
    if (token.number < 0) {
      const std::string word = lowerAscii(token.text);
      const bool ordinal = word == "st" || word == "nd" || word == "rd" || word == "th" || word == "of";
      if (month == 0 && monthOf(token.text) != 0) month = monthOf(token.text);
      else if (!ordinal && !isWeekday(token.text)) break;
    } else if (day < 0) {
      day = token.number;
    } else if (month != 0 && isYear(token)) {
      return made(fullYear(token), static_cast<int>(month), day, restAfter(text, token));
    } else {
      break;
    }
  }
  if (month != 0) return bad("day, month and year are not all there; write the date as 2025-03-04");
  return bad("this is no date; write it as 2025-03-04");
}

}  // namespace

DateStyle dateStyleOf(const Column& column, std::string_view order) {
  DateStyle style;
  if (order == "dmy") style.order = DateOrder::DayFirst;
  if (order == "dmy" || order == "mdy") return style;
  if (column.kind() != Column::Kind::Text) return style;
  std::size_t day_first = 0, month_first = 0, either = 0, short_years = 0;
  for (std::size_t row = 0; row < column.size(); ++row) {
    const std::string_view text = trim(column.textAt(row));
    if (text.size() < 6 || (text.size() >= 5 && text[4] == '-') || !isDigit(text.front())) continue;
    const Tokens tokens = tokensOf(text);
    if (tokens.count < 3 || tokens.at[0].number < 0 || tokens.at[1].number < 0 || !isYear(tokens.at[2])) continue;
    if (tokens.at[0].text.size() > 2) continue;
    if (tokens.at[2].text.size() == 2) ++short_years;
    const char mark = tokens.at[1].before;
    if (mark != '/' && mark != '-') continue;
    if (tokens.at[0].number > 12) ++day_first;
    else if (tokens.at[1].number > 12) ++month_first;
    else if (tokens.at[0].number != tokens.at[1].number) ++either;
  }
  style.mixed = day_first > 0 && month_first > 0;
  if (day_first > month_first) style.order = DateOrder::DayFirst;
  if (style.mixed) {
    style.remark = fmt::format("Column '{}' holds dates with the day first ({}) and with the month first ({}); {} that could be either are refused",
                               column.name(), day_first, month_first, either);
  } else if (either > 0 && day_first + month_first == 0) {
    style.remark = fmt::format("No date in column '{}' shows whether day or month comes first; read as month/day/year "
                               "(say date_order=dmy if the day comes first)", column.name());
  } else if (day_first > 0) {
    style.remark = fmt::format("Dates in column '{}' are read as day/month/year", column.name());
  }
  if (short_years > 0) {
    style.remark += fmt::format("{}Years of two digits in column '{}' are read as 20yy", style.remark.empty() ? "" : ". ", column.name());
  }
  return style;
}

Reading<DateTime> readDate(std::string_view text, const DateStyle& style) {
  text = trim(text);
  if (text.empty()) return {};
  if (!isDigit(text.front())) return wordedDate(tokensOf(text), text);
  if (const auto number = parseNumber(text)) {
    if (text.size() == 8 && text.find('.') == std::string_view::npos) {
      const int all = static_cast<int>(*number);
      return made(all / 10000, all / 100 % 100, all % 100, {});
    }
    if (*number >= 20000 && *number <= 80000) return serialDate(*number);
    return bad("a number alone is no date; write it as 2025-03-04");
  }
  const Tokens tokens = tokensOf(text);
  if (tokens.count < 3 || tokens.at[0].number < 0) return bad("day, month and year are not all there; write the date as 2025-03-04");
  if (tokens.at[1].number < 0) return wordedDate(tokens, text);
  const char mark = tokens.at[1].before;
  if (mark != tokens.at[2].before || (mark != '-' && mark != '/' && mark != '.')) return bad("this is no date; write it as 2025-03-04");
  if (tokens.at[0].text.size() == 4) {
    if (tokens.at[2].number < 0) return bad("this is no date; write it as 2025-03-04");
    return made(tokens.at[0].number, tokens.at[1].number, tokens.at[2].number, restAfter(text, tokens.at[2]));
  }
  return numericDate(tokens, text, style);
}

Reading<std::string> readTime(std::string_view text) {
  text = trim(text);
  if (text.empty()) return {};
  const Reading<std::string> no_time{{}, "this is no time of day; write it as 14:05"};
  std::string lower = lowerAscii(text);
  int add = -1;  // 0 am, 12 pm
  const std::size_t letters = lower.find_first_of("ap");
  if (letters != std::string::npos) {
    std::string mark = lower.substr(letters);
    std::erase(mark, '.');
    if (mark != "am" && mark != "pm" && mark != "a" && mark != "p") return no_time;
    add = mark.front() == 'p' ? 12 : 0;
    lower.resize(letters);
  }
  const std::string_view body = trim(lower);
  if (const auto share = parseNumber(body); share && add < 0 && *share > 0 && *share < 1 && body.find('.') != std::string_view::npos) {
    return {timeOfDay(*share), {}};
  }
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
