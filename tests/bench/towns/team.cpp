#include "tests/bench/towns/team.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "analysis/need/outing.h"
#include "shared/base/random.h"

namespace leeward::bench {

using analysis::DoorResult;
using analysis::Known;
using analysis::kNowhere;
using analysis::WhyHere;

namespace {

constexpr double kDoorMinutes = 4, kVisitMinutes = 25;
constexpr double kUnseenAtHome = 0.1;      // a dog in the back of which nobody speaks
constexpr double kAskedAfterDecline = 0.12, kAskedWithoutDogs = 0.02;
constexpr double kPutRight = 0.6;          // of what was lacking, on the day

double kilometres(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y) / 1000; }

bool coldMonth(Date day) {
  const auto month = static_cast<unsigned>(calendar(day).month());
  return month <= 3 || month >= 11;
}

/// One day at one door.
struct Encounter {
  bool home = false, welcomed = false, asked = false;
  bool seen = false;
  std::vector<int> dogs;
};

Encounter meetAt(const Town& town, int door, Date day) {
  Random random(town.seed * 31 + 7, (static_cast<std::uint64_t>(door) << 20) | static_cast<std::uint64_t>(day.days));
  const Door& at = town.doors[static_cast<std::size_t>(door)];
  const double in_season = coldMonth(day) ? town.kind.winter_seen : 1;
  Encounter met;
  met.dogs = dogsAt(town, door, day);
  const double u_home = random.uniform(), u_seen = random.uniform(), u_welcome = random.uniform(), u_asked = random.uniform();
  met.home = u_home < at.at_home;
  met.seen = !met.dogs.empty() && u_seen < (met.home ? 1 - kUnseenAtHome : at.in_view) * in_season;
  met.welcomed = met.home && met.seen && u_welcome < at.welcomes;
  met.asked = met.home && !met.welcomed && u_asked < (met.seen ? kAskedAfterDecline : kAskedWithoutDogs);
  return met;
}

std::size_t animalFor(const Town& town, Team& team, int dog, Date day, bool by_planned, bool exact) {
  auto& animals = team.record.animals;
  int& animal = team.animal_of[static_cast<std::size_t>(dog)];
  const int door = town.dogs[static_cast<std::size_t>(dog)].door;
  if (animal < 0) {
    animal = static_cast<int>(animals.size());
    animals.door.push_back(exact ? door : kNowhere);
    animals.block.push_back(town.doors[static_cast<std::size_t>(door)].block);
    animals.first_seen.push_back(day);
    animals.first_met.emplace_back();
    animals.last_seen.push_back(day);
    animals.by_planned_look.push_back(by_planned ? 1 : 0);
    animals.gone.emplace_back();
    animals.last_visit.emplace_back();
    animals.critical_first_found.push_back(Known::Unknown);
    animals.critical_last_left.push_back(Known::Unknown);
  }
  const auto row = static_cast<std::size_t>(animal);
  if (exact) animals.door[row] = door;
  animals.last_seen[row] = day;
  return row;
}

/// Why the crew is at this door: its own earlier finding, a caller's, or the plan.
WhyHere whyAt(const Team& team, int door, const std::vector<std::vector<std::size_t>>& animals_at) {
  WhyHere why = WhyHere::Planned;
  for (const std::size_t animal : animals_at[static_cast<std::size_t>(door)]) {
    if (team.record.animals.gone[animal]) continue;
    why = team.record.animals.by_planned_look[animal] != 0 ? WhyHere::Return : WhyHere::Caller;
  }
  return why;
}

std::vector<std::vector<std::size_t>> animalsByDoor(const Team& team) {
  std::vector<std::vector<std::size_t>> at(team.record.doors.size());
  for (std::size_t i = 0; i < team.record.animals.size(); ++i)
    if (team.record.animals.door[i] != kNowhere) at[static_cast<std::size_t>(team.record.animals.door[i])].push_back(i);
  return at;
}

void writeLook(Team& team, int door, Date day, WhyHere why, const Encounter& met) {
  auto& looks = team.record.looks;
  const auto dogs = static_cast<std::int32_t>(met.dogs.size());
  looks.door.push_back(door);
  looks.block.push_back(team.record.doors.block[static_cast<std::size_t>(door)]);
  looks.date.push_back(day);
  looks.kind.push_back(analysis::LookKind::Knock);
  looks.why.push_back(why);
  looks.result.push_back(met.asked      ? DoorResult::AskedNotToReturn
                         : met.welcomed ? DoorResult::Welcomed
                         : !met.home    ? DoorResult::NobodyHome
                         : met.seen     ? DoorResult::Declined
                                        : DoorResult::NoDog);
  looks.dogs_seen.push_back(met.seen ? dogs : 0);
  looks.dogs_met.push_back(met.welcomed ? dogs : 0);
  if (met.asked && !team.record.doors.asked_not_to_return[static_cast<std::size_t>(door)])
    team.record.doors.asked_not_to_return[static_cast<std::size_t>(door)] = day;
}

void meetDog(const Town& town, Team& team, int dog, std::size_t animal, Date day) {
  auto& animals = team.record.animals;
  const bool in_need = town.dogs[static_cast<std::size_t>(dog)].in_need;
  animals.last_visit[animal] = day;
  if (!animals.first_met[animal]) {
    animals.first_met[animal] = day;
    animals.critical_first_found[animal] = in_need ? Known::Yes : Known::No;
    Random random(town.seed + 3, static_cast<std::uint64_t>(dog));
    animals.critical_last_left[animal] = in_need && random.uniform() >= kPutRight ? Known::Yes : Known::No;
  }
  if (team.met[static_cast<std::size_t>(dog)] != 0) return;
  team.met[static_cast<std::size_t>(dog)] = 1;
  ++team.newly_met;
  team.newly_met_in_need += in_need ? 1 : 0;
}

void knock(const Town& town, Team& team, int door, Date day, const Encounter& met, const std::vector<std::vector<std::size_t>>& animals_at) {
  const WhyHere why = whyAt(team, door, animals_at);
  writeLook(team, door, day, why, met);
  if (met.seen)
    for (const int dog : met.dogs) {
      const std::size_t animal = animalFor(town, team, dog, day, why == WhyHere::Planned, true);
      if (met.welcomed) meetDog(town, team, dog, animal, day);
    }
  if (!met.welcomed && !(met.home && met.dogs.empty())) return;
  // People at the door say what became of dogs that were there before.
  for (const std::size_t animal : animals_at[static_cast<std::size_t>(door)]) {
    const auto is_it = [&](int dog) { return team.animal_of[static_cast<std::size_t>(dog)] == static_cast<int>(animal); };
    if (!team.record.animals.gone[animal] && std::ranges::none_of(met.dogs, is_it)) team.record.animals.gone[animal] = day;
  }
}

}  // namespace

