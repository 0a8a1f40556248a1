#pragma once
/// The crew's visit log: one file row an animal, rows of one visit_id one look.
#include <memory>
#include <string>

#include "importers/crew_pieces.h"

namespace leeward::importers {

/// Reads a visit log (CSV, TSV, XLSX or another table; FILE or FILE#LAYER).
///
/// Shapes:  tables Looks, Permissions, Visits, Checks, Services, Treatments, Outcomes, Referrals with the schema's columns
///          (links to placements, premises and animals missing; Looks with lon, lat), ids fresh UUIDs.
///          source_key is the visit_id, or "row:" and a hash of date, time, crew and place; content_hash covers all
///          that was read, so the same content gives the same hash in any column order or date style.
/// Looks:   rows of one visit_id (without one: same date, time, crew, address and position) are one look; what is said once
///          counts for all; dogs_seen and dogs_met are the largest said. A Visits row is made for an animal that was met
///          (dogs_met > 0, or not said but with permission), treated, or has an outcome; what else was seen of an animal
///          without permission is kept in the look's notes.
/// Refused: (line, column, value, reason, whole row in batch.report) any value that can't be read, a date in the future,
///          neither address nor position, a position more than 50 km from the study or with lon and lat exchanged, an
///          impossible count, a body condition without a known scale or outside it; all rows of a visit_id whose dates or
///          addresses contradict each other. Rows are refused whole, never half.
/// Errors:  those of reading; BadData for a file that is clearly of another kind (checkKind), or of which nine positions in ten lie more
///          than 50 km from the study (both unless frame.anyway); a missing required column, a file without rows, lon and lat exchanged in
///          all rows; InvalidArgument for overrides; ResourceExhausted for other formats than plain text over kMostBytesWhole, before anything is
///          read, and for a longer text whose rows of one look lie too far apart; Cancelled.
Result<CrewImport> importVisits(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress);
/// The same in pieces: stretch_bytes as CrewLog::open has it.
Result<std::unique_ptr<CrewPieces>> openVisits(const std::string& file, const Overrides& overrides, const StudyFrame& frame, std::size_t stretch_bytes, Progress& progress);

}  // namespace leeward::importers
