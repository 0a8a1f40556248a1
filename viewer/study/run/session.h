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

  bool may_freeze = false;   ///< the figures are of a day that is over, and what they are made from is to stay (frozen.h)
  bool is_frozen = false;    ///< the ledger is the copy of a frozen day
  bool is_gathered = false;  ///< layers and book are there

  Session(StudyFile opened_study, Ledger opened_ledger, Date as_of);
};

/// A session of which only the keys and the frame are known yet: nothing is read that they don't take, nothing is written. The book is empty but for its key.
Result<std::unique_ptr<Session>> beginSession(const RunRequest& request, Progress progress);
/// What a step says that would have to be made, but for a session that only began.
Problem notKept();
/// Whether all that openSession() would do to the ledger is done.
Result<bool> isAtRest(const Session& session);

/// Opens, loads the public layers, places, gathers, keeps the animals. BadData with the command that mends it if the study has no
/// blocks. Held by pointer: the context refers to its neighbours.
Result<std::unique_ptr<Session>> openSession(const RunRequest& request, Progress progress);

}  // namespace leeward::study
