#include "tests/journeys/command/cambridge_log.h"

#include <algorithm>
#include <array>
#include <random>

#include <fmt/format.h>

#include "shared/base/dates.h"
#include "shared/base/text.h"
#include "tests/journeys/command/study_folder.h"

namespace leeward::test {
namespace {

/// Draws that are the same on every machine: the engine is fixed by the standard, distributions are not.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  std::size_t below(std::size_t count) { return static_cast<std::size_t>(engine_() % count); }
  bool chance(double p) { return static_cast<double>(engine_() >> 11U) * 0x1.0p-53 < p; }
  template <typename T, std::size_t N>
  const T& oneOf(const std::array<T, N>& list) { return list[below(N)]; }

 private:
  std::mt19937_64 engine_;
};

using Swap = std::pair<std::string_view, std::string_view>;
constexpr std::array<Swap, 12> kTypes = {{{" St", " Street"}, {" Ave", " Avenue"}, {" Ave", " Av"}, {" St", " str"}, {" Rd", " Road"}, {" Pl", " Place"}, {" Ct", " Court"},
                                          {" Ter", " Terrace"}, {" Dr", " Drive"}, {" Ln", " Lane"}, {" Sq", " Square"}, {" Pkwy", " Parkway"}}};
constexpr std::array<std::string_view, 6> kTails = {", Cambridge", ", Cambridge MA", " apt 2", ", 2nd floor", " (blue gate)", " rear"};

std::string otherType(std::string text, Dice& dice) {
  for (std::size_t i = 0, start = dice.below(kTypes.size()); i < kTypes.size(); ++i) {
    const auto& [was, is] = kTypes[(start + i) % kTypes.size()];
    if (text.ends_with(was)) return text.substr(0, text.size() - was.size()).append(is);
  }
  return text;
}

/// A slip of the finger inside the street's name, never in its first letter or in the number.
std::string misspelt(std::string text, Dice& dice) {
  const auto name = static_cast<std::size_t>(std::ranges::find(text, ' ') - text.begin());
  if (text.size() < name + 8) return text;
  const std::size_t at = name + 2 + dice.below(text.size() - name - 6);
  if (text[at] == ' ' || text[at + 1] == ' ') return text;
  switch (dice.below(3)) {
    case 0: return text.erase(at, 1);
    case 1: return text.insert(at, 1, text[at]);
    default: std::swap(text[at], text[at + 1]); return text;
  }
}

std::string asTyped(std::string text, Dice& dice) {
  if (dice.chance(0.25)) text = otherType(std::move(text), dice);
  if (dice.chance(0.10)) text = misspelt(std::move(text), dice);
  if (dice.chance(0.12)) text += dice.oneOf(kTails);
  if (dice.chance(0.30)) text = lowerAscii(text);
  return text;
}

struct Look {
  std::string why, result;
  int dogs = 0;
};

Look lookAt(std::string_view why, Dice& dice) {
  const bool known = why != "planned";
  const int dogs = dice.chance(known ? 0.6 : 0.12) ? 1 + static_cast<int>(dice.below(2)) : 0;
  if (dogs > 0) return {std::string(why), dice.chance(0.6) ? "welcomed" : "declined", dogs};
  return {std::string(why), dice.chance(0.5) ? "no_dog" : dice.chance(0.96) ? "nobody_home" : "asked_not_to_return", 0};
}

}  // namespace

InventedLog inventedLog(const Table& addresses, std::size_t looks, std::uint64_t seed) {
  static constexpr std::array<std::string_view, 5> kWhy = {"planned", "planned", "planned", "return", "caller"};
  static constexpr std::array<std::string_view, 3> kItem = {"met", "unmet", "not seen"};
  std::map<std::string, int> times;
  for (std::size_t row = 0; row < addresses.rows(); ++row) ++times[lowerAscii(field(addresses, "full_address", row))];
  std::vector<std::size_t> usable;
  for (std::size_t row = 0; row < addresses.rows(); ++row) {
    if (times.at(lowerAscii(field(addresses, "full_address", row))) == 1 && number(addresses, "parcel_area_m2", row) < 1000) usable.push_back(row);
  }
  Dice dice(seed);
  const Date first = *parseIsoDate("2023-07-03");
  InventedLog log;
  log.csv = "visit_id,date,crew,address,place,look,why_here,door_result,dogs_seen,dogs_met,kind,collar_fit,tether,house,water,wound,left_house,notes\n";
  for (std::size_t i = 0; i < looks; ++i) {
    const std::size_t row = usable[dice.below(usable.size())];
    const std::string meant = field(addresses, "full_address", row), typed = asTyped(meant, dice), id = fmt::format("C{:04}", i + 1);
    if (typed != meant) ++log.slips;
    const Look look = lookAt(dice.oneOf(kWhy), dice);
    const bool met = look.result == "welcomed";
    const Date day{first.days + static_cast<std::int32_t>(i * 730 / looks)};
    log.csv += fmt::format("{},{},Van {},\"{}\",{},knock,{},{},{},{},{}", id, toIso(day), dice.chance(0.5) ? "A" : "B", typed, dice.chance(0.7) ? "Cambridge" : "", look.why,
                           look.result, look.dogs, met ? 1 : 0, met ? "dog" : "");
    for (int item = 0; item < 5; ++item) log.csv += met ? fmt::format(",{}", item == 2 ? kItem[dice.below(2)] : dice.oneOf(kItem)) : ",";
    log.csv += met ? ",met,\n" : ",,\n";
    log.where.emplace(id, Point{number(addresses, "lon", row), number(addresses, "lat", row)});
  }
  return log;
}

}  // namespace leeward::test
