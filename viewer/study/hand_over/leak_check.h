#pragma once
/// The last gate: finished files, held against what the ledger knows of clients.
#include <filesystem>
#include <string>
#include <vector>

#include "analysis/disclosure/leaks.h"
#include "shared/base/progress.h"
#include "viewer/study/hand_over/pieces.h"

namespace leeward::study {

/// One hit: where and of what kind, never the words themselves, so that a log of it gives nothing away.
struct FoundLeak {
  std::string file, where, what;  ///< "areas.xlsx"; "xl/sharedStrings.xml, line 3"; "a telephone number"
  std::string text() const { return what + " in " + file + (where.empty() ? "" : " (" + where + ")"); }
};

struct LeakReport {
  std::vector<FoundLeak> leaks;      ///< any stops the hand-over
  std::vector<std::string> warnings; ///< single names: a person looks
};

/// Io for a file that can't be read; BadData for one that can't be taken apart (what can't be looked through does not leave).
Result<LeakReport> checkForLeaks(const std::vector<std::filesystem::path>& files, const analysis::PrivateFacts& facts, const ReadPdf& read_pdf, Progress& progress);

}  // namespace leeward::study
