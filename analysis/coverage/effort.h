#pragma once
/// Planned effort and what it found: the only looks that may feed a rate.
///
/// Crews return to where they know a dog and go where callers point, so a rate counts, at each door, the planned looks
/// up to and including the one that finds the first dog there, and none from the day on which a dog was known there in
/// any other way (same day: other way). Dogs come and go: between two looks a door's dogs are the same with the
/// chance 2^(-days / half_life_days), else new. The chance that dogs now at a door were not seen by its planned looks
/// (`unexamined`, 1 at the start) follows look by look: after a look u(1 - c); after d days, h u + (1 - h), with h the
/// chance of being the same. Each look examines c u of a door. On one day, or with an endless half-life, this is
/// 1 - product of (1 - c), the removal model of occupancy work (MacKenzie et al. 2002, Ecology 83:2248) with c given.
/// Derivation: analysis/METHODS.md, "Planned effort".
#include <vector>

#include "analysis/coverage/record.h"

namespace leeward::analysis {

struct Effort {
  // One entry a block.
  std::vector<double> effective_doors;  ///< sum of c u over the looks that count
  std::vector<int> planned_looks;       ///< the looks that count
  std::vector<int> found_doors;         ///< doors whose first dog a planned look found
  std::vector<int> finds;               ///< dogs seen by those finding looks, at least one each
  /// Doors with dogs first known other than by a planned look, each by the chance that those dogs are still there and by the
  /// share of the town's planned effort that came before (later looks leave such doors out, so the rate that they give leaves them
  /// out too); dogs told of in the block but at no door count too.
  std::vector<double> known_otherwise;

  // One entry a door.
  std::vector<double> unexamined;             ///< chance that dogs there today are unknown to us, were there any
  std::vector<double> unexamined_by_planned;  ///< the same if nothing but planned looks told us
  std::vector<std::uint8_t> known;            ///< a dog was known there at some time up to as_of
  std::vector<int> looks_at_door;             ///< the looks that count
  std::vector<std::uint8_t> found_at_door;    ///< one of them found its first dog

  std::vector<int> dogs_per_found_door;  ///< one entry a found door, in door order
};

Result<Effort> plannedEffort(const Record& record);

}  // namespace leeward::analysis
