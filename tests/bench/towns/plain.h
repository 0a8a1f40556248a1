#pragma once
/// The plain model and the flat one: what an analyst would write in an afternoon. Written apart from the engine's model.
#include <vector>

#include "analysis/coverage/effort.h"
#include "tests/bench/towns/town.h"

namespace leeward::bench {

struct PlainRates {
  std::vector<double> rate;   ///< doors with dogs per door, per block
  double share_in_need = 0.5; ///< the town's
};
/// Poisson regression of found doors on effective doors with the published covariates (Newton's steps, a ridge of 1 so that it always ends), then
/// gamma shrinkage with a shape of 2 to the block's own record. Without covariates: the flat one. Before the first planned look: 0.05 everywhere.
PlainRates plainRates(const Town& town, const analysis::Record& record, const analysis::Effort& effort, bool covariates);

}  // namespace leeward::bench
