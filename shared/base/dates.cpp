#include "shared/base/dates.h"

#include <array>
#include <charconv>
#include <cstdlib>
#include <ctime>

#include <fmt/format.h>

namespace leeward {
namespace {

std::optional<int> digits(std::string_view text) {
  int number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc{} || end != text.data() + text.size() || text.front() == '-') return std::nullopt;
  return number;
}

int year(Date d) { return static_cast<int>(calendar(d).year()); }
unsigned month(Date d) { return static_cast<unsigned>(calendar(d).month()); }

int monthsIn(Every every) { return every == Every::Month ? 1 : every == Every::Quarter ? 3 : 12; }

}  // namespace

std::optional<Date> makeDate(int y, unsigned m, unsigned d) {
  const std::chrono::year_month_day ymd{std::chrono::year{y}, std::chrono::month{m}, std::chrono::day{d}};
  if (!ymd.ok()) return std::nullopt;
  return Date{static_cast<std::int32_t>(std::chrono::sys_days{ymd}.time_since_epoch().count())};
}

std::chrono::year_month_day calendar(Date date) {
  return std::chrono::year_month_day{std::chrono::sys_days{std::chrono::days{date.days}}};
}

std::optional<Date> parseIsoDate(std::string_view text) {
  if (text.size() < 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  if (text.size() > 10 && text[10] != 'T' && text[10] != ' ') return std::nullopt;
  const auto y = digits(text.substr(0, 4));
  const auto m = digits(text.substr(5, 2));
  const auto d = digits(text.substr(8, 2));
  if (!y || !m || !d) return std::nullopt;
  return makeDate(*y, static_cast<unsigned>(*m), static_cast<unsigned>(*d));
}

std::string toIso(Date date) {
  return fmt::format("{:04}-{:02}-{:02}", year(date), month(date), static_cast<unsigned>(calendar(date).day()));
}

std::string toWords(Date date) {
  static constexpr std::array<const char*, 12> kMonths = {"January", "February", "March",     "April",   "May",      "June",
                                                          "July",    "August",   "September", "October", "November", "December"};
  return fmt::format("{} {} {}", static_cast<unsigned>(calendar(date).day()), kMonths[month(date) - 1], year(date));
}

Date today() {
  if (const char* fixed = std::getenv("LEEWARD_TODAY")) {
    if (const auto date = parseIsoDate(fixed)) return *date;
  }
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  return *makeDate(local.tm_year + 1900, static_cast<unsigned>(local.tm_mon) + 1, static_cast<unsigned>(local.tm_mday));
}

std::optional<Every> parseEvery(std::string_view text) {
  if (text == "month") return Every::Month;
  if (text == "quarter") return Every::Quarter;
  if (text == "year") return Every::Year;
  return std::nullopt;
}

Date Period::first() const {
  const int months = index * monthsIn(every);
  return *makeDate(months / 12, static_cast<unsigned>(months % 12) + 1, 1);
}

Date Period::last() const { return Period{every, index + 1}.first() + -1; }

std::string Period::name() const {
  switch (every) {
    case Every::Month:
      return fmt::format("{:04}-{:02}", index / 12, index % 12 + 1);
    case Every::Quarter:
      return fmt::format("{:04} Q{}", index / 4, index % 4 + 1);
    case Every::Year:
      return fmt::format("{:04}", index);
  }
  return {};
}

Period periodOf(Date date, Every every) {
  const int months = year(date) * 12 + static_cast<int>(month(date)) - 1;
  return {every, months / monthsIn(every)};
}

Season seasonOf(Date date) {
  const unsigned m = month(date);
  if (m == 12 || m <= 2) return Season::Winter;
  if (m <= 5) return Season::Spring;
  return m <= 8 ? Season::Summer : Season::Autumn;
}

}  // namespace leeward
