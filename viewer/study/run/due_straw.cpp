// Straw: in before the earliest frost of the station's record, out after the latest.
#include <algorithm>

#include <fmt/format.h>

#include "analysis/weather/frost.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/due_rows.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {

std::map<std::int32_t, DueRows::Straw> DueRows::strawByDoor() const {
  std::map<std::int32_t, Straw> straw;
  const auto look_ids = textsOf(services_, "look_id"), item = textsOf(services_, "item");
  for (std::size_t row = 0; row < services_.rows(); ++row) {
    const std::string word = lowerAscii(item[row]);
    const auto look = look_row_.find(look_ids[row]);
    if (look == look_row_.end() || book_.look_door[look->second] < 0 || (word.find("straw") == std::string::npos && word.find("paja") == std::string::npos)) continue;
    const bool is_out = word.find("out") != std::string::npos || word.find("remov") != std::string::npos || word.find("retir") != std::string::npos;
    auto& last = straw[book_.look_door[look->second]];
    auto& at = is_out ? last.out : last.in;
    at = std::max(at.value_or(book_.look_date[look->second]), book_.look_date[look->second]);
  }
  return straw;
}

/// Animals that are there, by door: each has a house of its own, or should.
std::map<std::int32_t, int> DueRows::housesByDoor() const {
  std::map<std::int32_t, int> houses;
  for (std::size_t animal = 0; animal < book_.dogs.animals.size(); ++animal) {
    const auto door = static_cast<std::int32_t>(book_.dogs.animals[animal].premises);
    if (door >= 0 && is_there_[animal] && !isClosed(door)) ++houses[door];
  }
  return houses;
}

void DueRows::addStraw() {
  constexpr int kFewWinters = 10, kYear = 365;
  const Layer* weather = context_.layer("weather");
  if (weather == nullptr) return;
  std::vector<Date> day;
  const Column &dates = columnOf(weather->table, "date"), &minimum = columnOf(weather->table, "tmin_c");
  for (std::size_t row = 0; row < dates.size(); ++row) day.push_back(dateAt(dates, row).value_or(Date{}));
  const auto winters = analysis::wintersOf(day, minimum.toReals());
  const auto frost = analysis::frostRange(winters);
  if (!frost) return;
  auto straw = strawByDoor();
  const std::string record = fmt::format("of {} whole winter{} on record{}", frost->winters, frost->winters == 1 ? "" : "s", frost->winters < kFewWinters ? ", too few to be a climate" : "");
  for (const auto& [door, houses] : housesByDoor()) {
    const Straw& at = straw[door];
    // Whatever winter it went in for: straw that nobody took out is there still, and is due until somebody does.
    const bool is_in = at.in && !(at.out && *at.out > *at.in);  // out and in on one day: changed for fresh
    const Date last_frost = is_in ? analysis::inWinterOf(frost->latest_last, *at.in) : Date{};
    if (is_in) {
      add(std::max(last_frost, *at.in) + 1, door, "straw", "straw out", fmt::format("put in on {}; latest frost {}: {}", toWords(*at.in), record, toWords(frost->latest_last)));
    }
    for (const Date in_winter : {context_.as_of, context_.as_of + kYear}) {
      const Date in = analysis::inWinterOf(frost->earliest_first, in_winter) + -context_.study.due.straw_days, out = analysis::inWinterOf(frost->latest_last, in_winter) + 1;
      const Date summer = *makeDate(static_cast<int>(calendar(out).year()) - 1, 7, 1);
      if ((at.in && *at.in >= summer && *at.in < out) || context_.as_of >= out) continue;
      const int bales = houses * context_.study.due.straw_bales;
      add(in, door, "straw", fmt::format("straw in: {} bale{}", bales, bales == 1 ? "" : "s"), fmt::format("{} days before the earliest frost {}: {}", context_.study.due.straw_days, record, toWords(frost->earliest_first)), "",
          {{"straw", bales}});
      break;
    }
  }
}

}  // namespace leeward::study
