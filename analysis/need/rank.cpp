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

double minutesFor(const RankBasis& basis, std::size_t block, const Outing& outing) {
  if (basis.doors_to_look[block] == 0) return 0;
  const double on_the_spot = basis.doors_to_look[block] * outing.minutes_per_door + basis.visits[block] * outing.minutes_per_visit +
                             walkingMinutes(outing, basis.walk_m[block]) + outing.minutes_per_stop;
  if (!outing.start) return on_the_spot;
  return on_the_spot + shareOfDriving(outing, on_the_spot, 2 * drivingMinutes(outing, *outing.start, basis.centre[block]));
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

Result<void> describeDoors(RankBasis& basis, const std::vector<DrawnBlock>& drawn, const Record& record, const UnmetEstimate& estimate, const BlockDoors& doors, Progress progress) {
  basis.doors_to_look.assign(record.blocks, 0);
  basis.centre.assign(record.blocks, {});
  for (auto* column : {&basis.visits, &basis.walk_m, &basis.within_reach}) column->assign(record.blocks, 0);
  return progress.parallelFor(record.blocks, 64, [&](std::size_t begin, std::size_t end) {
    std::vector<Point> places;
    for (std::size_t b = begin; b < end; ++b) {
      const auto& to_look = doors.to_look[b];
      places.clear();
      for (const std::uint32_t door : to_look) {
        const Point place = record.doors.position[door];
        places.push_back(place);
        basis.visits[b] += estimate.door_chance[door];
        basis.centre[b].x += place.x / static_cast<double>(to_look.size());
        basis.centre[b].y += place.y / static_cast<double>(to_look.size());
      }
      basis.doors_to_look[b] = static_cast<int>(to_look.size());
      basis.walk_m[b] = to_look.empty() ? 0 : walkLengthM(places);
      const auto& leads = drawn[b].leads;
      const double in_reach = std::accumulate(leads.begin(), leads.begin() + static_cast<std::ptrdiff_t>(drawn[b].leads_in_reach), 0.0);
      basis.within_reach[b] = (estimate.rate[b] * drawn[b].open_in_reach + in_reach) * estimate.share_in_need[b];
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

Result<RankBasis> rankBasis(const Record& record, const Effort& effort, const UnmetEstimate& estimate, const RankOptions& options, Progress& progress) {
  LEEWARD_TRY(checkRecord(record));
  LEEWARD_TRY(checkOptions(record, effort, estimate, options));
  const BlockDoors doors = chooseDoors(record, effort, estimate);
  std::vector<DrawnBlock> drawn = blocksToDraw(record, effort, estimate, doors);
  RankBasis basis;
  LEEWARD_TRY(describeDoors(basis, drawn, record, estimate, doors, progress.part(0, 0.1)));
  std::vector<DrawnBlock> ranked;
  for (std::size_t b = 0; b < record.blocks; ++b) {
    basis.total_unmet += estimate.unmet[b];
    if (doors.all[b].empty()) continue;
    basis.ranked.push_back(b);
    ranked.push_back(std::move(drawn[b]));
  }
  Progress of_draws = progress.part(0.1, 1);
  LEEWARD_ASSIGN(town, drawTown(ranked, estimate.town, options, of_draws));
  basis.drawn = std::move(town);
  return basis;
}

Result<Ranking> rankBlocks(const RankBasis& basis, const Outing& outing, const RankOptions& options, bool certainty, Progress& progress) {
  LEEWARD_TRY(checkOuting(outing));
  const std::size_t blocks = basis.doors_to_look.size();
  Ranking ranking;
  ranking.doors_to_look = basis.doors_to_look;
  ranking.within_reach = basis.within_reach;
  ranking.order = basis.ranked;
  for (auto* column : {&ranking.minutes, &ranking.per_crew_hour}) column->assign(blocks, 0);
  for (std::size_t b = 0; b < blocks; ++b) {
    ranking.minutes[b] = minutesFor(basis, b, outing);
    if (ranking.minutes[b] > 0) ranking.per_crew_hour[b] = ranking.within_reach[b] / (ranking.minutes[b] / 60);
  }
  for (auto* column : {&ranking.rank, &ranking.rank_low, &ranking.rank_high}) column->assign(blocks, 0);
  for (auto* column : {&ranking.chance_top_k, &ranking.chance_rank_k}) column->assign(blocks, std::numeric_limits<double>::quiet_NaN());
  std::ranges::stable_sort(ranking.order, [&](std::size_t a, std::size_t b) { return ranking.per_crew_hour[a] > ranking.per_crew_hour[b]; });
  for (std::size_t i = 0; i < ranking.order.size(); ++i) ranking.rank[ranking.order[i]] = static_cast<int>(i) + 1;
  ranking.k = static_cast<int>(std::min(static_cast<std::size_t>(options.k), ranking.order.size()));
  ranking.total_unmet = basis.total_unmet;
  ranking.total_low = basis.drawn.total_low;
  ranking.total_high = basis.drawn.total_high;
  if (!certainty) return ranking;
  std::vector<double> hours;
  for (const std::size_t b : basis.ranked) hours.push_back(ranking.minutes[b] / 60);
  LEEWARD_ASSIGN(drawn, drawnRanks(basis.drawn, hours, options, progress));
  for (std::size_t i = 0; i < basis.ranked.size(); ++i) {
    const std::size_t b = basis.ranked[i];
    // Draws are skewed: a block whose worth rests on a small chance of many dogs ranks lower in most draws than by its mean.
    ranking.rank_low[b] = std::min(drawn.low[i], ranking.rank[b]);
    ranking.rank_high[b] = std::max(drawn.high[i], ranking.rank[b]);
    ranking.chance_top_k[b] = basis.drawn.chance_top_k[i];
    ranking.chance_rank_k[b] = drawn.chance_k[i];
  }
  return ranking;
}

Result<Ranking> rankBlocks(const Record& record, const Effort& effort, const UnmetEstimate& estimate, const Outing& outing,
                           const RankOptions& options, Progress& progress) {
  LEEWARD_TRY(checkOuting(outing));
  Progress drawing = progress.part(0, 0.8), ranking = progress.part(0.8, 1);
  LEEWARD_ASSIGN(basis, rankBasis(record, effort, estimate, options, drawing));
  return rankBlocks(basis, outing, options, true, ranking);
}

}  // namespace leeward::analysis
