#include "analysis/overlay/locate.h"

#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// Three squares of 100 m in a row from (0, 0).
Geometries row() {
  Geometries areas;
  for (int i = 0; i < 3; ++i) {
    const double x = 100.0 * i;
    areas.addArea(std::vector<Point>{{x, 0}, {x + 100, 0}, {x + 100, 100}, {x, 100}});
  }
  return areas;
}

TEST(LocateTest, AnExactPointIsInItsAreaAndABorderGoesToTheLowestRow) {
  Progress progress;
  const std::vector<Point> points = {{150, 50}, {100, 50}, {200, 100}, {-1, 50}, {std::nan(""), 0}};
  const auto located = locate(points, {}, row(), progress);
  ASSERT_OK(located);
  std::vector<std::int32_t> areas;
  for (const auto& one : *located) areas.push_back(one.area);
  EXPECT_EQ(areas, (std::vector<std::int32_t>{1, 0, 1, -1, -1}));
  EXPECT_EQ((*located)[0].chance, 1);
  EXPECT_EQ((*located)[0].second, -1);
}

TEST(LocateTest, OnABorderBothAreasAreEquallyLikely) {
  Progress progress;
  const auto located = locate(std::vector<Point>{{100, 50}}, std::vector<double>{10}, row(), progress);
  ASSERT_OK(located);
  EXPECT_EQ((*located)[0].area, 0);
  EXPECT_EQ((*located)[0].second, 1);
  EXPECT_NEAR((*located)[0].chance, 0.5, 1e-6);
  EXPECT_NEAR((*located)[0].chance, (*located)[0].second_chance, 1e-12);
}

TEST(LocateTest, TheChancesOfAreasThatTileSumToAtMostOneAndShrinkOutward) {
  Progress progress;
  const auto located = locate(std::vector<Point>{{170, 50}}, std::vector<double>{40}, row(), progress);
  ASSERT_OK(located);
  EXPECT_EQ((*located)[0].area, 1);
  EXPECT_EQ((*located)[0].second, 2);
  double sum = 0;
  for (std::size_t area = 0; area < 3; ++area) sum += normalMass(row(), area, {170, 50}, 40);
  EXPECT_LT(sum, 1);
  EXPECT_GT(sum, (*located)[0].chance + (*located)[0].second_chance);
}

TEST(LocateTest, ANegativeUncertaintyNamesItsRow) {
  Progress progress;
  const auto located = locate(std::vector<Point>{{0, 0}, {1, 1}}, std::vector<double>{0, -3}, row(), progress);
  ASSERT_FALSE(located.ok());
  EXPECT_EQ(located.problem().where, "row 2");
}

}  // namespace
}  // namespace leeward::analysis
