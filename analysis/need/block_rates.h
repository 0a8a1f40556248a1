#pragma once
/// What is expected of a block's doors before its own record is looked at: from the town, from what figures of census and heat explain, and from the
/// blocks around it.
///
///   rate of block b = exp(mean + sum of coefficient x figure) x field of b x the block's own gamma factor
///
/// Figures are brought to mean 0 and standard deviation 1 over the blocks with doors and held within 2.5 of these, missing ones are taken as the mean;
/// coefficients have a normal prior (ridge), for indicators of need around a small share in the direction that people assume, so that a first record
/// does not wipe out what need told on day one; its width is chosen. The field is a gamma factor around 1 of which the blocks nearby tell, by exp(-distance / reach): ratios of finds
/// to what the figures expect of the looks made there, so that no logarithm is averaged and totals keep their level. Width, reach and both shapes are
/// chosen by the negative-binomial log score of blocks left out (in five patches for the coefficients, one by one for the field); a part that does not
/// earn more than it costs (`kGain`) is left out. At last the mean is set so that the finds expected of the record's own planned looks are those made.
#include <span>
#include <string>
#include <vector>

#include "analysis/coverage/record.h"
#include "shared/base/progress.h"

namespace leeward::analysis {

struct RateFigure {
  std::string label;
  std::vector<double> values;      ///< one a block; nan = missing
  int assumed_direction = 0;       ///< 1: more of it is taken for more need; -1: less of it; 0: nothing is assumed
};

struct BlockRateRequest {
  std::span<const int> found_doors;
  std::span<const double> effective_doors;
  std::span<const Point> centre;        ///< of each block's doors, metres; nan: no doors
  std::span<const RateFigure> figures;  ///< may be empty
  double assumed_rate = 0.05, assumed_doors = 20;
};

struct RateTerm {
  std::string label;
  double coefficient = 0;  ///< of log(rate), by standard deviation
};

struct BlockRates {
  std::vector<double> mean;   ///< doors with dogs per door, before the block's own record
  std::vector<double> shape;  ///< of the gamma around it
  double town_mean = 0;       ///< the mean over looks
  double mean_shape = 1;      ///< what is known of the level of all, as a gamma's shape
  double shape_between = 1;   ///< the block's own factor's
  std::vector<RateTerm> terms;
  double reach_m = 0;         ///< of the field; 0: none
  std::vector<std::string> remarks;   ///< figures left out, and figures that go together
};

/// Blocks as one array each. Deterministic whatever the threads. Cancelled leaves nothing.
Result<BlockRates> blockRates(const BlockRateRequest& request, Progress& progress);

}  // namespace leeward::analysis
