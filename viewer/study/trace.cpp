#include "viewer/study/trace.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/base/hash.h"
#include "shared/ledger/ledger.h"
#include "viewer/study/reference.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace {

using Json = nlohmann::ordered_json;

/// Public files that lie where the study names them, but say something else by now.
std::vector<std::string> changedInputs(const StudyFile& study, const Json& receipt) {
  std::vector<std::string> changed;
  if (!receipt.contains("inputs")) return changed;
  for (const auto& input : receipt["inputs"]) {
    const auto source = study.sources.find(input.value("what", ""));
    if (source == study.sources.end()) continue;
    const auto path = study.pathOf(source->second);
    if (path.filename() != input.value("file", "")) continue;
    const auto now = sha256OfFile(path);
    if (now && *now != input.value("sha256", "")) changed.push_back(fmt::format("{} ({}) is another file now", input.value("what", ""), input.value("file", "")));
  }
  return changed;
}

}  // namespace

Result<Trace> traceOutput(const std::filesystem::path& file, const std::filesystem::path& folder, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(hash, sha256OfFile(file));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(outputs, ledger.read(Entity::Outputs));
  LEEWARD_TRY(progress.checkStop());
  const auto hashes = textsOf(outputs, "sha256");
  for (std::size_t row = hashes.size(); row-- > 0;) {  // the latest of several that made the same bytes
    if (hashes[row] != hash) continue;
    Trace trace{hash, textsOf(outputs, "file_name")[row], textsOf(outputs, "audience")[row], textsOf(outputs, "made_at")[row], textsOf(outputs, "receipt")[row], {}};
    const auto receipt = Json::parse(trace.receipt, nullptr, false);
    if (!receipt.is_discarded()) trace.changed = changedInputs(study, receipt);
    return trace;
  }
  return Problem{ProblemCode::NotFound, "no output of this study has this content", file.string(), "It was changed since it was written, or another study made it"};
}

std::vector<std::string> describe(const Trace& trace) {
  std::vector<std::string> lines;
  const auto receipt = Json::parse(trace.receipt, nullptr, false);
  if (receipt.is_discarded()) return {"The receipt can't be read."};
  lines.push_back(fmt::format("{}: written as {} on {}, for the {}", receipt.value("what", ""), trace.file_name, trace.made_at, trace.audience));
  lines.push_back(fmt::format("figures of {}; seed {}, level {}, version {}", receipt.value("as_of", ""), receipt.value("seed", 0ULL), receipt.value("level", 0.0), receipt.value("version", "")));
  const Json inputs = receipt.value("inputs", Json::array()), parameters = receipt.value("parameters", Json::object());
  for (const auto& input : inputs) lines.push_back(fmt::format("from {}: {}  sha256 {}", input.value("what", ""), input.value("file", ""), input.value("sha256", "")));
  for (const auto& [name, value] : parameters.items()) lines.push_back(fmt::format("with {} = {}", name, value.is_string() ? value.get<std::string>() : value.dump()));
  for (const auto& changed : trace.changed) lines.push_back("Mind: " + changed);
  return lines;
}

}  // namespace leeward::study
