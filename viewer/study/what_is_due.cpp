#include "viewer/study/what_is_due.h"

#include <algorithm>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/text.h"
#include "viewer/study/run/due_list.h"

namespace leeward::study {
namespace {
namespace fs = std::filesystem;

constexpr int kDueDays = 7;  ///< without another day the list reaches a week ahead
constexpr std::size_t kNoteBytes = 4096;

fs::path noteFile(const StudyFile& study) { return study.cache() / "due-list.txt"; }

/// Size and time of a file, and of those beside it that share its name (the parts of a shapefile).
void addState(const fs::path& file, std::vector<std::string>& fields) {
  std::error_code error;
  std::vector<std::string> states;
  for (const auto& entry : fs::directory_iterator(file.parent_path().empty() ? fs::path(".") : file.parent_path(), error)) {
    if (entry.path().stem() != file.stem()) continue;
    const auto size = entry.is_regular_file(error) ? entry.file_size(error) : 0;
    states.push_back(fmt::format("{} {} {}", entry.path().string(), size, entry.last_write_time(error).time_since_epoch().count()));
  }
  std::ranges::sort(states);
  fields.insert(fields.end(), states.begin(), states.end());
}

Result<std::string> stateOfStudy(const StudyFile& study, const Ledger& ledger, Date as_of) {
  LEEWARD_ASSIGN(state, ledger.stateKey());
  LEEWARD_ASSIGN(text, readFile(study.file(), 16U << 20U));
  std::vector<std::string> fields = {state, text, toIso(as_of)};
  for (const auto& [kind, source] : study.sources) addState(study.pathOf(source), fields);
  return stepKey("due-list", fields);
}

/// The kept list, if it is of this state.
Result<std::optional<Table>> keptList(const StudyFile& study, Date as_of, Progress& progress) {
  const auto note = readFile(noteFile(study), kNoteBytes);
  if (!note) return std::optional<Table>();
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(state, stateOfStudy(study, ledger, as_of));
  const auto words = split(*note, ' ');
  Steps steps(study.cache());
  if (words.size() != 2 || words[0] != state || !steps.isUpToDate("due", std::string(words[1]))) return std::optional<Table>();
  LEEWARD_ASSIGN(list, steps.product("due", "Reading what is due", std::string(words[1]), progress, [](Progress&) -> Result<Layer> {
    return Problem{ProblemCode::NotFound, "the kept list went while it was read", "", "Try again"};
  }));
  return std::optional<Table>(std::move(list.layer.table));
}

}  // namespace

Result<void> noteDueList(const StudyFile& study, const Ledger& ledger, Date as_of, const std::string& key) {
  LEEWARD_ASSIGN(state, stateOfStudy(study, ledger, as_of));
  return writeFile(noteFile(study), state + " " + key, true);
}

Result<DueOutcome> whatIsDue(const DueRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(request.run.folder));
  DueOutcome outcome;
  outcome.as_of = request.run.as_of.value_or(study.as_of.value_or(today()));
  outcome.until = request.until.value_or(outcome.as_of + kDueDays);
  if (outcome.until > outcome.as_of + kDueAheadDays) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("the list of what is due reaches {} days ahead", kDueAheadDays), "--until " + toIso(outcome.until),
                   "Give a day up to " + toIso(outcome.as_of + kDueAheadDays)};
  }
  auto reading = progress.quiet();
  LEEWARD_ASSIGN(kept, keptList(study, outcome.as_of, reading));
  outcome.was_current = kept.has_value();
  if (!kept) {
    LEEWARD_ASSIGN(run, runStudy(request.run, progress));
    kept = run.findings->due_ahead;
  }
  outcome.due = dueBy(*kept, outcome.until);
  return outcome;
}

}  // namespace leeward::study
