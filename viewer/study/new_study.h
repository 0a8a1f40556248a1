#pragma once
/// Makes a study: a folder with study.toml and an empty ledger.
#include <filesystem>
#include <string>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward::study {

struct NewStudyRequest {
  std::filesystem::path folder;
  std::string name;
  std::string area_file;     ///< outline of the study, becomes [boundary]; "" none
  std::string crs = "auto";  ///< or "EPSG:n"
};

/// Makes the folder if need be (mode 0700), study.toml and ledger.sqlite in it.
/// InvalidArgument (no name, an unknown CRS, one that isn't true to scale), AlreadyExists if either file is there
/// (nothing is changed), NotFound for the area file, Io.
Result<void> newStudy(const NewStudyRequest& request, Progress& progress);

/// A consistent copy of the study's ledger. AlreadyExists if `copy` is there.
Result<void> backupStudy(const std::filesystem::path& folder, const std::filesystem::path& copy, Progress& progress);

}  // namespace leeward::study
