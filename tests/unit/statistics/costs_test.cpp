// Hours for each outcome: spent over the limits of Garwood's table (Garwood 1936; the same values stand in tests/reference/statistics/intervals_test.cpp).
#include <cmath>

#include <gtest/gtest.h>

#include "analysis/outcomes/costs.h"

namespace leeward::analysis {
namespace {

TEST(Costs, AreSpentOverTheLimitsOfTheCount) {
  const auto ten = perOutcome(100, 10, 0.95);
  EXPECT_DOUBLE_EQ(ten.each, 10);
  EXPECT_NEAR(ten.low, 100 / 18.3903560420178, 1e-9);
  EXPECT_NEAR(ten.high, 100 / 4.79538869613243, 1e-9);
}

TEST(Costs, WithoutAnOutcomeThereIsALowerLimitAlone) {
  const auto none = perOutcome(100, 0, 0.95);
  EXPECT_TRUE(std::isnan(none.each) && std::isnan(none.high));
  EXPECT_NEAR(none.low, 100 / 3.68887945411394, 1e-9);
}

TEST(Costs, WhatIsNotKnownStaysSo) {
  EXPECT_TRUE(std::isnan(perOutcome(std::nan(""), 3, 0.9).each));
  EXPECT_TRUE(std::isnan(perOutcome(-1, 3, 0.9).low));
  EXPECT_TRUE(std::isnan(perOutcome(5, -1, 0.9).each));
  EXPECT_EQ(perOutcome(0, 3, 0.9).each, 0);
}

TEST(Costs, HoursAreMinutesALookAndMoreAVisit) {
  EXPECT_DOUBLE_EQ(hoursOf(10, 2, 4, 25, 0), (40 + 50) / 60.0);
  EXPECT_DOUBLE_EQ(hoursOf(10, 2, 4, 25, 0.5), (40 + 50) / 60.0 * 1.5);
}

}  // namespace
}  // namespace leeward::analysis
