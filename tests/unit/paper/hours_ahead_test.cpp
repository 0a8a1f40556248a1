// Hours ahead, by hand.
#include "viewer/study/hours_ahead.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::study {
namespace {

Table blocks(const std::vector<double>& minutes, const std::vector<double>& per_hour) {
  Table table;
  table.add(Column::reals("minutes", minutes));
  table.add(Column::reals("per_crew_hour", per_hour));
  return table;
}

TEST(HoursAhead, TheFirstTenthGoesToTheBestBlocks) {
  // Ten hours in all: two at 2 dogs an hour, three at 1, five at 0.2; nothing to do in the last. The first hour lies in the best block.
  const auto ahead = hoursAhead(blocks({300, 120, 180, std::nan("")}, {0.2, 2, 1, std::nan("")}));
  ASSERT_TRUE(ahead);
  EXPECT_NEAR(ahead->hours, 10, 1e-12);
  EXPECT_NEAR(ahead->in_need, 2 * 2 + 3 * 1 + 5 * 0.2, 1e-12);
  EXPECT_NEAR(ahead->first_hours, 1, 1e-12);
  EXPECT_NEAR(ahead->first_in_need, 2, 1e-12);
  EXPECT_NE(hoursAheadInWords(blocks({300, 120, 180}, {0.2, 2, 1})).find("about 10 crew-hours; the first 1.0, in the blocks on top, are expected to lead to 2.0 of the 8.0 dogs"), std::string::npos);
}

TEST(HoursAhead, NothingToDoIsNothingToSay) {
  EXPECT_FALSE(hoursAhead(blocks({}, {})));
  EXPECT_FALSE(hoursAhead(blocks({0, std::nan("")}, {0, 0})));
  EXPECT_FALSE(hoursAhead(Table{}));
  EXPECT_EQ(hoursAheadInWords(Table{}), "");
}

}  // namespace
}  // namespace leeward::study
