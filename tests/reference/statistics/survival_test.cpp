// Times to an outcome. The subjects are those of Miller 1997, Survival Analysis, 49 (acute myelogenous leukemia; times are facts); values of
// ../shared/checks/09_trend_survival.json: R 4.2.2, survival 3.5.3. Tolerance 1e-9 relative, log-rank 1e-8.
#include "analysis/trends/survival.h"

#include "analysis/trends/competing.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;
using Marks = std::vector<std::uint8_t>;

const std::vector<double> kMaintained = {9, 13, 13, 18, 23, 28, 31, 34, 45, 48, 161};
const Marks kMaintainedMarks = {1, 1, 0, 1, 1, 0, 1, 1, 0, 1, 0};
const std::vector<double> kOther = {5, 5, 8, 8, 12, 16, 23, 27, 30, 33, 43, 45};
const Marks kOtherMarks = {1, 1, 1, 1, 1, 0, 1, 1, 1, 1, 1, 1};

void expectLimits(const SurvivalCurve& curve, const std::vector<double>& low, const std::vector<double>& high) {
  ASSERT_EQ(curve.steps.size(), low.size());
  for (std::size_t i = 0; i < low.size(); ++i) {
    EXPECT_NEAR(curve.steps[i].limits.low, low[i], 1e-9) << "step " << i;
    EXPECT_NEAR(curve.steps[i].limits.high, high[i], 1e-9) << "step " << i;
  }
}

SurvivalCurve maintained(SurvivalLimits limits) { return kaplanMeier(kMaintained, kMaintainedMarks, 0.95, limits).value(); }

TEST(SurvivalReference, TheProductLimitAndGreenwoodsError) {
  const auto curve = maintained(SurvivalLimits::Plain);
  const std::vector<double> time = {9, 13, 18, 23, 31, 34, 48}, at_risk = {11, 10, 8, 7, 5, 4, 2};
  const std::vector<double> survival = {0.909090909090909, 0.818181818181818, 0.715909090909091, 0.613636363636364, 0.490909090909091, 0.368181818181818, 0.184090909090909};
  const std::vector<double> se = {0.0866784172041448, 0.116291299830333, 0.139664970557228, 0.152632331027312, 0.164193267221136, 0.162668885827095, 0.153492745786294};
  ASSERT_EQ(curve.steps.size(), time.size());
  for (std::size_t i = 0; i < time.size(); ++i) {
    EXPECT_EQ(curve.steps[i].time, time[i]);
    EXPECT_EQ(static_cast<double>(curve.steps[i].at_risk), at_risk[i]);
    EXPECT_EQ(curve.steps[i].events, 1U);
    expectClose(curve.steps[i].survival, survival[i], 1e-9);
    expectClose(curve.steps[i].se, se[i], 1e-9);
  }
  EXPECT_EQ(curve.median, 31);
  EXPECT_EQ(curve.events, 7U);
}

TEST(SurvivalReference, LimitsOfTheThreeKinds) {
  expectLimits(maintained(SurvivalLimits::Plain),
               {0.739204333133848, 0.590255058799017, 0.442170778715077, 0.314482491946437, 0.169096200651704, 0.0493566605554544, 0},
               {1, 1, 0.989647403103104, 0.91279023532629, 0.812721981166478, 0.687006975808182, 0.484931162720207});
  expectLimits(maintained(SurvivalLimits::Log),
               {0.754133845081525, 0.619248987399364, 0.488426287422128, 0.37686705950168, 0.254859951199317, 0.154877117897191, 0.0359178984891853},
               {1, 1, 1, 0.999157600228473, 0.945584955200429, 0.875260678143908, 0.943525769474552});
  expectLimits(maintained(SurvivalLimits::LogLog),
               {0.50808020576993, 0.447428614682181, 0.350190385907938, 0.265752040001286, 0.167330909776851, 0.0928295749369852, 0.0117384801231896},
               {0.986673822667823, 0.951162228582492, 0.899023974191053, 0.835299243250221, 0.753399790370811, 0.657040832398164, 0.525014842726641});
}

TEST(SurvivalReference, WhereNobodyIsLeftThereIsNoError) {
  const auto curve = kaplanMeier(kOther, kOtherMarks, 0.95, SurvivalLimits::LogLog);
  ASSERT_OK(curve);
  const std::vector<double> survival = {0.833333333333333, 0.666666666666667, 0.583333333333333, 0.486111111111111, 0.388888888888889,
                                        0.291666666666667, 0.194444444444444, 0.0972222222222222, 0};
  ASSERT_EQ(curve->steps.size(), survival.size());
  for (std::size_t i = 0; i < survival.size(); ++i) expectClose(curve->steps[i].survival, survival[i], 1e-9);
  expectClose(curve->steps[7].se, 0.0918663649675205, 1e-9);
  expectClose(curve->steps[7].limits.low, 0.00574630569586383, 1e-9);
  expectClose(curve->steps[7].limits.high, 0.34890386111075, 1e-9);
  EXPECT_EQ(curve->steps[8].survival, 0);
  EXPECT_TRUE(std::isnan(curve->steps[8].se) && std::isnan(curve->steps[8].limits.low));
  EXPECT_EQ(curve->median, 23);
}

