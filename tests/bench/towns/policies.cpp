#include "tests/bench/towns/policies.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "analysis/need/where_next.h"
#include "analysis/rounds/doors.h"
#include "shared/base/random.h"
#include "tests/bench/towns/plain.h"

namespace leeward::bench {

using analysis::kNowhere;

namespace {

constexpr int kSettledDays = 365, kTriedDays = 21;

template <class Value>
Value must(Result<Value> result) {
  if (!result.ok()) {
    fmt::print(stderr, "{}\n", result.problem().what);
    std::exit(4);
  }
  return std::move(*result);
}

/// What a study has: the indicators as they are published, heat among them, with the directions that people assume.
std::vector<analysis::RateFigure> figuresOf(const Town& town) {
  std::vector<analysis::RateFigure> figures;
  constexpr const char* kLabels[] = {"poverty", "vacancy", "renters", "heat"};
  for (std::size_t c = 0; c < town.covariates.size(); ++c) figures.push_back({kLabels[c], town.covariates[c], 1});
  return figures;
}

analysis::Outing outingOf(const Town& town, double hours) {
  analysis::Outing outing;
  outing.start = town.base;
  outing.hours = hours;
  return outing;
}

/// A list may be somewhat longer than the day: fewer dogs than expected may be met.
constexpr double kSpare = 1.3;

std::vector<int> planned(const Town& town, const Team& team, const Said& said, double hours) {
  analysis::Record record = team.record;
  record.half_life_days = 365;
  Progress progress;
  const auto coverage = must(analysis::coverageOf(record));
  const auto rounds = must(analysis::doorsToKnock(record, coverage, said.unmet, {outingOf(town, hours * kSpare), 1}, progress));
  return {rounds.door.begin(), rounds.door.end()};
}

/// Doors that a policy by blocks would knock at: not asked not to return; not answered within `settled` days; not tried within three weeks.
bool open(const DoorNews& news, int door, Date day, int settled) {
  const auto d = static_cast<std::size_t>(door);
  if (news.closed[d] != 0 || day.days - news.last_look[d] < kTriedDays) return false;
  return news.leads[d] > 0 || day.days - news.last_answer[d] >= settled;
}

/// Block after block by score (ties: nearest to where the crew stands), its open doors along the street.
std::vector<int> blockByBlock(const Town& town, const DoorNews& news, const std::vector<double>& score, Date day, double hours, int settled, std::vector<int> list = {}) {
  std::vector<std::vector<int>> open_doors(town.blocks());
  for (std::size_t b = 0; b < town.blocks(); ++b)
    for (const int door : town.doors_of[b])
      if (open(news, door, day, settled)) open_doors[b].push_back(door);
  const auto enough = static_cast<std::size_t>(hours * kSpare * 60 / 4.5) + 1;
  Point here = list.empty() ? town.base : town.doors[static_cast<std::size_t>(list.back())].at;
  std::vector<std::uint8_t> done(town.blocks(), 0);
  while (list.size() < enough) {
    std::size_t best = town.blocks();
    for (std::size_t b = 0; b < town.blocks(); ++b) {
      if (done[b] != 0 || open_doors[b].empty()) continue;
      const bool better = best == town.blocks() || score[b] > score[best] ||
                          (score[b] == score[best] && minutesBetween(here, town.centre[b]) < minutesBetween(here, town.centre[best]));
      if (better) best = b;
    }
    if (best == town.blocks()) break;
    done[best] = 1;
    std::vector<Point> places;
    for (const int door : open_doors[best]) places.push_back(town.doors[static_cast<std::size_t>(door)].at);
    for (const std::size_t i : analysis::walkingOrder(places, here)) list.push_back(open_doors[best][i]);
    here = town.doors[static_cast<std::size_t>(list.back())].at;
  }
  return list;
}

std::vector<int> leadsFirst(const Town& town, const DoorNews& news, Date day) {
  std::vector<int> list;
  Point here = town.base;
  std::vector<int> left;
  for (std::size_t d = 0; d < town.doors.size(); ++d)
    if (news.leads[d] > 0 && open(news, static_cast<int>(d), day, kSettledDays)) left.push_back(static_cast<int>(d));
  while (!left.empty()) {
    const auto next = std::ranges::min_element(left, {}, [&](int door) { return minutesBetween(here, town.doors[static_cast<std::size_t>(door)].at); });
    list.push_back(*next);
    here = town.doors[static_cast<std::size_t>(*next)].at;
    left.erase(next);
  }
  return list;
}

/// Worth per door-hour of each block, of its doors that are at least half as unexamined as the least examined, and those with leads.
std::vector<int> byModel(const Town& town, const Team& team, bool covariates, Date day, double hours) {
  const auto effort = must(analysis::plannedEffort(team.record));
  const PlainRates plain = plainRates(town, team.record, effort, covariates);
  std::vector<double> leads(town.doors.size(), 0);
  const auto& animals = team.record.animals;
  for (std::size_t i = 0; i < animals.size(); ++i)
    if (animals.door[i] != kNowhere && analysis::isKnown(team.record, i) && !analysis::isMet(team.record, i))
      leads[static_cast<std::size_t>(animals.door[i])] += analysis::chanceStillSo(team.record, animals.last_seen[i]);
  constexpr double kDogs = 1.5;
  DoorNews news = newsOf(team);
  std::vector<double> score(town.blocks(), 0);
  for (std::size_t b = 0; b < town.blocks(); ++b) {
    double most = 0, worth = 0, minutes = 0;
    for (const int door : town.doors_of[b])
      if (news.closed[static_cast<std::size_t>(door)] == 0) most = std::max(most, effort.unexamined[static_cast<std::size_t>(door)]);
    for (const int door : town.doors_of[b]) {
      const auto d = static_cast<std::size_t>(door);
      const bool worth_it = news.closed[d] == 0 && (effort.unexamined[d] >= 0.5 * most || leads[d] > 0) && day.days - news.last_look[d] >= kTriedDays;
      if (!worth_it) {
        news.closed[d] = 1;
        continue;
      }
      news.last_answer[d] = -1'000'000;
      const double dogs = plain.rate[b] * kDogs * effort.unexamined[d] + leads[d];
      worth += dogs * plain.share_in_need;
      minutes += 4 + 25 * std::min(1.0, plain.rate[b] * effort.unexamined[d] + leads[d]);
    }
    score[b] = minutes > 0 ? worth / minutes : 0;
  }
  return blockByBlock(town, news, score, day, hours, kSettledDays);
}

Said oracleSays(const Town& town, const Team& team, Date day) {
  Said said = engineSays(town, team.record);
  std::fill(said.unmet.door_unmet.begin(), said.unmet.door_unmet.end(), 0);
  for (std::size_t d = 0; d < town.doors.size(); ++d) {
    for (const int dog : dogsAt(town, static_cast<int>(d), day))
      said.unmet.door_unmet[d] += team.met[static_cast<std::size_t>(dog)] == 0 && town.dogs[static_cast<std::size_t>(dog)].in_need ? 1 : 0;
    said.unmet.door_chance[d] = std::min(1.0, said.unmet.door_unmet[d]);
  }
  std::fill(said.unmet.share_in_need.begin(), said.unmet.share_in_need.end(), 1);
  std::fill(said.unmet.door_meeting.begin(), said.unmet.door_meeting.end(), 1);
  return said;
}

}  // namespace

const std::vector<NamedPolicy>& policies() {
  static const std::vector<NamedPolicy> kPolicies = {
      {Policy::Oracle, "oracle"},      {Policy::TrueRates, "true rates"}, {Policy::Engine, "engine"},      {Policy::PlainModel, "plain model"},
      {Policy::Flat, "flat"},          {Policy::OpenLeads, "open leads"}, {Policy::MostFinds, "most finds"}, {Policy::ByHabit, "by habit"},
      {Policy::NeedIndex, "need index"}, {Policy::Nearest, "nearest"},    {Policy::Random, "random"}};
  return kPolicies;
}

Said engineSays(const Town& town, const analysis::Record& record) {
  Progress progress;
  Said said;
  said.effort = must(analysis::plannedEffort(record));
  analysis::UnmetOptions options;
  options.need = town.need_index;
  const std::vector<analysis::RateFigure> figures = figuresOf(town);
  options.figures = figures;
  said.unmet = must(analysis::expectedUnmet(record, said.effort, options, progress));
  return said;
}

namespace {

/// The estimate with the true rates and shares in need laid under it.
void layRatesUnder(Said& said, const Town& town, const analysis::Record& record) {
  auto& unmet = said.unmet;
  std::fill(unmet.doors_open.begin(), unmet.doors_open.end(), 0);
  std::vector<double> leads(record.doors.size(), 0), none(record.doors.size(), 1);
  for (std::size_t i = 0; i < record.animals.size(); ++i) {
    const bool lead = analysis::isKnown(record, i) && !analysis::isMet(record, i);
    unmet.animal_unmet[i] = lead ? analysis::chanceStillSo(record, record.animals.last_seen[i]) : 0;
    if (record.animals.door[i] == kNowhere) continue;
    leads[static_cast<std::size_t>(record.animals.door[i])] += unmet.animal_unmet[i];
    none[static_cast<std::size_t>(record.animals.door[i])] *= 1 - unmet.animal_unmet[i];
  }
  unmet.share_in_need = town.need_share;
  for (std::size_t d = 0; d < record.doors.size(); ++d) {
    const auto b = static_cast<std::size_t>(record.doors.block[d]);
    const double open = said.effort.unexamined[d];
    unmet.doors_open[b] += open;
    unmet.door_unmet[d] = town.rate[b] * town.mean_dogs * open + leads[d];
    unmet.door_chance[d] = 1 - none[d] * std::exp(-town.rate[b] * open);
  }
}

/// What a knock sees on the whole, answered or not, warm and cold.
analysis::ChanceOfSeeing trueChances(const Town& town) {
  analysis::ChanceOfSeeing chances{};
  for (auto& kind : chances) kind.fill(0.4);
  chances[0].fill(0.9);
  for (auto& kind : chances) {
    for (const std::size_t cold : {std::size_t{0}, std::size_t{3}}) kind[cold] *= cold == 0 ? town.kind.winter_seen : (1 + 2 * town.kind.winter_seen) / 3;
  }
  return chances;
}

}  // namespace

Said trueRatesSay(const Town& town, const analysis::Record& as_known) {
  analysis::Record record = as_known;
  record.half_life_days = town.half_life_days;
  Said said = engineSays(town, record);
  layRatesUnder(said, town, record);
  // It knows blocks, not doors: as when it was first written, every knock counts alike.
  std::fill(said.unmet.door_meeting.begin(), said.unmet.door_meeting.end(), 1);
  return said;
}

std::vector<int> doorsTold(unsigned told, const Town& town, const Team& team, double hours) {
  Team knows = team;
  if ((told & kHalfLife) != 0) knows.record.half_life_days = town.half_life_days;
  if ((told & kDetection) != 0) knows.record.chance_of_seeing = trueChances(town);
  Said said = engineSays(town, knows.record);
  if ((told & kRates) != 0) layRatesUnder(said, town, knows.record);
  if ((told & kDoorClasses) != 0)
    for (std::size_t d = 0; d < town.doors.size(); ++d) said.unmet.door_meeting[d] = 0.9 * town.doors[d].at_home * town.doors[d].welcomes;
  return planned(town, team, said, hours);
}

std::vector<int> doorsFor(Policy policy, const Town& town, const Team& team, Date day, double hours) {
  const auto n = town.blocks();
  Random random(town.seed + 5, static_cast<std::uint64_t>(day.days));
  std::vector<double> score(n, 0);
  switch (policy) {
    case Policy::Oracle: return planned(town, team, oracleSays(town, team, day), hours);
    case Policy::TrueRates: return planned(town, team, trueRatesSay(town, team.record), hours);
    case Policy::Engine: return planned(town, team, engineSays(town, team.record), hours);
    case Policy::PlainModel: return byModel(town, team, true, day, hours);
    case Policy::Flat: return byModel(town, team, false, day, hours);
    case Policy::MostFinds: return blockByBlock(town, newsOf(team), findsOf(team, town.start), day, hours, kSettledDays);
    case Policy::ByHabit: return blockByBlock(town, newsOf(team), findsOf(team, town.start), day, hours, 60);
    case Policy::NeedIndex: return blockByBlock(town, newsOf(team), town.need_index, day, hours, kSettledDays);
    case Policy::Nearest:
      for (std::size_t b = 0; b < n; ++b) score[b] = -minutesBetween(town.base, town.centre[b]);
      return blockByBlock(town, newsOf(team), score, day, hours, kSettledDays);
    case Policy::OpenLeads:
    case Policy::Random: break;
  }
  for (double& s : score) s = random.uniform();
  const DoorNews news = newsOf(team);
  return blockByBlock(town, news, score, day, hours, kSettledDays, policy == Policy::OpenLeads ? leadsFirst(town, news, day) : std::vector<int>());
}

}  // namespace leeward::bench