double minutesBetween(Point from, Point to) {
  const double way = 1.3 * kilometres(from, to);
  return std::min(way / 4 * 60, way / 30 * 60 + 3);
}

Team newTeam(const Town& town) {
  Team team;
  team.record.blocks = town.blocks();
  for (const Door& door : town.doors) {
    team.record.doors.block.push_back(door.block);
    team.record.doors.position.push_back(door.at);
  }
  team.record.doors.asked_not_to_return.resize(town.doors.size());
  team.animal_of.assign(town.dogs.size(), -1);
  team.met.assign(town.dogs.size(), 0);
  return team;
}

void hearTips(const Town& town, Team& team, Date until, bool heard) {
  for (; team.tips_heard < town.tips.size() && town.tips[team.tips_heard].day <= until; ++team.tips_heard) {
    const Tip& tip = town.tips[team.tips_heard];
    if (!heard) continue;
    for (const int dog : dogsAt(town, tip.door, tip.day))
      if (tip.exact || team.animal_of[static_cast<std::size_t>(dog)] < 0) animalFor(town, team, dog, tip.day, false, tip.exact);
  }
}

void goOut(const Town& town, Team& team, Date day, const std::vector<int>& doors, double hours) {
  const auto animals_at = animalsByDoor(team);
  std::vector<std::uint8_t> done(town.doors.size(), 0);
  Point here = town.base;
  double minutes = 0;
  for (const int door : doors) {
    if (done[static_cast<std::size_t>(door)] != 0 || team.record.doors.asked_not_to_return[static_cast<std::size_t>(door)]) continue;
    const Point there = town.doors[static_cast<std::size_t>(door)].at;
    const double with_it = minutes + minutesBetween(here, there) + kDoorMinutes;
    if (with_it + minutesBetween(there, town.base) > hours * 60) break;
    const Encounter met = meetAt(town, door, day);
    minutes = with_it + (met.welcomed ? kVisitMinutes : 0);
    knock(town, team, door, day, met, animals_at);
    done[static_cast<std::size_t>(door)] = 1;
    ++team.doors_knocked;
    here = there;
  }
  if (minutes > 0) minutes += minutesBetween(here, town.base);
  // A crew that runs out of doors goes home, and its hours count all the same.
  team.crew_hours += std::max(minutes / 60, hours);
}

