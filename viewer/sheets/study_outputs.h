#pragma once
/// Use cases that end on paper: what `run`, `sheet` and `brief` write for the crew, each with a receipt in the ledger.
///
/// All files are mode 0600 and say that they hold client data. A receipt is kept by the output's SHA-256: every input file with its
/// own SHA-256, the parameters, the findings' key, seed, level, version and freeze date (shared/ledger/receipt.h).
#include <filesystem>
#include <string>
#include <vector>

#include "viewer/study/run_study.h"

namespace leeward::sheets {

struct StudyOutput {
  std::string file;
  std::string what;  ///< "Sheet: coverage"
  bool up_to_date = false;
};

struct StudyOutputs {
  std::vector<StudyOutput> files;
};

/// Writes the sheets, briefs and tables that the study file asks for into DIR/out; those that were made from the same
/// findings and lie there unchanged are left alone. BadData for an unknown kind or format in [outputs].
/// `into`: another folder. A sealed study's are written only there (without it nothing is), and not below the study's own folder: InvalidArgument.
Result<StudyOutputs> writeStudyOutputs(const study::RunOutcome& outcome, Progress& progress, const std::filesystem::path& into = {});

/// One sheet or brief to a file of the person's choice (.pdf .svg .png; briefs .pdf). InvalidArgument for an unknown kind (with the
/// list) or ending.
Result<void> writeOneSheet(const study::RunOutcome& outcome, const std::string& kind, const std::string& file, Progress& progress);
Result<void> writeOneBrief(const study::RunOutcome& outcome, const std::string& kind, const std::string& file, Progress& progress);

/// Door sheets for an outing, one PDF a crew: `file` for one crew, else with "-1", "-2" ... before its ending. `doors` as
/// study::doorsToKnock gives them. Returns the files written. InvalidArgument for an ending other than .pdf.
Result<std::vector<std::string>> writeDoorSheets(const study::DoorsOutcome& outcome, double hours, int crews, const std::string& file, Progress& progress);

}  // namespace leeward::sheets
