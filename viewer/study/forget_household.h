#pragma once
/// Forgetting a household: out of the ledger, the caches and the outputs, and it stays out.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/ledger/forget.h"
#include "viewer/study/run/context.h"

namespace leeward::study {

struct ForgetStudyRequest {
  std::filesystem::path folder;
  std::string premises;           ///< id in the premises layer or in the ledger
  std::string household;          ///< or: name, as typed (upper and lower case, blanks and signs don't matter)
  bool despite_referral = false;
  bool dry_run = false;
};

struct ForgottenStudy {
  Forgotten rows;
  std::vector<std::string> removed;        ///< files of the study that were made from it: caches, sheets, tables, lists; run makes them again
  std::vector<std::string> in_frozen;      ///< frozen days whose copy held them: they left it too, so those figures move by them
  std::vector<std::string> still_holding;  ///< files that still say it: in the study's folder, the crew's own files, pictures
};

/// Everything at those premises; or every row that bears the name, with premises where nobody else was met. InvalidArgument: neither or both
/// named; NotFound: nothing of it is on record; AlreadyExists: a referral without an answer holds it.
Result<ForgottenStudy> forgetInStudy(const ForgetStudyRequest& request, Progress& progress);

/// After placing: rows of up to the day of a forgetting that came in again under another spelling and were placed at the same premises leave
/// once more. What was done is added to context.remarks.
Result<void> forgetAgain(RunContext& context, Progress progress);

}  // namespace leeward::study
