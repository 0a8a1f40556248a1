#pragma once
/// What an outcome took, in hours or money.
#include <cstdint>

namespace leeward::analysis {

struct PerOutcome {
  double each = 0;           ///< spent / count; nan without an outcome or without anything spent
  double low = 0, high = 0;  ///< at the level; high is nan (no upper limit) without an outcome
};

/// What was spent over how many outcomes, taken as a Poisson count: spent over Garwood's limits of the count. What was spent is taken as known,
/// so the interval is that of the count alone. nan for a spent that is negative or not a number, or a negative count.
/// Source:  Garwood 1936, Biometrika 28, 437-442, for the limits of the count.
PerOutcome perOutcome(double spent, std::int64_t count, double level);

/// Hours at doors: so many minutes for each look and more for each visit, and for what lies beyond doors (travel, typing) so large a share on top.
double hoursOf(std::int64_t looks, std::int64_t visits, double minutes_per_door, double minutes_per_visit, double share_beyond);

}  // namespace leeward::analysis
