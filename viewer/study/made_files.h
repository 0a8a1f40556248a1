#pragma once
/// What the program itself wrote into a study's folder from the ledger.
#include <filesystem>
#include <vector>

#include "viewer/study/study_file.h"

namespace leeward::study {

/// Caches, sheets, briefs, tables and lists that can be made anew; nothing of a person's own. Sorted.
std::vector<std::filesystem::path> madeFiles(const StudyFile& study);

/// Visits that were typed in, a file each (type_in.h): copies of what the ledger holds.
std::vector<std::filesystem::path> typedFiles(const StudyFile& study);

/// A sealed study's private files go elsewhere: InvalidArgument if `file` would lie below a folder that holds a sealed ledger.
Result<void> mayHoldPrivate(const std::filesystem::path& file);

}  // namespace leeward::study
