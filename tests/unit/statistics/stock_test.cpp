// Stock: every balance is reckoned by hand from the rule.
#include <gtest/gtest.h>

#include "analysis/outcomes/stock.h"

namespace leeward::analysis {
namespace {

using enum StockMove;
constexpr Date day(int n) { return {20000 + n}; }
StockEntry entry(int on, StockMove move, double quantity, std::int32_t van = kStore) { return {.date = day(on), .move = move, .item = 0, .van = van, .quantity = quantity, .use_by = {}, .cost = {}}; }

TEST(Stock, WhatComesInIsLoadedGivenAndBroughtBack) {
  const std::vector<StockEntry> entries = {entry(0, In, 20), entry(1, Load, 8, 0), entry(1, Load, 4, 1), entry(5, Unload, 1, 1), entry(6, Out, 2), entry(7, Out, 1, 0)};
  const std::vector<StockUse> uses = {{day(2), 0, 0, 3}, {day(3), 0, 1, 1}, {day(9), 0, 0, 2}};
  const auto stock = stockBalances(entries, uses, 1, 2, day(8));
  EXPECT_EQ(stock[0].in_store, 20 - 8 - 4 + 1 - 2);
  EXPECT_EQ(stock[0].on_van, (std::vector<double>{8 - 3 - 1, 4 - 1 - 1}));
  EXPECT_EQ(stock[0].given, 4) << "the gift of a later day doesn't count";
  EXPECT_EQ(stock[0].came_in, 20);
  EXPECT_EQ(stock[0].went_out, 3);
}

TEST(Stock, ACountHoldsAtTheEndOfItsDayForItsPlaceAlone) {
  // On the day of the count one was given and five were loaded, wherever the rows stand: the count is of the evening.
  const std::vector<StockEntry> entries = {entry(4, Counted, 6, 0), entry(0, In, 20), entry(1, Load, 8, 0), entry(4, Load, 5, 0)};
  const std::vector<StockUse> uses = {{day(4), 0, 0, 1}, {day(5), 0, 0, 2}};
  const auto stock = stockBalances(entries, uses, 1, 1, day(6));
  EXPECT_EQ(stock[0].on_van[0], 6 - 2);
  EXPECT_EQ(stock[0].in_store, 20 - 8 - 5);
  EXPECT_EQ(stock[0].counted, day(4));
}

TEST(Stock, MoreGivenThanWrittenStaysBelowZeroAndWhatWasGivenBeforeTheFirstEntryIsLeftOut) {
  const auto stock = stockBalances(std::vector{entry(10, In, 2)}, std::vector<StockUse>{{day(9), 0, kStore, 7}, {day(10), 0, kStore, 3}}, 2, 0, day(20));
  EXPECT_EQ(stock[0].in_store, -1);
  EXPECT_EQ(stock[1].in_store, 0) << "nothing was written of it";
}

TEST(Stock, CostAndLastDayAreOfWhatCameIn) {
  std::vector<StockEntry> entries = {entry(0, In, 10), entry(1, In, 30), entry(2, In, 5)};
  entries[0].cost = 50, entries[1].cost = 90;
  entries[0].use_by = day(3), entries[1].use_by = day(40), entries[2].use_by = day(30);
  const auto stock = stockBalances(entries, {}, 1, 0, day(8));
  EXPECT_EQ(stock[0].cost_each, 140.0 / 40) << "what came without a cost is in neither sum";
  EXPECT_EQ(stock[0].use_by, day(30)) << "the earliest that isn't over";
}

TEST(Stock, WhatIsWrongCountsForNothing) {
  EXPECT_TRUE(stockBalances({}, {}, 0, 0, day(0)).empty());
  const auto stock = stockBalances(std::vector{entry(0, Load, 3), entry(0, In, 4, 2), entry(0, In, 1)}, std::vector<StockUse>{{day(0), 5, kStore, 1}}, 1, 1, day(1));
  EXPECT_EQ(stock[0].in_store, 1);
}

TEST(Stock, OneThingHasManyNames) {
  for (const char* name : {"Straw", "straw bales", "bale of straw", " STRAW  BALE ", "paja", "pacas de paja"}) EXPECT_EQ(itemKey(name), "straw") << name;
  EXPECT_EQ(itemKey("Tie-outs"), "tie-out");
  EXPECT_EQ(itemKey("flea and tick drops"), "flea and tick drop");
  EXPECT_EQ(itemKey("straw out"), "straw out");
  EXPECT_EQ(itemKey(" ; "), "");
}

TEST(Stock, APromiseAsksForSoMany) {
  EXPECT_EQ(askedFor("bring 2 bowls", "bowl"), 2);
  EXPECT_EQ(askedFor("bowl 3", "bowl"), 3);
  EXPECT_EQ(askedFor("a bowl.", "bowl"), 1);
  EXPECT_EQ(askedFor("4 bales of straw", "straw"), 4);
  EXPECT_EQ(askedFor("straw", "straw"), 1);
  EXPECT_EQ(askedFor("bowling", "bowl"), 0);
  EXPECT_EQ(askedFor("", "bowl"), 0);
  EXPECT_EQ(askedFor("bowl", ""), 0);
}

}  // namespace
}  // namespace leeward::analysis
