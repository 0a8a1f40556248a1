#pragma once
/// What a hand-over says in words: to its readers, and to the lead. Internal to viewer/sheets.
#include <string>
#include <vector>

#include "viewer/study/hand_over/draft.h"

namespace leeward::sheets {

std::string readMe(const study::HandOverDraft& draft);
/// Stamped: every withheld count and home with the reason.
std::string leadsReport(const study::HandOverDraft& draft, const std::string& folder, const std::vector<std::string>& warnings);
/// One case as rows: kind (look, check, referral), date, and what each says; the stamp in the first column's heading.
Table caseTable(const study::HandOverDraft& draft);

}  // namespace leeward::sheets
