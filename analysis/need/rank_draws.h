#pragma once
/// The draws behind the certainty of a ranking. Used by rank.cpp alone.
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/need/rank.h"

namespace leeward::analysis {

/// One ranked block, as the draws see it.
struct DrawnBlock {
  double shape = 1, scale = 0, prior_share = 0;  ///< of the rate of doors with dogs, given the town's mean
  double open = 0;                               ///< doors unexamined, all
  double open_in_reach = 0;                      ///< those among the doors to look at
  std::vector<double> leads;                     ///< chances; the first `leads_in_reach` of them at doors to look at
  std::size_t leads_in_reach = 0;
  double need_a = 1, need_b = 1;
  std::uint64_t stream = 0;  ///< the block's own, whatever else is ranked
};

/// Draws as they are whatever an outing takes; options: draws, k, level, seed.
Result<DrawnTown> drawTown(const std::vector<DrawnBlock>& blocks, const TownFit& town, const RankOptions& options, Progress& progress);

struct DrawnRanks {
  std::vector<int> low, high;  ///< one entry a drawn block
  std::vector<double> chance_k;
};
/// Ranks by drawn worth, reach / hours; hours: of each drawn block, 0 where there is nothing to do.
Result<DrawnRanks> drawnRanks(const DrawnTown& drawn, std::span<const double> hours, const RankOptions& options, Progress& progress);

}  // namespace leeward::analysis
