#include "analysis/coverage/effort.h"

#include <algorithm>
#include <cmath>

#include "analysis/coverage/by_door.h"

namespace leeward::analysis {

namespace {

// The day on which a dog was first known at a door, and whether a planned look was how.
struct FirstKnown {
  std::optional<Date> day;
  bool by_planned = false;
};

FirstKnown firstKnownAt(const Record& record, std::span<const std::uint32_t> looks, std::span<const std::uint32_t> animals) {
  FirstKnown first;
  const auto note = [&](Date day, bool planned) {
    if (!first.day || day < *first.day) {
      first = {day, planned};
    } else if (day == *first.day) {
      first.by_planned = first.by_planned && planned;
    }
  };
  for (const std::uint32_t look : looks)
    if (sawDog(record, look))
      note(record.looks.date[look], record.looks.why[look] == WhyHere::Planned && chanceOfLook(record, look) > 0);
  // An animal's flag alone is no find: without its planned look in the record there is no effort to set against it.
  const bool look_found_it = first.by_planned;
  for (const std::uint32_t animal : animals) {
    const Date day = record.animals.first_seen[animal];
    note(day, record.animals.by_planned_look[animal] != 0 && look_found_it && first.day == day);
  }
  return first;
}

// The chance that a door's dogs of today are unseen, followed through time.
class Unexamined {
 public:
  explicit Unexamined(double half_life_days) : half_life_days_(half_life_days) {}
  double at(Date day) {
    const double same = std::exp2(-std::max(day - last_, 0) / half_life_days_);
    value_ = same * value_ + (1 - same);
    last_ = day;
    return value_;
  }
  void look(double chance) { value_ *= 1 - chance; }
  void allKnown() { value_ = 0; }

 private:
  double half_life_days_;
  Date last_;  // before the first look any day does: all is unexamined, and stays so
  double value_ = 1;
};

struct DoorEffort {
  double effective = 0;
  int looks = 0;
  int found = 0;  // dogs, 0 = no find
  double unexamined_by_planned = 1;
};

int dogsFound(const Record& record, std::uint32_t look, std::span<const std::uint32_t> animals) {
  int listed = 0;
  for (const std::uint32_t animal : animals) listed += record.animals.first_seen[animal] == record.looks.date[look] ? 1 : 0;
  return std::max({1, record.looks.dogs_seen[look], record.looks.dogs_met[look], listed});
}

// The town's planned effort in time: how much of it came after a day.
class EffortInTime {
 public:
  void add(Date day, double effective) { looks_.emplace_back(day, effective); }
  void close() {
    std::ranges::sort(looks_, {}, &std::pair<Date, double>::first);
    for (std::size_t i = 1; i < looks_.size(); ++i) looks_[i].second += looks_[i - 1].second;
  }
  double shareFrom(Date day) const {
    if (looks_.empty() || !(looks_.back().second > 0)) return 0;
    const auto from = std::ranges::lower_bound(looks_, day, {}, &std::pair<Date, double>::first);
    return 1 - (from == looks_.begin() ? 0 : std::prev(from)->second) / looks_.back().second;
  }

