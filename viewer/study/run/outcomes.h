#pragma once
/// What changed and what is due.
#include <cstdint>
#include <string>
#include <vector>

#include "analysis/coverage/states.h"
#include "analysis/outcomes/changed.h"
#include "viewer/study/run/book.h"

namespace leeward::study {

/// The rule by which an animal counts as improved, as the study file sets it.
analysis::ImprovedRule improvedRule(const StudyFile& study);

/// What changed, by area and period, and the totals over spans of time in which each animal counts once.
struct ChangedTables {
  Table periods;  ///< columns as Findings::changed says
  Table totals;   ///< as Findings::changed_totals
};
/// `by`: a kind of area layer (jurisdictions, areas, blocks, boundary), or "" for the whole study as one area. NotFound if the
/// study names no such layer.
Result<ChangedTables> changedTables(RunContext& context, const Book& book, const std::string& by, Every every, Progress progress);

/// Columns as Findings::due says: promised returns that no answered look has kept yet, and known dogs whose service interval has run out by as_of.
Table dueTable(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, const analysis::DoorCoverage& doors);

/// How many animals could be compared, and how many of them stand improved on as_of.
struct ImprovedCount {
  std::int64_t improved = 0, compared = 0;
};
ImprovedCount countImproved(const Book& book, const analysis::ImprovedRule& rule);

}  // namespace leeward::study
