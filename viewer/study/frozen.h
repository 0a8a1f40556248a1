#pragma once
/// Reports that don't move: the ledger as it was when a day's figures were first reported.
///
/// The first `brief` or `changed` of a day that is over keeps a copy of the ledger in the study's folder (frozen/DAY.sqlite, mode 0600; client data like the
/// ledger itself). Later reports of that day are made from the copy, so that rows typed in late, corrected, settled anew or taken back don't move
/// them; what they would change is counted and said. `run`, `next`, `due` and the window always show the ledger as it is.
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "shared/ledger/ledger.h"
#include "viewer/study/study_file.h"

namespace leeward::study {

/// What came into the ledger about days up to the frozen one since it was frozen.
struct SinceFrozen {
  Date day;                ///< whose figures are frozen
  std::string frozen_on;   ///< ISO date
  std::int64_t more = 0, corrected = 0, gone = 0;  ///< looks and sightings of those days
  bool none() const { return more + corrected + gone == 0; }
};
/// "The figures of 2025-09-30 were frozen on 2025-10-01. Since then: 3 rows more, 1 corrected."
std::string inWords(const SinceFrozen& since);
/// What is said when a day is frozen.
std::string nowFrozenInWords(Date day);

std::filesystem::path frozenLedger(const StudyFile& study, Date day);
/// All that the study keeps: what is forgotten must leave them too.
std::vector<std::filesystem::path> frozenLedgers(const StudyFile& study);
/// Keeps the ledger as it is now as that day's. Io.
Result<void> freezeDay(const StudyFile& study, const Ledger& ledger, Date day, Progress& progress);
/// Holds the live ledger against the copy.
Result<SinceFrozen> sinceFrozen(const StudyFile& study, const Ledger& frozen, Date day);

}  // namespace leeward::study