 private:
  std::vector<std::pair<Date, double>> looks_;
};

DoorEffort effortAt(const Record& record, std::span<const std::uint32_t> looks, std::span<const std::uint32_t> animals,
                    const FirstKnown& first, EffortInTime& in_time) {
  DoorEffort effort;
  Unexamined unexamined(record.half_life_days);
  for (const std::uint32_t look : looks) {
    if (record.looks.why[look] != WhyHere::Planned) continue;
    const Date day = record.looks.date[look];
    if (first.day && (day > *first.day || (day == *first.day && !first.by_planned))) break;
    const double chance = chanceOfLook(record, look);
    const double examined = chance * unexamined.at(day);
    effort.effective += examined;
    in_time.add(day, examined);
    ++effort.looks;
    unexamined.look(chance);
    if (sawDog(record, look)) {
      effort.found = dogsFound(record, look, animals);
      unexamined.allKnown();
      break;
    }
  }
  effort.unexamined_by_planned = unexamined.at(record.as_of);
  return effort;
}

// A known door: all was known on the latest day with news of its dogs; planned looks after that count as at any door.
double unexaminedSinceKnown(const Record& record, std::span<const std::uint32_t> looks, std::span<const std::uint32_t> animals,
                            Date first_known) {
  Date news = first_known;
  for (const std::uint32_t look : looks)
    if (sawDog(record, look)) news = std::max(news, record.looks.date[look]);
  for (const std::uint32_t animal : animals) {
    news = std::max(news, lastContact(record, animal));
    if (const auto& gone = record.animals.gone[animal]; gone && *gone <= record.as_of) news = std::max(news, *gone);
  }
  Unexamined unexamined(record.half_life_days);
  unexamined.at(news);
  unexamined.allKnown();
  for (const std::uint32_t look : looks) {
    if (record.looks.date[look] <= news || record.looks.why[look] != WhyHere::Planned) continue;
    unexamined.at(record.looks.date[look]);
    unexamined.look(chanceOfLook(record, look));
  }
  return unexamined.at(record.as_of);
}

// Chance that the dogs known at a door are still there: the best known of them; by the looks if no animal is listed.
double stillThere(const Record& record, std::span<const std::uint32_t> looks, std::span<const std::uint32_t> animals) {
  double chance = 0;
  for (const std::uint32_t animal : animals)
    if (isKnown(record, animal)) chance = std::max(chance, chanceStillSo(record, lastContact(record, animal)));
  if (animals.empty())
    for (const std::uint32_t look : looks)
      if (sawDog(record, look)) chance = std::max(chance, chanceStillSo(record, record.looks.date[look]));
  return chance;
}

}  // namespace

Result<Effort> plannedEffort(const Record& record) {
  LEEWARD_TRY(checkRecord(record));
  const std::size_t doors = record.doors.size();
  Effort effort;
  effort.effective_doors.assign(record.blocks, 0);
  effort.known_otherwise.assign(record.blocks, 0);
  for (auto* column : {&effort.planned_looks, &effort.found_doors, &effort.finds}) column->assign(record.blocks, 0);
  for (auto* column : {&effort.unexamined, &effort.unexamined_by_planned}) column->assign(doors, 1);
  effort.known.assign(doors, 0);
  effort.looks_at_door.assign(doors, 0);
  effort.found_at_door.assign(doors, 0);

  const ByDoor looks = ByDoor::looks(record);
  const ByDoor animals = ByDoor::animals(record);
  EffortInTime in_time;
  struct Otherwise {
    std::int32_t block;
    Date since;
    double still_there;
  };
  std::vector<Otherwise> otherwise;
  for (std::size_t door = 0; door < doors; ++door) {
    const FirstKnown first = firstKnownAt(record, looks.of(door), animals.of(door));
    const DoorEffort at_door = effortAt(record, looks.of(door), animals.of(door), first, in_time);
    effort.known[door] = first.day ? 1 : 0;
    effort.looks_at_door[door] = at_door.looks;
    effort.found_at_door[door] = at_door.found > 0 ? 1 : 0;
    effort.unexamined_by_planned[door] = at_door.unexamined_by_planned;
    effort.unexamined[door] =
        first.day ? unexaminedSinceKnown(record, looks.of(door), animals.of(door), *first.day) : at_door.unexamined_by_planned;
    const std::int32_t block = record.doors.block[door];
    if (block == kNowhere) continue;
    if (first.day && !first.by_planned) otherwise.push_back({block, *first.day, stillThere(record, looks.of(door), animals.of(door))});
    effort.effective_doors[block] += at_door.effective;
    effort.planned_looks[block] += at_door.looks;
    if (at_door.found == 0) continue;
    ++effort.found_doors[block];
    effort.finds[block] += at_door.found;
    effort.dogs_per_found_door.push_back(at_door.found);
  }
  for (std::size_t animal = 0; animal < record.animals.size(); ++animal)
    if (record.animals.door[animal] == kNowhere && record.animals.block[animal] != kNowhere && isKnown(record, animal) &&
        record.animals.by_planned_look[animal] == 0)
      otherwise.push_back({record.animals.block[animal], record.animals.first_seen[animal], chanceStillSo(record, lastContact(record, animal))});
  in_time.close();
  for (const auto& one : otherwise) effort.known_otherwise[one.block] += one.still_there * (1 - in_time.shareFrom(one.since));
  return effort;
}

}  // namespace leeward::analysis