DoorNews newsOf(const Team& team) {
  const auto& record = team.record;
  constexpr std::int32_t kNever = -1'000'000;
  DoorNews news;
  news.last_look.assign(record.doors.size(), kNever);
  news.last_answer.assign(record.doors.size(), kNever);
  news.leads.assign(record.doors.size(), 0);
  news.closed.assign(record.doors.size(), 0);
  for (std::size_t d = 0; d < record.doors.size(); ++d) news.closed[d] = record.doors.asked_not_to_return[d] ? 1 : 0;
  for (std::size_t i = 0; i < record.looks.size(); ++i) {
    const auto door = static_cast<std::size_t>(record.looks.door[i]);
    news.last_look[door] = std::max(news.last_look[door], record.looks.date[i].days);
    if (record.looks.result[i] != DoorResult::NobodyHome) news.last_answer[door] = std::max(news.last_answer[door], record.looks.date[i].days);
  }
  for (std::size_t i = 0; i < record.animals.size(); ++i)
    if (record.animals.door[i] != kNowhere && !record.animals.first_met[i] && !record.animals.gone[i]) ++news.leads[static_cast<std::size_t>(record.animals.door[i])];
  return news;
}

std::vector<double> findsOf(const Team& team, Date since) {
  std::vector<double> finds(team.record.blocks, 0);
  const auto& looks = team.record.looks;
  for (std::size_t i = 0; i < looks.size(); ++i)
    if (looks.date[i] >= since) finds[static_cast<std::size_t>(looks.block[i])] += std::max(looks.dogs_seen[i], 0);
  return finds;
}

void liveHistory(const Town& town, Team& team) {
  constexpr double kHours = 4;
  for (Date day = town.start + 5; day < town.start + kHistoryDays; day = day + 7) {
    hearTips(town, team, day);
    Random random(town.seed + 11, static_cast<std::uint64_t>(day.days));
    const bool where_dogs_were = random.uniform() < 0.5;
    std::vector<double> score = where_dogs_were ? findsOf(team, day + (-365)) : std::vector<double>(town.blocks(), 0);
    if (where_dogs_were)
      for (std::size_t i = 0; i < team.record.animals.size(); ++i)
        score[static_cast<std::size_t>(team.record.animals.block[i])] += team.record.animals.by_planned_look[i] != 0 ? 0 : 1;
    for (std::size_t b = 0; b < town.blocks(); ++b)
      score[b] = (score[b] + (where_dogs_were ? 0.05 : 1)) * std::exp(-kilometres(town.centre[b], town.base) / 0.7) * (0.2 + random.uniform());
    std::vector<std::size_t> order(town.blocks());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, [&](std::size_t a, std::size_t b) { return score[a] > score[b]; });
    const DoorNews news = newsOf(team);
    std::vector<int> doors;
    for (std::size_t i = 0; i < order.size() && doors.size() < 70; ++i)
      for (const int door : town.doors_of[order[i]])
        if (day.days - news.last_look[static_cast<std::size_t>(door)] > 90) doors.push_back(door);
    goOut(town, team, day, doors, kHours);
  }
  team.crew_hours = 0;
  team.doors_knocked = team.newly_met = team.newly_met_in_need = 0;
}

}  // namespace leeward::bench
