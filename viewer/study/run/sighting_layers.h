#pragma once
/// Sightings and their clusters as layers.
#include <string>
#include <vector>

#include "viewer/study/run/book.h"

namespace leeward::study {

struct SightingLayers {
  Layer sightings;  ///< columns as Findings::sightings says
  Layer clusters;   ///< columns as Findings::clusters says
};

Result<SightingLayers> sightingLayers(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, Progress progress);

}  // namespace leeward::study
