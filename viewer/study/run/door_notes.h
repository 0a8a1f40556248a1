#pragma once
/// What a crew must know of a door before it knocks: permission on record, who may be there, what is due, what to bring.
#include <string>
#include <vector>

#include "viewer/study/run/book.h"

namespace leeward::study {

/// One text a door, in the order asked for; "" where the record says nothing. For the crew alone.
struct DoorNotes {
  std::vector<std::string> permission;  ///< the latest word at the door: what it covers, until when; refused or ended, and since when
  std::vector<std::string> who;         ///< household, language, animals there, hours at which somebody or nobody answered
  std::vector<std::string> what_due;    ///< with its days
  std::vector<std::string> bring;
};
/// `due`: the table of dueTable(); what of it is due by `until` is said.
Result<DoorNotes> doorNotes(const RunContext& context, const Book& book, const Table& due, const std::vector<std::int32_t>& doors, Date until);

}  // namespace leeward::study
