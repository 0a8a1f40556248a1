#include "viewer/study/made_files.h"

#include <algorithm>
#include <set>
#include <string>

#include "shared/base/files.h"
#include "shared/base/seal.h"
#include "shared/base/text.h"

namespace leeward::study {
namespace fs = std::filesystem;

std::vector<fs::path> madeFiles(const StudyFile& study) {
  std::vector<fs::path> files;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(study.cache(), error)) {
    if (entry.is_regular_file(error)) files.push_back(entry.path());
  }
  std::set<std::string> written;
  if (const auto list = readFile(study.cache() / "outputs.txt")) {
    for (const auto line : split(*list, '\n')) written.emplace(split(line, '\t').front());
  }
  for (const auto& entry : fs::directory_iterator(study.out(), error)) {
    const std::string name = entry.path().filename().string();
    if (written.contains(name) || name.starts_with("refused-") || name.starts_with("alike-") || name.starts_with("withheld-")) files.push_back(entry.path());
  }
  std::ranges::sort(files);
  return files;
}

std::vector<fs::path> typedFiles(const StudyFile& study) {
  std::vector<fs::path> files;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(study.folder / "typed", error)) {
    if (entry.is_regular_file(error)) files.push_back(entry.path());
  }
  std::ranges::sort(files);
  return files;
}

Result<void> mayHoldPrivate(const fs::path& file) {
  std::error_code error;
  const fs::path whole = fs::weakly_canonical(fs::absolute(file), error);
  for (fs::path folder = whole.parent_path(); folder != folder.root_path() && !folder.empty(); folder = folder.parent_path()) {
    if (isSealed(folder / "ledger.sqlite")) {
      return Problem{ProblemCode::InvalidArgument, "the study is sealed, and what is written into its folder would lie there in the clear", file.string(), "Name a place outside " + folder.string()};
    }
  }
  return {};
}

}  // namespace leeward::study