TEST(SurvivalReference, TheMeanUpToADayIsTheAreaUnderTheCurve) {
  const auto mean = restrictedMean(maintained(SurvivalLimits::Plain), 48);
  expectClose(mean.mean, 31.8431818181818, 1e-8);
  expectClose(mean.se, 4.52788471175049, 1e-8);
}

TEST(SurvivalReference, LogRankAndItsWeightedForm) {
  std::vector<double> time = kMaintained;
  time.insert(time.end(), kOther.begin(), kOther.end());
  Marks event = kMaintainedMarks;
  event.insert(event.end(), kOtherMarks.begin(), kOtherMarks.end());
  std::vector<std::int32_t> group(kMaintained.size(), 0);
  group.resize(time.size(), 1);
  const auto plain = logRank(time, event, group, 2, 0);
  ASSERT_OK(plain);
  EXPECT_EQ(plain->observed, (std::vector<double>{7, 11}));
  expectClose(plain->expected[0], 10.6893359923007, 1e-8);
  expectClose(plain->expected[1], 7.31066400769928, 1e-8);
  expectClose(plain->chi_square, 3.3963886989776, 1e-8);
  EXPECT_EQ(plain->degrees, 1);
  expectClose(plain->p, 0.0653393220405051, 1e-8);
  const auto weighted = logRank(time, event, group, 2, 1);
  ASSERT_OK(weighted);
  expectClose(weighted->chi_square, 2.77927954475177, 1e-8);
  expectClose(weighted->p, 0.0954911154064931, 1e-8);
  // A group without subjects changes nothing.
  const auto wider = logRank(time, event, group, 3, 0);
  ASSERT_OK(wider);
  expectClose(wider->chi_square, plain->chi_square, 1e-12);
}

// By hand: five subjects, ends 1, 2, none, 1, 2 at times 1 to 5. After 1: 4/5 without, 1/5 by the first end. After 2: 3/5, 1/5 and 1/5. At 4 two
// are at risk: half of 3/5 more by the first end, 1/2. At 5 the last one: 3/10 more by the second end, 1/2.
// Variance of the first end's share after time 1: 1^2 * 1 * (5 - 1) / 5^3 = 4/125.
TEST(SurvivalReference, CompetingEndsAddUpToAllOfThem) {
  const auto steps = cumulativeIncidence(std::vector<double>{1, 2, 3, 4, 5}, std::vector<std::int32_t>{1, 2, 0, 1, 2}, 2, 0.95);
  ASSERT_OK(steps);
  ASSERT_EQ(steps->size(), 4U);
  const std::vector<double> first = {0.2, 0.2, 0.5, 0.5}, second = {0, 0.2, 0.2, 0.5}, without = {0.8, 0.6, 0.3, 0};
  for (std::size_t i = 0; i < 4; ++i) {
    expectClose((*steps)[i].incidence[0], first[i], 1e-12);
    expectClose((*steps)[i].incidence[1], second[i], 1e-12);
    EXPECT_NEAR((*steps)[i].without, without[i], 1e-12);
  }
  expectClose((*steps)[0].se[0], std::sqrt(4.0 / 125), 1e-12);
}

// With a single end its share is one less Kaplan and Meier's, with Greenwood's error and the same limits turned round.
TEST(SurvivalReference, OneEndAloneIsKaplanAndMeiers) {
  const std::vector<std::int32_t> causes(kMaintainedMarks.begin(), kMaintainedMarks.end());
  const auto steps = cumulativeIncidence(kMaintained, causes, 1, 0.95);
  ASSERT_OK(steps);
  const auto curve = maintained(SurvivalLimits::LogLog);
  ASSERT_EQ(steps->size(), curve.steps.size());
  for (std::size_t i = 0; i < curve.steps.size(); ++i) {
    expectClose((*steps)[i].incidence[0], 1 - curve.steps[i].survival, 1e-12);
    expectClose((*steps)[i].se[0], curve.steps[i].se, 1e-9);
    expectClose((*steps)[i].limits[0].low, 1 - curve.steps[i].limits.high, 1e-9);
    expectClose((*steps)[i].limits[0].high, 1 - curve.steps[i].limits.low, 1e-9);
  }
}

TEST(SurvivalReference, EmptyAndOddInputIsDefined) {
  const auto none = kaplanMeier({}, {}, 0.95, SurvivalLimits::Log);
  ASSERT_OK(none);
  EXPECT_TRUE(none->steps.empty() && std::isnan(none->median));
  const auto same = logRank(std::vector<double>{1, 2}, Marks{0, 0}, std::vector<std::int32_t>{0, 1}, 2, 0);
  ASSERT_OK(same);
  EXPECT_EQ(same->chi_square, 0);
  EXPECT_EQ(same->p, 1);
  EXPECT_EQ(kaplanMeier(std::vector<double>{-1}, Marks{1}, 0.95, SurvivalLimits::Log).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(cumulativeIncidence(std::vector<double>{1}, std::vector<std::int32_t>{3}, 2, 0.95).problem().code, ProblemCode::InvalidArgument);
}

}  // namespace
}  // namespace leeward::analysis
