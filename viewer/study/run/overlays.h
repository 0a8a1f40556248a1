#pragma once
/// What public layers say of each block: people, housing, heat, need.
#include <string>
#include <vector>

#include "analysis/need/index.h"
#include "viewer/study/run/context.h"

namespace leeward::study {

/// One entry a block; nan = missing, which is never zero.
struct BlockFacts {
  std::vector<std::string> id, group;
  std::vector<std::vector<std::string>> streets;  ///< the streets around it, clockwise from the north; empty = none known
  std::vector<double> people, housing_units;
  std::vector<double> heat;                 ///< mean over the block, in the layer's unit
  std::vector<double> need;                 ///< 0..1
  std::vector<analysis::NeedIndicator> indicators;  ///< what the need index is made of, in the order of the study file
  std::vector<std::string> remarks;         ///< what did not match, what is constant
};

/// The streets around each block, clockwise from the north. People and housing as the blocks layer has them, else apportioned by area from the areas layer; heat by exact-coverage means;
/// need from the study's indicators, joined by the block's group id, else by the area that the block lies in. An indicator
/// is a figure of its census area: every block in it has the same, error included. Needs a blocks layer.
Result<BlockFacts> blockFacts(RunContext& context, Progress progress);

/// The key of blockFacts() for these layers and settings.
Result<std::string> blockFactsKey(RunContext& context);

}  // namespace leeward::study
