#pragma once
/// Takes back a file that was taken in: the list of imports, and one of them out again.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/ledger/ledger.h"

namespace leeward::study {

/// Every import of the study's ledger, oldest first.
Result<std::vector<ImportStanding>> listImports(const std::filesystem::path& folder);
/// How the list names an import: the last eight characters of its id.
std::string shortId(const ImportStanding& import);

struct TakeBackRequest {
  std::filesystem::path folder;
  std::string import;        ///< short id, whole id, or a file name that only one import has
  bool decided_too = false;  ///< even if somebody settled addresses of it by hand
};

/// All that the import's rows brought leaves the ledger in one transaction (Ledger::takeBack); taking the file in again brings it back.
/// NotFound for an unknown name, InvalidArgument for one that several imports have, AlreadyExists if hand decisions hang on it.
Result<ImportStanding> takeBack(const TakeBackRequest& request, Progress& progress);

/// What was done and how to undo it, in lines for a person.
std::vector<std::string> describe(const TakeBackRequest& request, const ImportStanding& done);

}  // namespace leeward::study
