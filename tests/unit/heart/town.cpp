#include "tests/unit/heart/town.h"

#include <algorithm>
#include <cmath>

namespace leeward::test {

Record emptyRecord(std::size_t blocks) {
  Record record;
  record.blocks = blocks;
  record.as_of = day(2025, 6, 30);
  record.half_life_days = 365;
  for (auto& by_season : record.chance_of_seeing) by_season.fill(0.25);
  record.chance_of_seeing[static_cast<std::size_t>(LookKind::Knock)].fill(0.8);
  record.chance_of_seeing[static_cast<std::size_t>(LookKind::Street)].fill(0.5);
  return record;
}

std::int32_t addDoor(Record& record, std::int32_t block, Point at) {
  record.doors.block.push_back(block);
  record.doors.position.push_back(at);
  record.doors.asked_not_to_return.emplace_back();
  return static_cast<std::int32_t>(record.doors.size()) - 1;
}

void addLook(Record& record, std::int32_t door, Date date, const LookSpec& look) {
  Looks& looks = record.looks;
  looks.door.push_back(door);
  looks.block.push_back(door == kNowhere ? 0 : record.doors.block[door]);
  looks.date.push_back(date);
  looks.kind.push_back(look.kind);
  looks.why.push_back(look.why);
  looks.result.push_back(look.result);
  looks.dogs_seen.push_back(look.seen);
  looks.dogs_met.push_back(look.met);
}

std::size_t addAnimal(Record& record, std::int32_t door, Date seen, const AnimalSpec& animal) {
  Animals& animals = record.animals;
  animals.door.push_back(door);
  animals.block.push_back(door == kNowhere ? 0 : record.doors.block[door]);
  animals.first_seen.push_back(seen);
  animals.first_met.push_back(animal.met);
  animals.last_seen.push_back(seen);
  animals.by_planned_look.push_back(animal.planned ? 1 : 0);
  animals.gone.push_back(animal.gone);
  animals.last_visit.push_back(animal.last_visit);
  animals.critical_first_found.push_back(animal.found);
  animals.critical_last_left.push_back(animal.left);
  return animals.size() - 1;
}

void askNotToReturn(Record& record, std::int32_t door, Date since) { record.doors.asked_not_to_return[door] = since; }

namespace {

int dogsAtADoor(const std::vector<double>& chances, Random& random) {
  double u = random.uniform();
  int dogs = 1;
  for (const double chance : chances) {
    if (u < chance) break;
    u -= chance;
    ++dogs;
  }
  return std::min<int>(dogs, static_cast<int>(chances.size()));
}

// One door's dogs over the two years before as_of, in steps between the days on which something may happen to them.
struct Household {
  int dogs = 0;
  bool known = false;  // listed as animals, from `first_animal` on
  std::size_t first_animal = 0;
};

class TownMaker {
 public:
  TownMaker(const TownSpec& spec, std::uint64_t seed) : spec_(spec), random_(seed, 77) {}

  InventedTown make() {
    InventedTown town{emptyRecord(spec_.blocks), std::vector<int>(spec_.blocks, 0)};
    for (std::size_t block = 0; block < spec_.blocks; ++block) {
      const double rate = random_.gamma(spec_.shape, spec_.mean_rate / spec_.shape);
      const int doors = spec_.least_doors +
                        static_cast<int>(random_.below(static_cast<std::uint32_t>(spec_.most_doors - spec_.least_doors + 1)));
      const bool looked = random_.uniform() < spec_.looked_share;
      for (int i = 0; i < doors; ++i) {
        const Point at{random_.uniform() * 200 + 250.0 * static_cast<double>(block % 10),
                       random_.uniform() * 100 + 150.0 * static_cast<double>(block / 10)};
        const std::int32_t door = addDoor(town.record, static_cast<std::int32_t>(block), at);
        town.unmet[block] += liveThrough(town.record, door, rate, looked && random_.uniform() < 0.5);
      }
    }
    return town;
  }

 private:
  Household settle(double rate) { return {random_.uniform() < 1 - std::exp(-rate) ? dogsAtADoor(spec_.dogs, random_) : 0}; }

  // Half-life turnover from one day to the next: the household is another one, with or without dogs.
  void age(Household& household, double rate, int days, double half_life_days) {
    if (spec_.turnover && random_.uniform() > std::exp2(-days / half_life_days)) household = settle(rate);
  }

  void see(Record& record, Household& household, std::int32_t door, Date on, bool planned, bool met) {
    if (household.known) return;
    household.known = true;
    household.first_animal = record.animals.size();
    for (int dog = 0; dog < household.dogs; ++dog) {
      AnimalSpec animal;
      animal.planned = planned;
      if (met) animal.met = animal.last_visit = on;
      addAnimal(record, door, on, animal);
    }
  }

  // Returns the dogs that are there and unmet on as_of.
  int liveThrough(Record& record, std::int32_t door, double rate, bool looked) {
    struct Event {
      Date on;
      bool told;
    };
    std::vector<Event> events;
    const auto anyDay = [&] { return record.as_of + (-1 - static_cast<int>(random_.below(700))); };
    if (looked) events.push_back({anyDay(), false});
    if (looked && random_.uniform() < 0.4) events.push_back({anyDay(), false});
    if (random_.uniform() < spec_.told_share) events.push_back({anyDay(), true});
    std::ranges::sort(events, [](const Event& a, const Event& b) { return a.on < b.on; });
    Household household = settle(rate);
    Date now = record.as_of + (-730);
    for (const Event& event : events) {
      age(household, rate, event.on - now, record.half_life_days);
      now = event.on;
      if (event.told) {
        if (household.dogs > 0) see(record, household, door, now, false, false);
        continue;
      }
      const bool sees = household.dogs > 0 && random_.uniform() < 0.8;
      const bool met = sees && random_.uniform() < 0.6;
      LookSpec look;
      look.result = met ? DoorResult::Welcomed : sees ? DoorResult::Declined : DoorResult::NoDog;
      look.seen = sees ? household.dogs : 0;
      look.met = met ? household.dogs : 0;
      addLook(record, door, now, look);
      if (!sees) continue;
      const bool was_known = household.known;
      see(record, household, door, now, true, met);
      if (was_known) {
        for (std::size_t i = household.first_animal; i < record.animals.size() && record.animals.door[i] == door; ++i) {
          record.animals.last_seen[i] = now;
          if (met && !record.animals.first_met[i]) record.animals.first_met[i] = record.animals.last_visit[i] = now;
        }
      }
    }
    age(household, rate, record.as_of - now, record.half_life_days);
    if (household.dogs == 0) return 0;
    if (!household.known) return household.dogs;
    return record.animals.first_met[household.first_animal] ? 0 : household.dogs;
  }

  const TownSpec& spec_;
  Random random_;
};

}  // namespace

InventedTown inventTown(const TownSpec& spec, std::uint64_t seed) { return TownMaker(spec, seed).make(); }

}  // namespace leeward::test
