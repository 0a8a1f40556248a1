#include "analysis/weather/frost.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace leeward::analysis {
namespace {

constexpr int kFirstMonth = 7;

struct CivilDate {
  int year = 0, month = 0, day = 0;
};

CivilDate toCivil(Date date) {
  const auto ymd = calendar(date);
  return {static_cast<int>(ymd.year()), static_cast<int>(static_cast<unsigned>(ymd.month())), static_cast<int>(static_cast<unsigned>(ymd.day()))};
}

int winterOf(Date date) {
  const CivilDate civil = toCivil(date);
  return civil.month >= kFirstMonth ? civil.year : civil.year - 1;
}

/// Months since July and the day: the order of days within a winter.
std::pair<int, int> placeInWinter(Date date) {
  const CivilDate civil = toCivil(date);
  return {(civil.month + 12 - kFirstMonth) % 12, civil.day};
}

}  // namespace

std::vector<Winter> wintersOf(std::span<const Date> day, std::span<const double> minimum_c, double limit_c) {
  std::map<Date, double> lowest;
  for (std::size_t i = 0; i < std::min(day.size(), minimum_c.size()); ++i) {
    if (!std::isfinite(minimum_c[i])) continue;
    const auto [at, is_new] = lowest.try_emplace(day[i], minimum_c[i]);
    if (!is_new) at->second = std::min(at->second, minimum_c[i]);
  }
  std::map<int, Winter> winters;
  for (const auto& [date, minimum] : lowest) {
    Winter& winter = winters[winterOf(date)];
    winter.begins = winterOf(date);
    if (minimum > limit_c) continue;
    if (!winter.first) winter.first = date;
    winter.last = date;
  }
  std::vector<Winter> all;
  for (auto& [year, winter] : winters) {
    const Date from = *makeDate(year, 9, 1), to = *makeDate(year + 1, 5, 31);
    const auto held = std::distance(lowest.lower_bound(from), lowest.upper_bound(to));
    winter.is_whole = (to - from) + 1 - held <= kMissingDays;
    all.push_back(winter);
  }
  return all;
}

std::optional<FrostRange> frostRange(std::span<const Winter> winters) {
  std::optional<FrostRange> range;
  for (const Winter& winter : winters) {
    if (!winter.is_whole || !winter.first) continue;
    if (!range) range = FrostRange{0, *winter.first, *winter.last};
    ++range->winters;
    if (placeInWinter(*winter.first) < placeInWinter(range->earliest_first)) range->earliest_first = *winter.first;
    if (placeInWinter(*winter.last) > placeInWinter(range->latest_last)) range->latest_last = *winter.last;
  }
  return range;
}

Date inWinterOf(Date day, Date in) {
  const CivilDate civil = toCivil(day);
  const int year = winterOf(in) + (civil.month >= kFirstMonth ? 0 : 1);
  const auto date = makeDate(year, static_cast<unsigned>(civil.month), static_cast<unsigned>(civil.day));
  return date ? *date : *makeDate(year, static_cast<unsigned>(civil.month), static_cast<unsigned>(civil.day - 1));
}

}  // namespace leeward::analysis
