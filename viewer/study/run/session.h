#pragma once
/// One run's opened study: file, ledger, layers in one frame, and the book of records as of a day.
#include <memory>

#include "viewer/study/run/book.h"
#include "viewer/study/run_study.h"

namespace leeward::study {

struct Session {
  StudyFile study;
  Ledger ledger;
  Steps steps;
  RunContext context;
  Book book;
  std::optional<SinceFrozen> since_frozen;  ///< of a frozen day, if anything came in since
  std::optional<Date> newly_frozen;  ///< the day, if it was frozen by this run

  Session(StudyFile opened_study, Ledger opened_ledger, Date as_of);
};

/// Opens, loads the public layers, places, gathers, keeps the animals. BadData with the command that mends it if the study has no
/// blocks. Held by pointer: the context refers to its neighbours.
Result<std::unique_ptr<Session>> openSession(const RunRequest& request, Progress progress);

}  // namespace leeward::study
