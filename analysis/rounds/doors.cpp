#include "analysis/rounds/doors.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "analysis/need/because.h"

namespace leeward::analysis {

namespace {

// Less than one dog in so many doors isn't worth a line on the sheet.
constexpr double kLeastWorth = 1e-6;

struct Candidate {
  std::uint32_t door = 0;
  double worth = 0;    // unmet dogs in need that a knock is expected to meet
  double minutes = 0;  // at the door, visits as expected; without the way
};

struct BlockCandidates {
  std::vector<Candidate> doors;  // worth most per minute first; those taken are removed
  Point centre;
  double step_minutes = 0;  // usual walk from door to door
};

struct Place {
  std::optional<Point> at;  // none: not set out yet, and no start given
};

class Planner {
 public:
  Planner(const Record& record, const UnmetEstimate& estimate, const Outing& outing)
      : record_(record), estimate_(estimate), outing_(outing), blocks_(record.blocks) {
    gather();
  }

  /// The rows of one crew, in order. Doors given out are gone for the next.
  struct Leg {
    std::uint32_t door = 0;
    double minutes = 0;
    double unmet_in_need = 0;
  };
  struct Outcome {
    std::vector<Leg> legs;
    double minutes = 0;
  };
  Outcome planCrew(Progress& progress);

 private:
  struct Bite {
    std::size_t block = 0;
    std::size_t doors = 0;
    double per_minute = 0;
  };
  void gather();
  double travel(const Place& from, Point to) const;
  double wayBack(Point from) const { return outing_.start ? drivingMinutes(outing_, from, *outing_.start) : 0; }
  Bite bestBite(const Place& here, double left, const std::vector<std::uint8_t>& spent) const;
  Bite biteAt(std::size_t block, const Place& here, double left) const;
  std::vector<Leg> walk(const BlockCandidates& block, std::size_t doors, const Place& here, double& total) const;
  void take(BlockCandidates& block, std::size_t doors);

  const Record& record_;
  const UnmetEstimate& estimate_;
  const Outing& outing_;
  std::vector<BlockCandidates> blocks_;
};

void Planner::gather() {
  for (std::size_t door = 0; door < record_.doors.size(); ++door) {
    const std::int32_t block = record_.doors.block[door];
    if (block == kNowhere || isClosed(record_, door) || isVacant(record_, door)) continue;
    const double worth = estimate_.door_unmet[door] * estimate_.share_in_need[block] * estimate_.door_meeting[door];
    if (worth < kLeastWorth) continue;
    const double minutes = outing_.minutes_per_door + estimate_.door_chance[door] * estimate_.door_meeting[door] * outing_.minutes_per_visit;
    blocks_[block].doors.push_back({static_cast<std::uint32_t>(door), worth, minutes});
  }
  for (BlockCandidates& block : blocks_) {
    if (block.doors.empty()) continue;
    std::vector<Point> places;
    for (const Candidate& c : block.doors) places.push_back(record_.doors.position[c.door]);
    const auto n = static_cast<double>(places.size());
    for (const Point p : places) block.centre = {block.centre.x + p.x / n, block.centre.y + p.y / n};
    block.step_minutes = walkingMinutes(outing_, walkLengthM(places)) / n;
    std::ranges::stable_sort(block.doors,
                             [](const Candidate& a, const Candidate& b) { return a.worth / a.minutes > b.worth / b.minutes; });
  }
}

// On foot or by van, whichever is quicker.
double Planner::travel(const Place& from, Point to) const {
  if (!from.at) return outing_.minutes_per_stop;
  const double by_van = drivingMinutes(outing_, *from.at, to) + outing_.minutes_per_stop;
  return std::min(by_van, walkingMinutes(outing_, std::hypot(from.at->x - to.x, from.at->y - to.y)));
}

Planner::Bite Planner::biteAt(std::size_t block, const Place& here, double left) const {
  const BlockCandidates& candidates = blocks_[block];
  Bite bite{block, 0, 0};
  double minutes = travel(here, candidates.centre), worth = 0;
  const double back = wayBack(candidates.centre);
  for (const Candidate& next : candidates.doors) {
    const double with_next = minutes + next.minutes + candidates.step_minutes;
    const double ratio = (worth + next.worth) / with_next;
    if (with_next + back > left || ratio < bite.per_minute) break;
    minutes = with_next;
    worth += next.worth;
    ++bite.doors;
    bite.per_minute = ratio;
  }
  return bite;
}

Planner::Bite Planner::bestBite(const Place& here, double left, const std::vector<std::uint8_t>& spent) const {
  Bite best;
  for (std::size_t b = 0; b < blocks_.size(); ++b) {
    if (spent[b] != 0 || blocks_[b].doors.empty()) continue;
    const Bite bite = biteAt(b, here, left);
    if (bite.doors > 0 && bite.per_minute > best.per_minute) best = bite;
  }
  return best;
}

std::vector<Planner::Leg> Planner::walk(const BlockCandidates& block, std::size_t doors, const Place& here, double& total) const {
  std::vector<Point> places;
  for (std::size_t i = 0; i < doors; ++i) places.push_back(record_.doors.position[block.doors[i].door]);
  std::vector<Leg> legs;
  Place from = here;
  total = 0;
  for (const std::size_t i : walkingOrder(places, here.at.value_or(block.centre))) {
    const double minutes = travel(from, places[i]) + block.doors[i].minutes;
    const std::uint32_t door = block.doors[i].door;
    legs.push_back({door, minutes, estimate_.door_unmet[door] * estimate_.share_in_need[static_cast<std::size_t>(record_.doors.block[door])]});
    total += minutes;
    from.at = places[i];
  }
  return legs;
}

void Planner::take(BlockCandidates& block, std::size_t doors) {
  block.doors.erase(block.doors.begin(), block.doors.begin() + static_cast<std::ptrdiff_t>(doors));
}

Planner::Outcome Planner::planCrew(Progress& progress) {
  Outcome outcome;
  Place here{outing_.start};
  double left = outing_.hours * 60;
  std::vector<std::uint8_t> spent(blocks_.size(), 0);  // blocks from which nothing more fits for this crew
  while (!progress.stopRequested()) {
    const Bite bite = bestBite(here, left, spent);
    if (bite.doors == 0) break;
    BlockCandidates& block = blocks_[bite.block];
    // The bite was measured to the block's centre; the true walk may be longer: then its least worthy doors stay.
    std::size_t doors = bite.doors;
    double minutes = 0;
    std::vector<Leg> legs;
    for (; doors > 0; --doors) {
      legs = walk(block, doors, here, minutes);
      if (minutes + wayBack(record_.doors.position[legs.back().door]) <= left) break;
    }
    if (doors == 0) {
      spent[bite.block] = 1;
      continue;
    }
    outcome.legs.insert(outcome.legs.end(), legs.begin(), legs.end());
    outcome.minutes += minutes;
    left -= minutes;
    here.at = record_.doors.position[legs.back().door];
    take(block, doors);
  }
  if (!outcome.legs.empty()) outcome.minutes += wayBack(*here.at);
  return outcome;
}

// What the sheet says of a door: its own record, then what is expected.
class DoorReasons {
 public:
  DoorReasons(const Record& record, const Coverage& coverage, const UnmetEstimate& estimate)
      : record_(record), coverage_(coverage), estimate_(estimate), leads_(record.doors.size(), 0), seen_(record.doors.size()) {
    for (std::size_t i = 0; i < record.animals.size(); ++i) {
      const std::int32_t door = record.animals.door[i];
      if (door == kNowhere || !(estimate.animal_unmet[i] > 0)) continue;
      ++leads_[door];
      seen_[door] = std::max(seen_[door], lastContact(record, i));
    }
  }

