#pragma once
/// What the store and the vans hold, and what the days ahead will take.
#include <optional>
#include <string>
#include <vector>

#include "viewer/study/what_is_due.h"

namespace leeward::study {

struct StockOutcome {
  /// A row an item: item, unit, in_store, on_vans, vans ("North 4; South 2"), came_in, given, went_out, to_bring (for what is due by `until`), short
  /// (what store and vans lack of it), use_by (the earliest to come), counted (the latest count), cost_each (mean of what was paid).
  Table items;
  /// A row a crew and item that is due: crew (missing: nobody was there yet), item, to_bring, on_van, load (what the van lacks), in_store.
  Table loads;
  Date as_of, until;
  std::vector<std::string> remarks;  ///< balances below zero, uses that no van is named for
};
/// Balances by analysis::stockBalances at the end of the day of the figures. What was given at doors and as treatments is taken from the van that is
/// called like the look's crew, from the only van if there is one, else from the store. One giving of a product is one of it.
/// Errors as whatIsDue.
Result<StockOutcome> whatIsInStock(const DueRequest& request, Progress& progress);

/// What is to be brought by crew and item: at a door the most that one row asks for, once for each animal that is named. crew, item, to_bring.
Table toBring(const Table& due);

}  // namespace leeward::study
