#pragma once
/// Why a block stands where it stands: one plain sentence made of its own numbers.
///
/// Never says that a place is safe or free of dogs; numbers are rounded to what they carry.
#include <string>
#include <vector>

#include "analysis/coverage/states.h"
#include "analysis/need/rank.h"

namespace leeward::analysis {

std::string becauseOf(std::size_t block, const Coverage& coverage, const Effort& effort, const UnmetEstimate& estimate,
                      const Ranking& ranking);
/// One entry a block. Cancelled.
Result<std::vector<std::string>> becauseOfAll(const Coverage& coverage, const Effort& effort, const UnmetEstimate& estimate, const Ranking& ranking, Progress progress);

/// 0.123 -> "0.12", 3.96 -> "4.0", 42.3 -> "42": for numbers in sentences; "less than 0.01" for what is less but not 0.
std::string inWords(double number);

}  // namespace leeward::analysis
