#pragma once
/// Sightings: reports of a dog or a sign of one, from crews, callers and posts.
#include "importers/visits.h"

namespace leeward::importers {

/// Like importVisits, one row a sighting: table Sightings (with lon, lat). source_key is the sighting_id, or "row:" and a
/// hash of the whole content (two rows that say the same are then one, said in a remark). `what` not said is "dog",
/// `source` not said is "crew", count not said is 1, each counted in a remark. Two rows with one sighting_id that say
/// different things are both refused.
Result<CrewImport> importSightings(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress);
/// The same in pieces: stretch_bytes as CrewLog::open has it.
Result<std::unique_ptr<CrewPieces>> openSightings(const std::string& file, const Overrides& overrides, const StudyFrame& frame, std::size_t stretch_bytes, Progress& progress);

}  // namespace leeward::importers
