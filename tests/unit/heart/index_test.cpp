#include "analysis/need/index.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::analysis {

namespace {
const double kMissing = std::nan("");
}

TEST(NeedIndexTest, RanksAreMiddleRanksAndMissingIsNeverZero) {
  // Mid-ranks of 10, 20, 20, 40 over 4: 0.5, 2, 2, 3.5 -> 0.125, 0.5, 0.5, 0.875; the second indicator turned round,
  // over three blocks: 3, 2, 1 -> (3 - 0.5)/3 ... -> 1 - 0.8333 = 0.1667, 0.5, 0.8333.
  const std::vector<NeedIndicator> indicators = {
      {.label = "households without a car", .values = {10, 20, 20, 40}, .weight = 3},
      {.label = "income", .values = {3, 2, kMissing, 1}, .more_is_more_need = false, .weight = 1}};
  Progress progress;
  const auto index = needIndex(4, indicators, {}, progress);
  ASSERT_TRUE(index.ok());
  EXPECT_NEAR(index->need[0], (3 * 0.125 + 1.0 / 6) / 4, 1e-12);
  EXPECT_NEAR(index->need[1], 0.5, 1e-12);
  EXPECT_NEAR(index->need[2], 0.5, 1e-12) << "the first indicator alone";
  EXPECT_NEAR(index->share_missing[2], 0.25, 1e-12);
  EXPECT_NEAR(index->need[3], (3 * 0.875 + 5.0 / 6) / 4, 1e-12);
  EXPECT_EQ(index->low, index->need) << "no margins, nothing to draw";
}

TEST(NeedIndexTest, BlocksOfOneSourceAreaMoveTogether) {
  NeedIndicator indicator{.label = "share", .values = {1, 1, 2, 2}, .margin = {5, 5, 5, 5}, .source_area = {7, 7, 9, 9}};
  Progress one, four(Progress::Sink{}, std::stop_token{}, 4);
  const auto index = needIndex(4, {indicator}, {}, one);
  const auto again = needIndex(4, {indicator}, {}, four);
  ASSERT_TRUE(index.ok() && again.ok());
  EXPECT_EQ(index->low, again->low) << "whatever the number of threads";
  // Two areas of two blocks: the ranks can only be 0.25 and 0.75, never between.
  EXPECT_NEAR(index->low[0], 0.25, 1e-12);
  EXPECT_NEAR(index->high[0], 0.75, 1e-12);
}

TEST(NeedIndexTest, ConstantAndEmptyIndicatorsAreSaid) {
  Progress progress;
  const auto index =
      needIndex(2, {{.label = "a", .values = {4, 4}}, {.label = "b", .values = {kMissing, kMissing}}}, {}, progress);
  ASSERT_TRUE(index.ok());
  EXPECT_NEAR(index->need[0], 0.5, 1e-12);
  EXPECT_EQ(index->remarks.size(), 2U);
  const auto none = needIndex(2, {}, {}, progress);
  ASSERT_TRUE(none.ok());
  EXPECT_TRUE(std::isnan(none->need[0]));
  EXPECT_EQ(needIndex(3, {{.label = "a", .values = {1}}}, {}, progress).problem().code, ProblemCode::InvalidArgument);
}

}  // namespace leeward::analysis
