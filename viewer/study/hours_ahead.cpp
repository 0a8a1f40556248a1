#include "viewer/study/hours_ahead.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::study {

std::optional<HoursAhead> hoursAhead(const Table& blocks) {
  constexpr double kFirst = 0.1;
  const Column *minutes = blocks.find("minutes"), *per_hour = blocks.find("per_crew_hour");
  if (minutes == nullptr || per_hour == nullptr) return std::nullopt;
  struct Block {
    double per_hour, hours;
  };
  std::vector<Block> ranked;
  HoursAhead ahead;
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    const double hours = minutes->asReal(row).value_or(0) / 60, worth = per_hour->asReal(row).value_or(0);
    if (!(hours > 0)) continue;
    ranked.push_back({worth, hours});
    ahead.hours += hours, ahead.in_need += worth * hours;
  }
  if (ranked.empty()) return std::nullopt;
  std::ranges::stable_sort(ranked, std::greater<>(), &Block::per_hour);
  ahead.first_hours = kFirst * ahead.hours;
  double left = ahead.first_hours;
  for (const Block& block : ranked) {
    const double spent = std::min(left, block.hours);
    ahead.first_in_need += spent * block.per_hour;
    left -= spent;
  }
  return ahead;
}

std::string hoursAheadInWords(const Table& blocks) {
  const auto ahead = hoursAhead(blocks);
  if (!ahead) return {};
  const auto count = [](double value) { return value < 10 ? fmt::format("{:.1f}", value) : formatCount(std::llround(value)); };
  return fmt::format("Looking once at every door that is still to be looked at takes about {} crew-hours; the first {}, in the blocks on top, are expected to lead to {} of the {} dogs in need there, if somebody is home.",
                     count(ahead->hours), count(ahead->first_hours), count(ahead->first_in_need), count(ahead->in_need));
}

}  // namespace leeward::study
