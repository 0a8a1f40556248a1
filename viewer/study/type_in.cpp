#include "viewer/study/type_in.h"

#include <algorithm>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/seal.h"
#include "shared/ledger/sealing.h"
#include "shared/table/csv.h"
#include "viewer/study/study_file.h"
#include "viewer/study/take_back.h"
#include "viewer/study/take_in.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

/// A table with a column a field that any row has, in order of appearance.
std::string csvOfRows(const std::vector<TypedRow>& rows) {
  std::vector<std::string> fields;
  for (const auto& row : rows) {
    for (const auto& [field, value] : row) {
      if (std::ranges::find(fields, field) == fields.end()) fields.push_back(field);
    }
  }
  const auto line = [](const std::vector<std::string>& cells) {
    std::string text;
    for (std::size_t i = 0; i < cells.size(); ++i) text += (i == 0 ? "" : ",") + csvField(cells[i]);
    return text + "\n";
  };
  std::string text = line(fields);
  for (const auto& row : rows) {
    std::vector<std::string> cells(fields.size());
    for (const auto& [field, value] : row) cells[static_cast<std::size_t>(std::ranges::find(fields, field) - fields.begin())] = value;
    text += line(cells);
  }
  return text;
}

/// "porch.jpg sha256:..." for each; the pictures themselves stay where they are.
Result<std::string> keepPhotos(const TypeInRequest& request, Progress& progress) {
  std::string names;
  for (const auto& photo : request.photos) {
    LEEWARD_TRY(takeIn({.folder = request.folder, .kind = "photos", .file = photo.string()}, progress));
    LEEWARD_ASSIGN(hash, sha256OfFile(photo));
    names += (names.empty() ? "" : "; ") + photo.filename().string() + " sha256:" + hash;
  }
  return names;
}

/// What a person reads of the first row that was refused.
Problem refusedAs(const RefusedRow& row) { return {ProblemCode::BadData, row.column.empty() ? row.reason : fmt::format("{}: {}", row.column, row.reason), "", ""}; }

}  // namespace

Result<TypeInOutcome> typeIn(const TypeInRequest& request, Progress& progress) {
  if (request.rows.empty()) return Problem{ProblemCode::InvalidArgument, "nothing was typed", "", ""};
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  LEEWARD_ASSIGN(settings, readFile(study.file()));
  TypeInOutcome outcome;
  outcome.visit_id = newUuid();
  auto rows = request.rows;
  for (auto& row : rows) row.insert(row.begin(), {"visit_id", outcome.visit_id});
  LEEWARD_ASSIGN(photos, keepPhotos(request, progress));
  if (!photos.empty()) rows.front().emplace_back("photos", photos);
  std::error_code error;
  const bool sealed = isSealed(study.ledger());
  const TemporaryFolder passing;  // a sealed study's visits lie in the ledger alone
  const fs::path folder = sealed ? passing.path() : request.folder / "typed";
  fs::create_directories(folder, error);
  outcome.file = folder / fmt::format("visit {}.csv", outcome.visit_id);
  LEEWARD_TRY(writeFile(outcome.file, csvOfRows(rows), true));
  auto taken = takeIn({.folder = request.folder, .kind = "visits", .file = outcome.file.string(), .anyway = true}, progress);
  if (sealed) shred(outcome.file), outcome.file.clear();
  LEEWARD_TRY(writeFile(study.file(), settings));
  fs::remove(outcome.file, error);  // the ledger holds it: a visit in plain text would outlive a seal, or a household that asks to be forgotten
  if (taken && taken->report.refused.empty()) {
    outcome.import_id = taken->ledger.import_id;
    return outcome;
  }
  if (!taken) return taken.problem();
  // One of several animals was refused: none stays, or the visit would be half there.
  LEEWARD_TRY(takeBack({.folder = request.folder, .import = taken->ledger.import_id, .decided_too = true}, progress));
  return refusedAs(taken->report.refused.front());
}

Result<void> takeTypedBack(const fs::path& folder, const TypeInOutcome& typed, Progress& progress) {
  LEEWARD_TRY(takeBack({.folder = folder, .import = typed.import_id, .decided_too = true}, progress));
  std::error_code error;
  fs::remove(typed.file, error);
  return {};
}

}  // namespace leeward::study
