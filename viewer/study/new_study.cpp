#include "viewer/study/new_study.h"

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/geo/crs.h"
#include "shared/layer/layer.h"
#include "shared/ledger/ledger.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

Result<void> checkCrs(const std::string& text) {
  if (text == "auto") return {};
  LEEWARD_ASSIGN(crs, Crs::parse(text));
  if (crs.isGeographic()) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("{} is in degrees, so areas and distances can't be measured in it", text), "--crs",
                   "Give a projected one in metres, local for plane metres without a place, or leave it at auto"};
  }
  return {};
}

}  // namespace

Result<void> newStudy(const NewStudyRequest& request, Progress& progress) {
  if (trim(request.name).empty()) return Problem{ProblemCode::InvalidArgument, "a study needs a name", "--name", "Add --name \"Your area\""};
  LEEWARD_TRY(checkCrs(request.crs));
  StudyFile study;
  study.folder = request.folder;
  for (const auto& file : {study.file(), study.ledger()}) {
    if (fs::exists(file)) {
      return Problem{ProblemCode::AlreadyExists, "there is a study in this folder already; nothing was changed", file.string(), "Choose another folder"};
    }
  }
  std::string text = newStudyText(request.name, request.crs);
  if (!request.area_file.empty()) {
    LEEWARD_TRY(readLayer({.source = request.area_file, .row_limit = 10}, progress));
    SourceTable area;
    area.file = fs::absolute(request.area_file).lexically_normal().string();
    text = withSource(text, "boundary", area);
  }
  std::error_code error;
  const bool made_folder = fs::create_directories(study.folder, error);
  if (error) return Problem{ProblemCode::Io, "the folder can't be made (" + error.message() + ")", study.folder.string(), "Choose a folder that you may write to"};
  if (made_folder) fs::permissions(study.folder, fs::perms::owner_all, error);
  LEEWARD_ASSIGN(ledger, Ledger::create(study.ledger()));
  LEEWARD_TRY(ledger.close());
  if (auto written = writeFile(study.file(), text); !written) {
    fs::remove(study.ledger(), error);  // nothing half-made stays
    return written;
  }
  return {};
}

Result<void> backupStudy(const fs::path& folder, const fs::path& copy, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  if (fs::exists(copy)) return Problem{ProblemCode::AlreadyExists, "a file of that name is there already; nothing was changed", copy.string(), "Choose another name"};
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_TRY(ledger.backup(copy, progress));
  return ledger.close();
}

}  // namespace leeward::study
