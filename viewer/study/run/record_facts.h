#pragma once
/// What a run tells of the record itself: kept beside its results, so that a study in which nothing changed opens without reading the record.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "viewer/study/run/session.h"

namespace leeward::study {

struct RecordFacts {
  std::int64_t looks = 0, sightings = 0;   ///< up to the day of the figures
  std::int64_t undecided = 0;              ///< addresses as typed that could not be decided
  std::optional<Date> ends;                ///< day of the latest look or sighting
  std::vector<std::string> remarks;        ///< of reading the layers and placing
};

/// As a table of one row. The session is a gathered one.
Result<Table> recordFacts(const Session& session);
RecordFacts readRecordFacts(const Table& table);

/// Puts them, and what is to be warned of, into the findings.
void tellRecord(const RecordFacts& facts, Findings& findings);

}  // namespace leeward::study
