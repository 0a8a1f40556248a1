#pragma once
/// The invented sample town as a study of one's own: how a first look at the program begins.
#include <filesystem>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward::study {

/// A study in `folder` (made, or filled if it is empty) from the town's files: its settings, its public layers in their place, the crews'
/// records taken in. A folder that holds a study already is left as it is: success. NotFound if the town's files are not there; else as
/// newStudy() and takeIn() say.
Result<void> makeSampleStudy(const std::filesystem::path& town, const std::filesystem::path& folder, Progress& progress);

}  // namespace leeward::study
