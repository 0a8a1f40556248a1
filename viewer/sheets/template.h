#pragma once
/// The empty log that a crew types into.
#include <filesystem>

#include "viewer/study/crew_template.h"
#include "shared/base/progress.h"

namespace leeward::sheets {

struct TemplateRequest {
  importers::Kind kind = importers::Kind::Visits;
  importers::Language language = importers::Language::English;
  bool with_example = false;  ///< one invented row, to be deleted
  std::filesystem::path file;  ///< .xlsx or .csv
};

/// .xlsx: one sheet, headings frozen, cells with lists to choose from; what a column means is said when a cell of it is entered; dates in a form
/// that can't be misread. .csv: headings (and the example). Both come in again by take-in as they are. InvalidArgument: another kind or ending.
Result<void> writeTemplate(const TemplateRequest& request, Progress& progress);

}  // namespace leeward::sheets
