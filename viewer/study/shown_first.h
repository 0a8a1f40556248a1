#pragma once
/// What can be shown at once: the figures that were made last, while those of today are being made.
#include <optional>

#include "viewer/study/run_study.h"

namespace leeward::study {

/// What a window shows first: the figures of today, made if need be; or those of an earlier day, where nothing but the day has changed, since they are
/// there at once.
struct ShownFirst {
  RunOutcome outcome;
  bool is_of_today = true;
};
Result<ShownFirst> shownFirst(const std::filesystem::path& folder, Progress& progress);

/// The day whose figures were looked at last; nothing if none were made yet.
std::optional<Date> lastDay(const StudyFile& study);
Result<void> noteLastDay(const StudyFile& study, Date as_of);

}  // namespace leeward::study
