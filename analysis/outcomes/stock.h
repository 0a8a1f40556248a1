#pragma once
/// What the team has to give, by place: the store and each van.
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/dates.h"

namespace leeward::analysis {

inline constexpr std::int32_t kStore = -1;

enum class StockMove { In, Out, Load, Unload, Counted };
struct StockEntry {
  Date date;
  StockMove move = StockMove::In;
  std::int32_t item = 0;     ///< 0-based
  std::int32_t van = kStore;  ///< 0-based; kStore: the store. Load and Unload need a van
  double quantity = 0;
  std::optional<Date> use_by;
  std::optional<double> cost;  ///< of the whole entry
};
/// What was given at a door, by the log of visits.
struct StockUse {
  Date date;
  std::int32_t item = 0;
  std::int32_t van = kStore;  ///< whose crew gave it
  double quantity = 0;
};

struct ItemStock {
  double came_in = 0, went_out = 0, given = 0;  ///< over the whole record of the item
  double in_store = 0;
  std::vector<double> on_van;                   ///< by van
  std::optional<Date> counted;                  ///< the latest count, of any place
  std::optional<Date> use_by;                   ///< the earliest last day of use of what came in, not before `as_of`
  std::optional<double> cost_each;              ///< mean of what came in with a cost; nothing where none did
};

/// Balances at the end of `as_of`. In: to the named place. Out: from it. Load: store to van. Unload: van to store. Counted: what is at the named
/// place at the end of that day, whatever the record said before. Given: from the van. What was given before an item's first entry is left out,
/// since what it was taken from was never written. A balance below zero is kept: more left than was written to have come.
/// Entries and uses later than as_of, or of an item or van beyond the numbers, don't count. O(n log n).
std::vector<ItemStock> stockBalances(std::span<const StockEntry> entries, std::span<const StockUse> uses, std::size_t items, std::size_t vans, Date as_of);

/// One name for what people write: lower case, blanks as one, a plural "s" off each word, "paja" as straw. "Straw bales" and "bale of straw" are straw.
std::string itemKey(std::string_view written);
/// How many of an item a text asks for, by words: "2 bowls", "bowl 2", "a bowl" -> 2, 2, 1; 0 where it isn't named. `key` as itemKey gives it.
double askedFor(std::string_view text, std::string_view key);

}  // namespace leeward::analysis
