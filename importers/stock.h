#pragma once
/// What the team has to give: what came in, went out, was put on a van or counted.
#include "importers/crew_pieces.h"

namespace leeward::importers {

/// One row a movement: table Stock. source_key is the stock_id, or "row:" with a hash of the row and how many equal ones stood above it, so that
/// two equal loads of one day are two, and a list that grew is known again. Refused: no day, word, item or quantity; a load or unload without its
/// van; a negative quantity; a last day of use that can't be read. Two rows of one stock_id that say different things are both refused.
/// The list is always read whole.
Result<std::unique_ptr<CrewPieces>> openStock(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress);

}  // namespace leeward::importers