  std::string of(std::size_t door) const {
    const DoorCoverage& doors = coverage_.doors;
    const std::string expected = fmt::format("{} unmet dogs expected", inWords(estimate_.door_unmet[door]));
    if (leads_[door] > 0)
      return fmt::format("{} seen here, last on {}, and not yet met; {} now.",
                         leads_[door] == 1 ? "A dog was" : fmt::format("{} dogs were", leads_[door]), toWords(seen_[door]),
                         expected);
    if (doors.dogs_known[door] > 0)
      return fmt::format("{} known here; besides, {}.",
                         doors.dogs_known[door] == 1 ? "A dog is" : fmt::format("{} dogs are", doors.dogs_known[door]), expected);
    if (doors.looks[door] == 0) return fmt::format("Never looked at; {}.", expected);
    return fmt::format("Last looked at on {}, no dog known; {}.", toWords(*doors.last_look[door]), expected);
  }

 private:
  const Record& record_;
  const Coverage& coverage_;
  const UnmetEstimate& estimate_;
  std::vector<int> leads_;
  std::vector<Date> seen_;
};

}  // namespace

Result<DoorRounds> doorsToKnock(const Record& record, const Coverage& coverage, const UnmetEstimate& estimate,
                                const DoorRequest& request, Progress& progress) {
  LEEWARD_TRY(checkRecord(record));
  LEEWARD_TRY(checkOuting(request.outing));
  if (request.crews < 1) return Problem{ProblemCode::InvalidArgument, "there must be at least one crew", "", ""};
  if (estimate.door_unmet.size() != record.doors.size() || estimate.door_meeting.size() != record.doors.size() || coverage.doors.looks.size() != record.doors.size())
    return Problem{ProblemCode::InvalidArgument, "the estimate or the coverage belongs to another record", "", ""};

  Planner planner(record, estimate, request.outing);
  const DoorReasons reasons(record, coverage, estimate);
  DoorRounds rounds;
  for (int crew = 1; crew <= request.crews; ++crew) {
    progress.report(static_cast<double>(crew - 1) / request.crews, "Choosing doors");
    const Planner::Outcome outcome = planner.planCrew(progress);
    LEEWARD_TRY(progress.checkStop());
    double unmet_in_need = 0;
    int order = 0;
    for (const Planner::Leg& leg : outcome.legs) {
      rounds.crew.push_back(crew);
      rounds.order.push_back(++order);
      rounds.door.push_back(static_cast<std::int32_t>(leg.door));
      rounds.block.push_back(record.doors.block[leg.door]);
      rounds.chance_unmet.push_back(estimate.door_chance[leg.door]);
      rounds.unmet_in_need.push_back(leg.unmet_in_need);
      rounds.minutes.push_back(leg.minutes);
      rounds.due.push_back(coverage.doors.due[leg.door]);
      rounds.because.push_back(reasons.of(leg.door));
      unmet_in_need += leg.unmet_in_need;
    }
    rounds.crew_minutes.push_back(outcome.minutes);
    rounds.crew_unmet_in_need.push_back(unmet_in_need);
  }
  progress.report(1);
  return rounds;
}

}  // namespace leeward::analysis
