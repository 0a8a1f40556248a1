#pragma once
/// Hours and cost of what changed.
#include <span>
#include <string>
#include <vector>

#include "viewer/study/run/outcomes.h"

namespace leeward::study {

/// What was given at each look, priced: by row of Book::looks.
struct GivenAtLooks {
  std::vector<double> cost;
  std::int64_t priced = 0, unpriced = 0;  ///< things given with a price, and without one (they count as nothing)
};
/// Prices from [costs] prices; for what is not named there, the mean that the stock list says was paid up to the day of the figures.
Result<GivenAtLooks> givenAtLooks(const RunContext& context, const Book& book);

/// A row an area, period and outcome (animals met, improved, neutered), then the whole time of all areas together (period "all"): area_id, area_name,
/// period, outcome, count (as the counts of what changed), hours, cost (missing where nothing has a price), hours_each, hours_low, hours_high,
/// cost_each, cost_low, cost_high (analysis::perOutcome at the level). An animal given up has no price here: surrenders are reported, never a target.
Table costsTable(const RunContext& context, const std::vector<analysis::ChangedRow>& rows, const analysis::ChangedTotal& together, const BookEvents& events, const GivenAtLooks& given,
                 const std::vector<std::string>& area_ids, const std::vector<std::string>& area_names, Every every);

/// What the costs' parameters are, and what can't be concluded from them: lines for people.
std::vector<std::string> costNotes(const StudyFile& study, const GivenAtLooks& given);

}  // namespace leeward::study
