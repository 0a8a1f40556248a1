#pragma once
/// What a receipt says of a study's figures: its inputs, parameters and day.
#include <string>
#include <utility>
#include <vector>

#include "shared/ledger/ledger.h"
#include "shared/ledger/receipt.h"
#include "viewer/study/study_file.h"

namespace leeward::study {

/// Every number and choice of study.toml that figures depend on, defaults too, by its name there: "looks.knock" = "0.8, 0.8, 0.8, 0.8".
std::vector<std::pair<std::string, std::string>> parametersOf(const StudyFile& study);

/// The crew's files that the ledger holds, as inputs.
Result<std::vector<ReceiptInput>> importsOf(const Ledger& ledger);

/// A receipt for figures of `as_of` by this study file; `what` and `findings` are the output's. `public_inputs` as they were read.
Receipt receiptOf(const StudyFile& study, Date as_of, std::vector<ReceiptInput> inputs);

}  // namespace leeward::study
