// Rates compared. Digits computed with R 4.2.2 (epitools 0.5.10.1: ageadjust.direct, rateratio and binom.exact), tolerance 1e-8 relative, unless a case says
// otherwise.
#include "analysis/rates/compare.h"

#include <cmath>

#include "tests/reference/statistics/checks.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

TEST(CompareReference, ClopperAndPearsonsLimitsAreTheExactOnes) {
  struct Case {
    double part, whole, low, high;
  };
  // 0 of 10: 1 - 0.025^(1/10) by hand.
  for (const auto& [part, whole, low, high] : {Case{0, 10, 0, 1 - std::pow(0.025, 0.1)}, Case{10, 10, std::pow(0.025, 0.1), 1}}) {
    const auto limits = clopperPearson(part, whole, 0.95);
    expectClose(limits.low, low, 1e-9);
    expectClose(limits.high, high, 1e-9);
  }
  expectClose(clopperPearson(1, 10, 0.95).low, 0.00252857854446179, 1e-8);
  expectClose(clopperPearson(5, 10, 0.95).low, 0.187086028447399, 1e-8);
  expectClose(clopperPearson(81, 263, 0.95).low, 0.252736745585271, 1e-8);
}

TEST(CompareReference, TheRatioOfTwoRatesHasConditionalExactLimits) {
  const auto ratio = rateRatio(11, 800, 24, 2100, 0.95);
  expectClose(ratio.ratio, 1.203125, 1e-12);
  expectClose(ratio.limits.low, 0.532010396977273, 1e-8);
  expectClose(ratio.limits.high, 2.55128963880627, 1e-8);
  EXPECT_EQ(rateRatio(0, 10, 5, 10, 0.95).limits.low, 0);
  EXPECT_TRUE(std::isnan(rateRatio(5, 10, 0, 10, 0.95).ratio));
}

// Down syndrome by maternal age, first-born; data of Fleiss as carried in the manual of epitools.
TEST(CompareReference, StandardisedRatesHaveFayAndFeuersLimits) {
  const std::vector<double> events = {107, 141, 60, 40, 39, 25}, births = {230061, 329449, 114920, 39487, 14208, 3052}, standard = {63986.6, 186263.6, 157302.2, 97647, 47572.6, 12262.6};
  const auto rate = fayFeuer(events, births, standard, 0.95);
  expectClose(rate.rate, 0.000923045255331995, 1e-9);
  expectClose(rate.limits.low, 0.000804417498507042, 1e-9);
  expectClose(rate.limits.high, 0.00105763345749261, 1e-9);
  const std::vector<double> few = {2, 0, 5, 9}, of = {1200, 900, 1500, 800}, weights = {0.25, 0.25, 0.3, 0.2};
  const auto with_zero = fayFeuer(few, of, weights, 0.95);
  expectClose(with_zero.rate, 0.00366666666666667, 1e-9);
  expectClose(with_zero.limits.low, 0.00208865720525892, 1e-9);
  expectClose(with_zero.limits.high, 0.00604272829367814, 1e-9);
  const std::vector<double> none = {0, 0, 0}, people = {100, 200, 300}, equal = {1, 1, 1};
  const auto empty = fayFeuer(none, people, equal, 0.95);
  EXPECT_EQ(empty.rate, 0);
  EXPECT_EQ(empty.limits.low, 0);
  expectClose(empty.limits.high, 0.0122962648470465, 1e-9);
}

// Newcombe 1998, Statistics in Medicine 17, 873-890, table II, method 10: 56/70 less 48/80 gives 0.0524 to 0.3339 (from memory; four digits).
TEST(CompareReference, DifferencesOfSharesHaveNewcombesLimits) {
  const auto limits = differenceOfShares(56, 70, 48, 80, 0.95);
  EXPECT_NEAR(limits.low, 0.0524, 5e-5);
  EXPECT_NEAR(limits.high, 0.3339, 5e-5);
}

// By hand. Poisson of mean 1: P(0) = e^-1 = 0.36788, P(<=3) = 0.98101, P(<=2) = 0.91970. The lower 2.5 % lies below 0: no limit under zero. The
// upper: 3 - (0.98101 - 0.975) / (0.98101 - 0.91970) = 2.9020.
TEST(CompareReference, FunnelLimitsAreInterpolatedBetweenWholeCounts) {
  const auto limits = funnelOfRate(0.1, 10, 0.95);
  EXPECT_EQ(limits.low, 0);
  EXPECT_NEAR(limits.high, 0.29020, 2e-5);
  // Binomial of 2 and 0.5: P(0) = 0.25, P(<=1) = 0.75, P(<=2) = 1. Upper at 80 %: 0.9 lies 0.1 / 0.25 below 2: 1.6 of 2.
  EXPECT_NEAR(funnelOfShare(0.5, 2, 0.8).high, 0.8, 1e-12);
}

}  // namespace
}  // namespace leeward::analysis
