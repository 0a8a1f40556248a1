#include "analysis/need/rank.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "analysis/need/rank_draws.h"

namespace leeward::analysis {

namespace {

// A door counts among those to look at if it is at least so unexamined as a share of the block's least examined door.
constexpr double kStillOpen = 0.5;

struct BlockDoors {
  std::vector<std::vector<std::uint32_t>> all, to_look;
  std::vector<std::uint8_t> is_to_look;  // per door
};

BlockDoors chooseDoors(const Record& record, const Effort& effort, const UnmetEstimate& estimate) {
  const std::size_t doors = record.doors.size();
  BlockDoors chosen{std::vector<std::vector<std::uint32_t>>(record.blocks),
                    std::vector<std::vector<std::uint32_t>>(record.blocks), std::vector<std::uint8_t>(doors, 0)};
  std::vector<std::uint8_t> has_lead(doors, 0);
  for (std::size_t i = 0; i < record.animals.size(); ++i)
    if (const std::int32_t door = record.animals.door[i]; door != kNowhere && estimate.animal_unmet[i] > 0) has_lead[door] = 1;
  std::vector<double> most_open(record.blocks, 0);
  const auto in_reach = [&](std::size_t door) { return !isClosed(record, door) && !isVacant(record, door); };
  for (std::size_t door = 0; door < doors; ++door) {
    const std::int32_t block = record.doors.block[door];
    if (block == kNowhere) continue;
    chosen.all[block].push_back(static_cast<std::uint32_t>(door));
    if (in_reach(door)) most_open[block] = std::max(most_open[block], effort.unexamined[door]);
  }
  for (std::size_t block = 0; block < record.blocks; ++block)
    for (const std::uint32_t door : chosen.all[block]) {
      const bool open = most_open[block] > 0 && effort.unexamined[door] >= kStillOpen * most_open[block];
      if (!in_reach(door) || !(open || has_lead[door])) continue;
      chosen.to_look[block].push_back(door);
      chosen.is_to_look[door] = 1;
    }
  return chosen;
}

// Of the outings that the block takes, each costs one drive out and back; a block that fills part of one pays that part.
double shareOfDriving(const Outing& outing, double on_the_spot, double there_and_back) {
  if (!(outing.hours > 0)) return there_and_back;
  constexpr double kLeastMinutesLeft = 5;
  return there_and_back * on_the_spot / std::max(outing.hours * 60 - there_and_back, kLeastMinutesLeft);
}

double minutesFor(const Record& record, const UnmetEstimate& estimate, const Outing& outing,
                  const std::vector<std::uint32_t>& doors) {
  if (doors.empty()) return 0;
  std::vector<Point> places;
  double visits = 0;
  for (const std::uint32_t door : doors) {
    places.push_back(record.doors.position[door]);
    visits += estimate.door_chance[door];
  }
  const double on_the_spot = static_cast<double>(doors.size()) * outing.minutes_per_door + visits * outing.minutes_per_visit +
                             walkingMinutes(outing, walkLengthM(places)) + outing.minutes_per_stop;
  if (!outing.start) return on_the_spot;
  Point centre;
  for (const Point p : places) {
    centre.x += p.x / static_cast<double>(places.size());
    centre.y += p.y / static_cast<double>(places.size());
  }
  return on_the_spot + shareOfDriving(outing, on_the_spot, 2 * drivingMinutes(outing, *outing.start, centre));
}

// Leads by block, those within reach first. A lead without a door is in reach if the block has a door to look at.
void addLeads(std::vector<DrawnBlock>& drawn, const Record& record, const UnmetEstimate& estimate, const BlockDoors& doors) {
  for (const bool reach : {true, false}) {
    for (std::size_t i = 0; i < record.animals.size(); ++i) {
      const std::int32_t block = blockOfAnimal(record, i);
      if (block == kNowhere || !(estimate.animal_unmet[i] > 0)) continue;
      const std::int32_t door = record.animals.door[i];
      const bool in_reach = door == kNowhere ? !doors.to_look[block].empty() : doors.is_to_look[door] != 0;
      if (in_reach == reach) drawn[block].leads.push_back(estimate.animal_unmet[i]);
    }
    if (reach)
      for (DrawnBlock& block : drawn) block.leads_in_reach = block.leads.size();
  }
}

std::vector<DrawnBlock> blocksToDraw(const Record& record, const Effort& effort, const UnmetEstimate& estimate,
                                     const BlockDoors& doors) {
  std::vector<DrawnBlock> drawn(record.blocks);
  for (std::size_t b = 0; b < record.blocks; ++b) {
    DrawnBlock& block = drawn[b];
    block.shape = estimate.rate_shape[b];
    block.scale = estimate.rate_scale[b];
    block.prior_share = estimate.prior_share[b];
    block.open = estimate.doors_open[b];
    for (const std::uint32_t door : doors.to_look[b]) block.open_in_reach += effort.unexamined[door] * (1 - estimate.known_otherwise_share[b]);
    block.need_a = estimate.need_a[b];
    block.need_b = estimate.need_b[b];
    block.stream = b;
  }
  addLeads(drawn, record, estimate, doors);
  return drawn;
}

Result<void> setWorth(Ranking& ranking, std::vector<DrawnBlock>& drawn, const Record& record, const UnmetEstimate& estimate,
                      const BlockDoors& doors, const Outing& outing, Progress progress) {
  ranking.doors_to_look.assign(record.blocks, 0);
  for (auto* column : {&ranking.minutes, &ranking.within_reach, &ranking.per_crew_hour}) column->assign(record.blocks, 0);
  return progress.parallelFor(record.blocks, 64, [&](std::size_t begin, std::size_t end) {
    for (std::size_t b = begin; b < end; ++b) {
      DrawnBlock& block = drawn[b];
      ranking.doors_to_look[b] = static_cast<int>(doors.to_look[b].size());
      ranking.minutes[b] = minutesFor(record, estimate, outing, doors.to_look[b]);
      const double leads =
          std::accumulate(block.leads.begin(), block.leads.begin() + static_cast<std::ptrdiff_t>(block.leads_in_reach), 0.0);
      ranking.within_reach[b] = (estimate.rate[b] * block.open_in_reach + leads) * estimate.share_in_need[b];
      block.hours = ranking.minutes[b] / 60;
      if (block.hours > 0) ranking.per_crew_hour[b] = ranking.within_reach[b] / block.hours;
    }
  });
}

Result<void> checkOptions(const Record& record, const Effort& effort, const UnmetEstimate& estimate, const RankOptions& options) {
  const auto wrong = [](std::string what) { return Problem{ProblemCode::InvalidArgument, std::move(what), "", ""}; };
  if (options.k < 1 || options.draws < 1) return wrong("the number of top blocks and of draws must be at least 1");
  if (!(options.level > 0 && options.level < 1)) return wrong("the level of intervals must lie between 0 and 1");
  if (estimate.rate.size() != record.blocks || estimate.door_unmet.size() != record.doors.size() ||
      estimate.animal_unmet.size() != record.animals.size() || effort.unexamined.size() != record.doors.size())
    return wrong("the estimate belongs to another record");
  return {};
}

}  // namespace

Result<Ranking> rankBlocks(const Record& record, const Effort& effort, const UnmetEstimate& estimate, const Outing& outing,
                           const RankOptions& options, Progress& progress) {
  LEEWARD_TRY(checkRecord(record));
  LEEWARD_TRY(checkOuting(outing));
  LEEWARD_TRY(checkOptions(record, effort, estimate, options));
  const BlockDoors doors = chooseDoors(record, effort, estimate);
  std::vector<DrawnBlock> drawn = blocksToDraw(record, effort, estimate, doors);
  Ranking ranking;
  LEEWARD_TRY(setWorth(ranking, drawn, record, estimate, doors, outing, progress.part(0, 0.1)));

  for (std::size_t b = 0; b < record.blocks; ++b)
    if (!doors.all[b].empty()) ranking.order.push_back(b);
  std::vector<DrawnBlock> ranked;
  for (const std::size_t b : ranking.order) ranked.push_back(std::move(drawn[b]));
  Progress of_draws = progress.part(0.1, 1);
  LEEWARD_ASSIGN(certainty, drawCertainty(ranked, estimate.town, options, of_draws));

  for (auto* column : {&ranking.rank, &ranking.rank_low, &ranking.rank_high}) column->assign(record.blocks, 0);
  for (auto* column : {&ranking.chance_top_k, &ranking.chance_rank_k})
    column->assign(record.blocks, std::numeric_limits<double>::quiet_NaN());
  for (std::size_t i = 0; i < ranking.order.size(); ++i) {
    const std::size_t b = ranking.order[i];
    ranking.rank_low[b] = certainty.rank_low[i];
    ranking.rank_high[b] = certainty.rank_high[i];
    ranking.chance_top_k[b] = certainty.chance_top_k[i];
    ranking.chance_rank_k[b] = certainty.chance_rank_k[i];
  }
  std::ranges::stable_sort(ranking.order,
                           [&](std::size_t a, std::size_t b) { return ranking.per_crew_hour[a] > ranking.per_crew_hour[b]; });
  for (std::size_t i = 0; i < ranking.order.size(); ++i) {
    const std::size_t b = ranking.order[i];
    const int rank = ranking.rank[b] = static_cast<int>(i) + 1;
    // Draws are skewed: a block whose worth rests on a small chance of many dogs ranks lower in most draws than by its mean.
    ranking.rank_low[b] = std::min(ranking.rank_low[b], rank);
    ranking.rank_high[b] = std::max(ranking.rank_high[b], rank);
  }
  for (std::size_t b = 0; b < record.blocks; ++b) ranking.total_unmet += estimate.unmet[b];
  ranking.total_low = certainty.total_low;
  ranking.total_high = certainty.total_high;
  ranking.k = static_cast<int>(std::min(static_cast<std::size_t>(options.k), ranking.order.size()));
  return ranking;
}

}  // namespace leeward::analysis
