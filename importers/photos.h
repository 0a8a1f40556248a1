#pragma once
/// Pictures that a crew took, for the ledger: which, when, where. The originals are read and nothing else.
#include <string>

#include "importers/visits.h"

namespace leeward::importers {

/// One JPEG, or a folder with all below it (files whose names begin with a dot are left out).
///
/// Shapes:  table Photos, a row a picture in the order of the names. source_key and content_hash are its SHA-256, so that a copy under
///          another name counts once; of the same picture twice in a folder the first is taken, said. batch.sha256 covers names and contents of all.
/// Time:    EXIF, by the camera's clock, as written. A picture without it is kept with date and time blank, counted in a remark; so is
///          one without a position.
/// Refused: (line = number in the order of names) what is no JPEG, or a broken one; a day in the future or before 1970 (the camera's clock);
///          a position more than 50 km from the study.
/// Errors:  NotFound; BadData if there are no pictures, or all are refused; Cancelled.
Result<CrewImport> importPhotos(const std::string& source, const StudyFrame& frame, Progress& progress);

}  // namespace leeward::importers
