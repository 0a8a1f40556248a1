#pragma once
/// Visits typed in one by one: each is kept by the ledger's own transaction, as an import of one visit that can be taken back.
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward::study {

/// Field (as in the crew's files) and what was typed; fields that were left blank may be left out.
using TypedRow = std::vector<std::pair<std::string, std::string>>;

struct TypeInRequest {
  std::filesystem::path folder;
  std::vector<TypedRow> rows;                  ///< one an animal, at least one; the first holds the door's fields
  std::vector<std::filesystem::path> photos;   ///< kept by their SHA-256, which the visit then names
};

struct TypeInOutcome {
  std::string visit_id, import_id;
  std::filesystem::path file;  ///< the visit as take-in read it; gone once the ledger holds it; "" if the study is sealed
};

/// All of it or nothing; what take-in remembers of the crew's own spreadsheets (study.toml) stays as it was. BadData with the
/// reason if a row is refused; else as takeIn() says.
Result<TypeInOutcome> typeIn(const TypeInRequest& request, Progress& progress);

/// Out of the ledger again, and its file goes too.
Result<void> takeTypedBack(const std::filesystem::path& folder, const TypeInOutcome& typed, Progress& progress);

}  // namespace leeward::study
