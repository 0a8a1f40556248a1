#pragma once
/// Whether the looking goes where the need is, as a lay reader is told.
#include <string>

#include "viewer/study/findings.h"

namespace leeward::study {

/// Two sentences from the blocks' doors, looks and need (analysis/coverage/equity.h), with the interval at the findings' level; "" where there is
/// nothing to say: no need index, no look, or need alike everywhere.
std::string looksAgainstNeed(const Findings& findings);

}  // namespace leeward::study
