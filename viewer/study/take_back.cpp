#include "viewer/study/take_back.h"

#include <algorithm>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace {

constexpr std::size_t kShort = 8;

Result<ImportStanding> named(const std::vector<ImportStanding>& imports, const std::string& name, const std::string& folder) {
  std::vector<const ImportStanding*> found;
  for (const auto& one : imports) {
    if (one.import_id == name || shortId(one) == name) return one;
    if (one.file_name == name) found.push_back(&one);
  }
  if (found.size() == 1) return *found.front();
  const std::string list = fmt::format("List them: leeward take-back {}", folder);
  if (found.empty()) return Problem{ProblemCode::NotFound, fmt::format("no file \"{}\" was taken in", name), folder, list};
  return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" was taken in {} times", name, found.size()), folder, list + ", and name one by its id"};
}

}  // namespace

std::string shortId(const ImportStanding& import) { return import.import_id.substr(import.import_id.size() - std::min(kShort, import.import_id.size())); }

Result<std::vector<ImportStanding>> listImports(const std::filesystem::path& folder) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(imports, ledger.imports());
  LEEWARD_TRY(ledger.close());
  return imports;
}

Result<ImportStanding> takeBack(const TakeBackRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(request.folder, progress));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(imports, ledger.imports());
  LEEWARD_ASSIGN(import, named(imports, request.import, request.folder.string()));
  LEEWARD_ASSIGN(done, ledger.takeBack(import.import_id, request.decided_too, progress));
  LEEWARD_TRY(ledger.close());
  return done;
}

std::vector<std::string> describe(const TakeBackRequest& request, const ImportStanding& done) {
  const char* rows = done.kind == "visits" ? "looks" : "rows";
  std::vector<std::string> lines = {fmt::format("{} ({}) was taken back: {} {} left the ledger with all that hung on them.", done.file_name, done.kind, formatCount(static_cast<std::int64_t>(done.rows)), rows),
                                    fmt::format("To undo that, take the file in again: leeward take-in {} {} {}", request.folder.string(), done.kind, done.file_name)};
  if (!done.corrected.empty()) {
    lines.push_back(fmt::format("It had corrected rows of {}; take {} in again to have them as they were before.", join(done.corrected, ", "), done.corrected.size() == 1 ? "that" : "those"));
  }
  if (!done.repeated_in.empty()) {
    lines.push_back(fmt::format("{} came later and repeated rows that were known; if some were of this file, take it in again so that they come back.", join(done.repeated_in, ", ")));
  }
  lines.push_back(fmt::format("Figures follow with the next leeward run {}.", request.folder.string()));
  return lines;
}

}  // namespace leeward::study
