#pragma once
/// Where we have been and where nobody has looked: states of doors and blocks.
///
/// The rule, for a block and likewise for a door. Any dog known (and not gone): Overdue if one is overdue, else OnTime.
/// None known: Never only if no door was ever looked at; Nobody if no look got an answer or a view; else None.
/// A look at a premises that could not be told counts for its block's state and looks, but for no door.
/// A known dog is due service_interval_days after its last visit (lastServed: after it was last seen, if it was never met). On that
/// day it is due, from the next on it is overdue. Dogs that are seen but never met are known dogs.
#include <optional>
#include <string_view>
#include <vector>

#include "analysis/coverage/record.h"

namespace leeward::analysis {

enum class CoverageState : std::uint8_t { Never, Nobody, None, OnTime, Overdue };
/// The one rule of due days: due on the day itself and after it, overdue only after it.
bool isDue(Date due, Date as_of);
bool isOverdue(Date due, Date as_of);
/// "never", "nobody", "none", "ontime", "overdue".
std::string_view stateKey(CoverageState state);

/// One entry a block.
struct BlockCoverage {
  std::vector<CoverageState> state;
  std::vector<int> doors;           ///< all, those asked not to return and vacant ones too
  std::vector<int> doors_closed;    ///< asked not to return by as_of
  std::vector<int> doors_looked;    ///< with at least one look of any kind
  std::vector<double> share_never;  ///< share of doors never looked at; nan in a block without doors
  std::vector<std::optional<Date>> last_look;
  std::vector<int> looks, planned_looks;
  std::vector<int> dogs_known, dogs_met, dogs_overdue;
  /// State None only, else nan: chance that a dog kept at one of the doors, each alike, was not seen: the mean over
  /// doors of the product of (1 - chance) over their looks. Not the chance that there is a dog.
  std::vector<double> chance_missed;
};

/// One entry a door.
struct DoorCoverage {
  std::vector<CoverageState> state;
  std::vector<int> looks;
  std::vector<std::optional<Date>> last_look;
  std::vector<int> dogs_known;
  std::vector<std::optional<Date>> due;  ///< earliest day on which a dog known there is due (isDue, isOverdue)
};

struct Coverage {
  BlockCoverage blocks;
  DoorCoverage doors;
};

/// Linear in the rows of the record. InvalidArgument as checkRecord.
Result<Coverage> coverageOf(const Record& record);

}  // namespace leeward::analysis
