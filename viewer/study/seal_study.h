#pragma once
/// Seals a study by a passphrase, changes it, opens it for good. shared/base/seal.h says how; viewer/HANDING_OVER.md what it is good for.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/seal.h"

namespace leeward::study {

struct SealOutcome {
  std::vector<std::string> sealed;        ///< the ledger and frozen days
  std::vector<std::string> removed;       ///< caches, sheets and lists that were made from it: run makes them again
  std::vector<std::string> in_the_clear;  ///< other files in the study's folder that the program can't judge: the crew's own, copies, notes
};

/// The ledger first, then frozen days, then what was made from them is overwritten and removed. Cut short, it can be begun again (a study
/// that is sealed already is asked for its own passphrase, and the rest is sealed by that). AlreadyExists if nothing was left to seal; InvalidArgument for a short passphrase.
Result<SealOutcome> sealStudy(const std::filesystem::path& folder, const Secret& passphrase, Progress& progress);
/// Another passphrase for ledger and frozen days. Earlier backups keep theirs. InvalidArgument if it isn't sealed.
Result<void> changePassphrase(const std::filesystem::path& folder, const Secret& passphrase, Progress& progress);
/// Ledger and frozen days lie plain again.
Result<void> openForGood(const std::filesystem::path& folder, Progress& progress);

}  // namespace leeward::study
