#pragma once
/// How many crew-hours the looking that lies ahead would take, and what it is expected to lead to: for a board.
#include <optional>
#include <string>

#include "shared/table/table.h"

namespace leeward::study {

struct HoursAhead {
  double hours = 0;        ///< of one crew, to look once at every door that is to be looked at (analysis/need/rank.h), block by block
  double in_need = 0;      ///< unmet dogs in need expected at those doors
  double first_hours = 0;  ///< a tenth of the hours, spent in the blocks on top of the list
  double first_in_need = 0;
};

/// From the columns minutes and per_crew_hour of Findings::blocks. Nothing where no block is ranked or nothing is to be done.
std::optional<HoursAhead> hoursAhead(const Table& blocks);
/// Two sentences, and what can't be concluded; "" for nothing.
std::string hoursAheadInWords(const Table& blocks);

}  // namespace leeward::study
