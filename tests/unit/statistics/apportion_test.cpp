#include "analysis/overlay/apportion.h"

#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

Geometries strips(int count, bool upright) {
  Geometries areas;
  for (int i = 0; i < count; ++i) {
    const double a = 60.0 * i / count;
    const double b = 60.0 * (i + 1) / count;
    if (upright) {
      areas.addArea(std::vector<Point>{{a, 0}, {b, 0}, {b, 60}, {a, 60}});
    } else {
      areas.addArea(std::vector<Point>{{0, a}, {60, a}, {60, b}, {0, b}});
    }
  }
  return areas;
}

TEST(ApportionTest, TargetsThatTileTheSourcesKeepTotals) {
  Progress progress;
  const auto shares = sharesByArea(strips(7, true), strips(4, false), progress);
  ASSERT_OK(shares);
  Random random(3);
  SourceFigure people{"people", {}, {}};
  for (int i = 0; i < 7; ++i) people.values.push_back(random.below(1000));
  const auto result = apportion(*shares, 7, 4, {{people}, {}});
  ASSERT_OK(result);
  EXPECT_NEAR(result->counts[0].placed_total, result->counts[0].source_total, 1e-9 * result->counts[0].source_total);
  for (const double uncovered : shares->source_uncovered) EXPECT_EQ(uncovered, 0);
  for (const double covered : shares->target_covered) EXPECT_NEAR(covered, 1, 1e-12);
}

TEST(ApportionTest, AMissingSourceMakesItsTargetsMissingNotSmall) {
  Progress progress;
  const auto shares = sharesByArea(strips(2, true), strips(2, true), progress);
  ASSERT_OK(shares);
  const auto result = apportion(*shares, 2, 2, {{{"people", {100, std::nan("")}, {}}}, {{"age", {40, std::nan("")}, {}}}});
  ASSERT_OK(result);
  EXPECT_EQ(result->counts[0].values[0], 100);
  EXPECT_TRUE(std::isnan(result->counts[0].values[1]));
  EXPECT_TRUE(std::isnan(result->means[0].values[1]));
  EXPECT_EQ(result->counts[0].missing_sources, 1U);
}

TEST(ApportionTest, ByPointsASourceWithoutPointsIsSpreadByArea) {
  Progress progress;
  // Two upright halves into two lying ones; three points in the left half: two low, one high, and one beyond all.
  const std::vector<Point> points = {{5, 5}, {25, 10}, {10, 50}, {500, 500}, {std::nan(""), 0}};
  const auto found = sharesByPoints(strips(2, true), strips(2, false), points, progress);
  ASSERT_OK(found);
  EXPECT_EQ(found->sources_without_points, 1U);
  const auto result = apportion(found->shares, 2, 2, {{{"people", {90, 40}, {}}}, {{"age", {30, 50}, {}}}});
  ASSERT_OK(result);
  EXPECT_NEAR(result->counts[0].values[0], 60 + 20, 1e-9);
  EXPECT_NEAR(result->counts[0].values[1], 30 + 20, 1e-9);
  EXPECT_EQ(result->means[0].values, (std::vector<double>{30, 30}));  // the right half has nobody to weigh with
}

TEST(ApportionTest, ByPointsABorderBelongsToTheFirstAreaAndOverlapsToAll) {
  Progress progress;
  Geometries targets = strips(2, false);
  targets.addCopy(strips(2, false), 0);  // the lower half once more
  const std::vector<Point> points = {{10, 30}, {10, 10}};
  const auto found = sharesByPoints(strips(1, true), targets, points, progress);
  ASSERT_OK(found);
  const auto result = apportion(found->shares, 1, 3, {{{"people", {100}, {}}}, {}});
  ASSERT_OK(result);
  EXPECT_EQ(result->counts[0].values, (std::vector<double>{100, 0, 50}));
}

TEST(ApportionTest, AMedianIsRefusedByItsName) {
  for (const char* name : {"median_income", "MedianAge", "B19013_001E", "med_rent", "HH_MED"})
    EXPECT_TRUE(isMedian(name)) << name;
  for (const char* name : {"people", "medical_visits", "B01001_001E", "comedy", "mean_income"})
    EXPECT_FALSE(isMedian(name)) << name;
  const auto refused = apportion({}, 1, 0, {{{"median_income", {1}, {}}}, {}});
  ASSERT_FALSE(refused.ok());
  EXPECT_EQ(refused.problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(refused.problem().where, "median_income");
}

TEST(ApportionTest, AFigureOfAnotherLengthIsRefused) {
  EXPECT_FALSE(apportion({}, 2, 0, {{{"people", {1}, {}}}, {}}).ok());
  EXPECT_FALSE(apportion({}, 1, 0, {{{"people", {1}, {1, 2}}}, {}}).ok());
}

}  // namespace
}  // namespace leeward::analysis
