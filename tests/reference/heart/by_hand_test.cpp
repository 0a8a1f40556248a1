// Values worked out by hand; the arithmetic stands beside each.
#include <gtest/gtest.h>

#include <vector>

#include "tests/unit/heart/town.h"
#include "analysis/coverage/effort.h"
#include "analysis/need/count_distribution.h"
#include "analysis/need/rank.h"
#include "analysis/need/town_fit.h"
#include "analysis/need/unmet.h"

namespace leeward::test {

TEST(ByHandTest, NegativeBinomialWithShapeOneIsGeometric) {
  // Gamma(1, 1) rate, exposure 1: Poisson mixed with an exponential of mean 1 gives P(x) = (1/2)^(x+1).
  const std::vector<double> one = {1.0};
  const CountChances chances = compoundNegativeBinomial(1, 1, 1, one);
  double expected = 0.5;
  for (int x = 0; x < 30; ++x, expected /= 2) EXPECT_NEAR(chances[x], expected, 1e-12);
  // Below 0: nothing, and P(0) = 0.5 > 0.05, so low = 0. Above 4: (1/2)^5 = 0.03125 <= 0.05; above 3: 0.0625 > 0.05.
  const CountInterval interval = equalTailed(chances, 0.90);
  EXPECT_EQ(interval.low, 0);
  EXPECT_EQ(interval.high, 4);
  EXPECT_NEAR(interval.mass, 1 - 0.03125, 1e-12);
}

TEST(ByHandTest, NegativeBinomialWithShapeTwo) {
  // Size 2, odds 1/2: p = 2/3, P(x) = (x + 1) p^2 (1/3)^x: 4/9, 8/27, 12/81, 16/243.
  const std::vector<double> one = {1.0};
  const CountChances chances = compoundNegativeBinomial(2, 0.5, 1, one);
  const double expected[] = {4.0 / 9, 8.0 / 27, 12.0 / 81, 16.0 / 243};
  for (int x = 0; x < 4; ++x) EXPECT_NEAR(chances[x], expected[x], 1e-12);
}

TEST(ByHandTest, DogsAtADoorCompoundTheCount) {
  // As above with 1 or 2 dogs at each door, even chances: P(0) = 4/9; P(1) = 8/27 / 2 = 4/27 (one door, one dog);
  // P(2) = 8/27 / 2 (one door, two dogs) + 12/81 / 4 (two doors, one each) = 4/27 + 1/27 = 5/27.
  const std::vector<double> each = {0.5, 0.5};
  const CountChances chances = compoundNegativeBinomial(2, 0.5, 1, each);
  EXPECT_NEAR(chances[0], 4.0 / 9, 1e-12);
  EXPECT_NEAR(chances[1], 4.0 / 27, 1e-12);
  EXPECT_NEAR(chances[2], 5.0 / 27, 1e-12);
}

TEST(ByHandTest, LeadsAreBernoullis) {
  // Two leads at 1/2 and 1/4: none 3/8, one 1/2 * 3/4 + 1/2 * 1/4 = 1/2, both 1/8.
  CountChances chances{1.0};
  addBernoulli(chances, 0.5);
  addBernoulli(chances, 0.25);
  ASSERT_EQ(chances.size(), 3U);
  EXPECT_DOUBLE_EQ(chances[0], 0.375);
  EXPECT_DOUBLE_EQ(chances[1], 0.5);
  EXPECT_DOUBLE_EQ(chances[2], 0.125);
}

TEST(ByHandTest, TheRateIntervalIsThatOfAGamma) {
  // Day one, assumed shape 1: the rate is exponential with mean 0.05 doors, x 1.4 dogs, given the town's mean, which is
  // itself known like a gamma of shape 1: shape 1 / (1 / 1 + 1 / 1) = 1/2, mean 0.07. A Gamma(1/2) is half a chi-square of
  // one degree, whose 5 % and 95 % points are 0.00393 and 3.841 (published tables): 0.07 x 0.00393 and 0.07 x 3.841.
  Record record = emptyRecord(1);
  addDoor(record, 0);
  const auto effort = plannedEffort(record);
  Progress progress;
  const auto e = expectedUnmet(record, *effort, {}, progress);
  ASSERT_TRUE(e.ok());
  EXPECT_NEAR(e->rate_low[0], 0.07 * 0.00393, 0.07 * 0.00001);
  EXPECT_NEAR(e->rate_high[0], 0.07 * 3.841, 0.07 * 0.001);
}

TEST(ByHandTest, EffectiveDoorsOfOneDay) {
  // Two knocks that see 0.8 on one day: 1 - 0.2^2 = 0.96; a third: 1 - 0.2^3 = 0.992. A street look (0.5) and a knock:
  // 1 - 0.5 * 0.2 = 0.9.
  Record record = emptyRecord(3);
  for (int b = 0; b < 3; ++b) addDoor(record, b);
  for (int i = 0; i < 2; ++i) addLook(record, 0, day(2025, 6, 1));
  for (int i = 0; i < 3; ++i) addLook(record, 1, day(2025, 6, 1));
  addLook(record, 2, day(2025, 6, 1), {.kind = LookKind::Street});
  addLook(record, 2, day(2025, 6, 1));
  const auto effort = plannedEffort(record);
  ASSERT_TRUE(effort.ok());
  EXPECT_NEAR(effort->effective_doors[0], 0.96, 1e-12);
  EXPECT_NEAR(effort->effective_doors[1], 0.992, 1e-12);
  EXPECT_NEAR(effort->effective_doors[2], 0.9, 1e-12);
}

TEST(ByHandTest, ASecondLookAfterAHalfLifeExaminesWhatCameAnew) {
  // Half-life 365 days, knocks of 0.8 on two days 365 apart: the first leaves 0.2; a year later 0.5 * 0.2 + 0.5 = 0.6 is
  // unexamined, of which the second examines 0.48: together 1.28 doors, and 0.12 is left on the day of the second.
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addLook(record, 0, record.as_of + (-365));
  addLook(record, 0, record.as_of);
  const auto effort = plannedEffort(record);
  ASSERT_TRUE(effort.ok());
  EXPECT_NEAR(effort->effective_doors[0], 1.28, 1e-12);
  EXPECT_NEAR(effort->unexamined[0], 0.12, 1e-12);
}

TEST(ByHandTest, ThePooledRateWhenBlocksHaveEqualEffort) {
  // Equal exposures give equal weights 1 / (1 + m E / shape), so the mean is (0.05 * 20 + w * 12) / (20 + w * 40) for the
  // weight w that belongs to the fitted shape: checked as the fixed point it must be.
  const std::vector<int> events = {0, 1, 3, 8};
  const std::vector<double> exposure = {10, 10, 10, 10};
  const GammaTownFit fit = fitGammaTown(events, exposure, {});
  const double w = 1 / (1 + fit.mean * 10 / fit.shape);
  EXPECT_NEAR(fit.mean, (1 + w * 12) / (20 + w * 40), 1e-3);
  EXPECT_LT(fit.shape, 2) << "0, 1, 3, 8 are far from alike";
  const std::vector<int> alike = {3, 3, 3, 3};
  EXPECT_GT(fitGammaTown(alike, exposure, {}).shape, fit.shape);
}

TEST(ByHandTest, MinutesOfABlockWithoutDriving) {
  // Four doors in a row, 30 m apart, nothing known: 4 x 4 min at doors; walk 90 m x 1.3 at 4 km/h = 1.755 min; stop 3 min;
  // visits: day one, rate Gamma(1, 0.05): chance at a door 1 - 1 / 1.05 = 1/21, so 4/21 x 25 min = 4.7619. Sum 25.5169.
  Record record = emptyRecord(1);
  for (int i = 0; i < 4; ++i) addDoor(record, 0, {i * 30.0, 0});
  const auto effort = plannedEffort(record);
  Progress progress;
  const auto estimate = expectedUnmet(record, *effort, {}, progress);
  ASSERT_TRUE(estimate.ok());
  const auto ranking = rankBlocks(record, *effort, *estimate, {}, {}, progress);
  ASSERT_TRUE(ranking.ok());
  EXPECT_NEAR(ranking->minutes[0], 16 + 1.755 + 3 + 100.0 / 21, 1e-4);
  // 4 doors x 0.05 x 1.4 dogs, half of them in need, per hour of those minutes.
  EXPECT_NEAR(ranking->per_crew_hour[0], 0.28 * 0.5 / (ranking->minutes[0] / 60), 1e-6);
}

}  // namespace leeward::test
