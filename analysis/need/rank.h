#pragma once
/// Where next: blocks by the worth of an hour, and how certain that order is.
///
/// Worth = expected unmet dogs in need, at doors that may be visited, per crew-hour. The doors to look at in a block are
/// those with a lead and those at least half as unexamined as the block's least examined door; asked-not-to-return and
/// vacant doors are out of reach. Minutes = doors x minutes_per_door + expected visits x minutes_per_visit + the walk past
/// those doors + a stop + a fair share of driving out and back (an outing's drive is shared by what fits into it).
/// Certainty, by seeded draws with one stream a block: block rates from their gamma, leads as Bernoullis, shares in need
/// from their beta. chance_top_k asks for the animals themselves (the rate's Poisson noise is in it): the chance to be
/// among the k blocks with most unmet. rank_low, rank_high and chance_rank_k ask for the worth per hour, which does not
/// hang on which animals happen to be there; the interval of ranks is the equal-tailed one of the draws, stretched to the block's
/// own rank (by expected worth) where that lies outside. The need index and its margins are not in it.
#include <vector>

#include "analysis/need/outing.h"
#include "analysis/need/unmet.h"

namespace leeward::analysis {

struct RankOptions {
  int k = 20;
  int draws = 1000;
  double level = 0.90;
  std::uint64_t seed = 1;
};

struct Ranking {
  // One entry a block. Blocks without doors have rank 0 (none), nan chances and no worth.
  std::vector<int> doors_to_look;
  std::vector<double> minutes;        ///< one crew, for all doors to look at
  std::vector<double> within_reach;   ///< unmet dogs in need at the doors to look at
  std::vector<double> per_crew_hour;  ///< within_reach / (minutes / 60); 0 where there is nothing to do
  std::vector<int> rank;              ///< 1 = best; ties by lower block
  std::vector<int> rank_low, rank_high;  ///< rank_low <= rank <= rank_high
  std::vector<double> chance_top_k, chance_rank_k;
  std::vector<std::size_t> order;  ///< ranked blocks, best first
  // The whole study.
  double total_unmet = 0;
  int total_low = 0, total_high = 0;  ///< from the draws, the town's mean drawn with them
  int k = 20;                         ///< as used: at most the number of ranked blocks
};

/// Draws that don't hang on what an outing takes.
struct DrawnTown {
  std::size_t draws = 0;
  std::vector<float> reach;          ///< unmet in need within reach, by draw, then ranked block
  std::vector<double> chance_top_k;  ///< one entry a ranked block
  int total_low = 0, total_high = 0;
};

/// All of a ranking that doesn't hang on the hours and minutes of an outing: made once, and ranked under any of them at once.
struct RankBasis {
  // One entry a block.
  std::vector<int> doors_to_look;
  std::vector<double> visits;        ///< expected at those doors
  std::vector<double> walk_m;        ///< past them (walkLengthM)
  std::vector<Point> centre;         ///< of them
  std::vector<double> within_reach;  ///< as Ranking's
  std::vector<std::size_t> ranked;   ///< blocks with doors, in order
  double total_unmet = 0;
  DrawnTown drawn;
};
/// InvalidArgument for k or draws below 1, a level outside (0, 1). Cancelled leaves nothing. 25 k blocks x 1,000 draws take some seconds and 100 MB.
Result<RankBasis> rankBasis(const Record& record, const Effort& effort, const UnmetEstimate& estimate, const RankOptions& options, Progress& progress);

/// InvalidArgument for times or speeds that aren't positive (hours may be 0). Without `certainty` rank_low, rank_high are 0 and chances nan.
Result<Ranking> rankBlocks(const RankBasis& basis, const Outing& outing, const RankOptions& options, bool certainty, Progress& progress);

/// Both in one.
Result<Ranking> rankBlocks(const Record& record, const Effort& effort, const UnmetEstimate& estimate, const Outing& outing,
                           const RankOptions& options, Progress& progress);

}  // namespace leeward::analysis
