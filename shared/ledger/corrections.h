#pragma once
/// Rows without an id of their own that were corrected in the crew's file and come in again. For shared/ledger/*.cpp only.
///
/// A look without a visit_id is known by what it is made of (day, time, crew, address), so a corrected day or address makes it look
/// like another. Three rules keep it from standing twice:
/// - The same file, grown: a file of the same name that repeats at least half of what that name brought before. A row that is gone
///   from it and a row that is new in it are one row, corrected, if they agree in all but one of day, address and crew (see pairs()).
/// - The same bytes, read otherwise (another column for the crew, say): so that all its rows may be known by other things now. Paired likewise.
/// - Any other file: a new row of the same day and address as a known one, with the same crew or a dog of the same name, is only told
///   of (`alike`): two visits on one day happen, so a person decides.
#include <map>
#include <string>
#include <vector>

#include "shared/ledger/ledger.h"
#include "shared/ledger/sqlite.h"

namespace leeward::ledger {

struct Corrections {
  std::map<std::string, std::string, std::less<>> known_as;  ///< source_key in the batch -> the ledger's of the row that it corrects
  std::vector<std::string> gone;   ///< rows of the file's earlier state that are no longer in it and that nothing replaces, in words
  std::vector<std::string> alike;  ///< new rows that are like known ones, in words
};

Result<Corrections> findCorrections(const Database& database, const ImportBatch& batch);

}  // namespace leeward::ledger
