#pragma once
/// Where an output came from.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward::study {

struct Trace {
  std::string sha256, file_name, audience, made_at;
  std::string receipt;               ///< JSON, as shared/ledger/receipt.h says: inputs with their SHA-256, parameters, seed, level, version, day
  std::vector<std::string> changed;  ///< inputs of the study that are other files now, a sentence each
};

/// The receipt of a file by its content, whatever it is called now. NotFound: no output of this study has this content (it was changed, or is
/// another study's); Io.
Result<Trace> traceOutput(const std::filesystem::path& file, const std::filesystem::path& folder, Progress& progress);

/// The receipt in lines for a person.
std::vector<std::string> describe(const Trace& trace);

}  // namespace leeward::study
