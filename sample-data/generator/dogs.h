#pragma once
/// Every animal that ever lived outdoors in the town: the truth that the crews see a part of.
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "sample-data/generator/days.h"
#include "sample-data/generator/town.h"

namespace leeward::town {

/// Ids of the condition check, in the order of the crew's template; critical ones as is common practice.
struct CheckItem {
  const char* id;
  bool critical;
  double unmet;       ///< chance at a household of middling care
  double mended;      ///< chance that a crew puts it right on the day
  bool by_hand;       ///< seen only by handling the animal
};
inline constexpr std::size_t kItems = 18;
extern const std::array<CheckItem, kItems> kCheck;

struct Household {
  int door = -1;
  double care = 0.5;     ///< 0..1
  double home = 0.45;    ///< chance that a knock is answered
  double welcome = 0.75;
  bool souring = false;  ///< gets worse over time, as some do
  Date until;            ///< moves away then
  std::string name, phone, language;
};

struct Dog {
  int household = -1;
  int door = -1;
  std::string name, sex, coat;
  int born_days = 0;          ///< age in days on kFirstDay
  bool altered = false;
  bool all_year = true;       ///< else in the house from November to March
  Date from, to;              ///< lives there on [from, to)
  std::string left;           ///< why: moved, died, given up, kept indoors
  std::array<bool, kItems> unmet{};
  std::array<bool, kItems> first_unmet{};  ///< as found first by a crew
  int body = 1;               ///< 1 ideal .. 5 emaciated
  // what the crews know
  bool seen = false;
  bool met = false;
  bool gone_noted = false;
  int visits = 0;
  Date first_met;
  bool here(Date d) const { return from <= d && d < to; }
  bool outside(Date d) const;
  bool inNeed() const;
};

struct Population {
  std::vector<Household> households;
  std::vector<Dog> dogs;
  std::vector<std::vector<int>> at_door;  ///< dogs by door
  std::vector<int> household_at;          ///< by door, the last; -1 none
};

Population populate(const Town& town, Random& random);
/// A month passes: things break, get worse, or are put right by the owner.
void monthPasses(Population& population, Date date, Random& random);

template <class List>
const auto& pickOf(const List& list, Random& random) {
  return list[random.below(static_cast<std::uint32_t>(std::size(list)))];
}

}  // namespace leeward::town
