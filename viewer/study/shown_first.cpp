#include "viewer/study/shown_first.h"

#include "shared/base/files.h"
#include "shared/base/text.h"

namespace leeward::study {
namespace {

std::filesystem::path lastDayFile(const StudyFile& study) { return study.cache() / "last-day.txt"; }

}  // namespace

Result<void> noteLastDay(const StudyFile& study, Date as_of) {
  return lastDay(study) == as_of ? Result<void>{} : writeFile(lastDayFile(study), toIso(as_of), true);
}

std::optional<Date> lastDay(const StudyFile& study) {
  constexpr std::size_t kDayBytes = 32;
  const auto text = readFile(lastDayFile(study), kDayBytes);
  return text ? parseIsoDate(trim(*text)) : std::nullopt;
}

Result<ShownFirst> shownFirst(const std::filesystem::path& folder, Progress& progress) {
  LEEWARD_ASSIGN(kept, keptFindings({.folder = folder}, progress));
  if (kept) return ShownFirst{*std::move(kept), true};
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  const auto day = lastDay(study);
  if (day && !study.as_of && *day < today()) {
    LEEWARD_ASSIGN(earlier, keptFindings({.folder = folder, .as_of = day}, progress));
    if (earlier) return ShownFirst{*std::move(earlier), false};
  }
  LEEWARD_ASSIGN(made, runStudy({.folder = folder}, progress));
  return ShownFirst{std::move(made), true};
}

}  // namespace leeward::study
