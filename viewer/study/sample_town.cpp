#include "viewer/study/sample_town.h"

#include <string>

#include "shared/base/files.h"
#include "viewer/study/new_study.h"
#include "viewer/study/take_in.h"

namespace leeward::study {

Result<void> makeSampleStudy(const std::filesystem::path& town, const std::filesystem::path& folder, Progress& progress) {
  std::error_code error;
  if (std::filesystem::exists(folder / "study.toml", error)) return {};
  const std::filesystem::path settings_file = town / "study.toml";
  if (!std::filesystem::exists(settings_file, error)) {
    return Problem{ProblemCode::NotFound, "the sample town's files are not there", town.string(), "They come with the sources: sample-data/town"};
  }
  LEEWARD_ASSIGN(settings, readFile(settings_file));
  const std::string mark = "@TOWN@";
  for (std::size_t at = settings.find(mark); at != std::string::npos; at = settings.find(mark, at)) settings.replace(at, mark.size(), town.string());
  auto making = progress.part(0, 0.1);
  LEEWARD_TRY(newStudy({.folder = folder, .name = "Sample town", .area_file = {}}, making));
  LEEWARD_TRY(writeFile(folder / "study.toml", settings));
  double from = 0.1;
  for (const char* kind : {"visits", "sightings"}) {
    auto taking = progress.part(from, from + 0.4);
    LEEWARD_TRY(takeIn({.folder = folder, .kind = kind, .file = (town / (std::string(kind) + ".csv")).string()}, taking));
    from += 0.4;
  }
  progress.report(1);
  return {};
}

}  // namespace leeward::study
