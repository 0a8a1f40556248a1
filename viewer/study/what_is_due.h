#pragma once
/// What is due by a day, at once where the study is up to date.
#include <optional>

#include "shared/ledger/ledger.h"
#include "viewer/study/run_study.h"

namespace leeward::study {

struct DueRequest {
  RunRequest run;
  std::optional<Date> until;  ///< default: a week after the day of the figures
};
struct DueOutcome {
  Table due;  ///< columns as Findings::due
  Date as_of, until;
  bool was_current = false;  ///< nothing had to be worked out
};
/// Runs the study only if the ledger, the study file or one of its files (by size and time) changed since the list was made, or the list is
/// of another day. InvalidArgument for a day more than kDueAheadDays ahead, which the list does not reach.
Result<DueOutcome> whatIsDue(const DueRequest& request, Progress& progress);

/// Notes for which state of study and ledger the kept list with this key holds; called by every run, after its last write to the ledger.
Result<void> noteDueList(const StudyFile& study, const Ledger& ledger, Date as_of, const std::string& key);

}  // namespace leeward::study
