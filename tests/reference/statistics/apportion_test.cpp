// Apportionment on a map that can be checked by hand, and margins of error by the formulas of the ACS General Handbook.
#include "analysis/overlay/apportion.h"

#include "analysis/overlay/margins.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

Geometries areasOf(const std::vector<std::vector<Point>>& rings) {
  Geometries areas;
  for (const auto& ring : rings) areas.addArea(ring);
  return areas;
}

/// Three sources A, B (10 x 10) and C (20 x 5 above both), four targets. By hand: T1 has 50 of A. T2 has 50 of A, 50 of B, 20 of
/// C. T3 is the triangle (15,0)(20,0)(20,12) of area 30, with 5/6 above y = 10 in C, so 29 1/6 in B. T4 has 2 x 2 = 4 of C.
Geometries sources() {
  return areasOf(
      {{{0, 0}, {10, 0}, {10, 10}, {0, 10}}, {{10, 0}, {20, 0}, {20, 10}, {10, 10}}, {{0, 10}, {20, 10}, {20, 15}, {0, 15}}});
}
Geometries targets() {
  return areasOf({{{0, 0}, {5, 0}, {5, 10}, {0, 10}},
                  {{5, 0}, {15, 0}, {15, 12}, {5, 12}},
                  {{15, 0}, {20, 0}, {20, 12}},
                  {{18, 13}, {25, 13}, {25, 20}, {18, 20}}});
}

TEST(ApportionReference, CountsAndMeansAreThoseWorkedOutByHand) {
  Progress progress;
  const auto shares = sharesByArea(sources(), targets(), progress);
  ASSERT_OK(shares);
  ASSERT_EQ(shares->shares.size(), 7U);
  const auto result = apportion(*shares, 3, 4, {{{"pop", {100, 50, 30}, {10, 5, 3}}}, {{"rate", {0.2, 0.5, 0.1}, {}}}});
  ASSERT_OK(result);
  const auto& pop = result->counts[0];
  const std::vector<double> expected_pop = {50, 81, 50 * 0.29166666666666667 + 30 * 0.00833333333333333, 1.2};
  for (std::size_t i = 0; i < 4; ++i) expectClose(pop.values[i], expected_pop[i], 1e-10);
  expectClose(pop.placed_total, 147.0333333333333, 1e-10);
  EXPECT_EQ(pop.source_total, 180);
  const auto& rate = result->means[0];
  const std::vector<double> expected_rate = {0.2, (50 * 0.2 + 50 * 0.5 + 20 * 0.1) / 120,
                                             (29.1666666666667 * 0.5 + 0.8333333333333 * 0.1) / 30, 0.1};
  for (std::size_t i = 0; i < 4; ++i) expectClose(rate.values[i], expected_rate[i], 1e-10);
  // T2's margin: the root of the sum of squares of 0.5 x 10, 0.5 x 5 and 0.2 x 3.
  expectClose(pop.margins[1], std::sqrt(25 + 6.25 + 0.36), 1e-12);
  // A is wholly under T1 and T2; C gives 20 + 5/6 + 4 of its 100. T4 has 4 of its 49 under sources.
  EXPECT_EQ(shares->source_uncovered[0], 0);
  expectClose(shares->source_uncovered[2], 1 - 0.2483333333333333, 1e-10);
  expectClose(shares->target_covered[3], 4.0 / 49, 1e-12);
}

/// `columns` x `rows` points in the middle of as many equal cells of a box.
void addGrid(std::vector<Point>& points, const Bbox& box, int columns, int rows) {
  for (int c = 0; c < columns; ++c) {
    for (int r = 0; r < rows; ++r) {
      points.push_back({box.min_x + (c + 0.5) * box.width() / columns, box.min_y + (r + 0.5) * box.height() / rows});
    }
  }
}

// By hand, a point a person: 100 evenly in A, 50 in B, 30 in C. T2 gets 50 of A, 25 of B and of C the lowest of three rows between x = 5 and
// 15, its borders, where no other target is: 6. Its mean, weighted by people, is (50 x 0.2 + 25 x 0.5 + 6 x 0.1) / 81 = 0.285185185185185.
TEST(ApportionReference, ByPointsAMeanIsWeightedByPeople) {
  std::vector<Point> people;
  addGrid(people, {0, 0, 10, 10}, 10, 10);
  addGrid(people, {10, 0, 20, 10}, 10, 5);
  addGrid(people, {0, 10, 20, 15}, 10, 3);
  Progress progress;
  const auto by_points = sharesByPoints(sources(), targets(), people, progress);
  ASSERT_OK(by_points);
  EXPECT_EQ(by_points->sources_without_points, 0U);
  const auto result = apportion(by_points->shares, 3, 4, {{{"pop", {100, 50, 30}, {10, 5, 3}}}, {{"rate", {0.2, 0.5, 0.1}, {}}}});
  ASSERT_OK(result);
  EXPECT_EQ(result->counts[0].values[1], 81);
  expectClose(result->means[0].values[1], 0.285185185185185, 1e-12);
  expectClose(result->counts[0].margins[1], std::sqrt(25 + 6.25 + 0.36), 1e-12);  // halves of 10 and 5, a fifth of 3
}

// Source: ACS General Handbook, chapter 8: never-married females in three areas of Virginia, total 203,119 with margin 5,070
// (components from memory); published values are rounded.
TEST(ApportionReference, TheMarginOfASumIsThatOfTheHandbook) {
  const std::vector<double> estimates = {135173, 43104, 24842};
  const std::vector<double> margins = {3860, 2642, 1957};
  EXPECT_NEAR(marginOfSum(estimates, margins), 5070, 0.5);
  expectClose(marginOfSum(estimates, margins), 5070.46477159639, 1e-10);
  EXPECT_NEAR(coefficientOfVariation(203119, marginOfSum(estimates, margins)) * 100, 1.5, 0.05);
}

// Rule of the Bureau (from memory): of the zero estimates only the largest margin is counted. sqrt(15^2 + 12^2).
TEST(ApportionReference, OnlyTheLargestMarginOfZeroEstimatesCounts) {
  expectClose(marginOfSum(std::vector<double>{20, 0, 0, 0}, std::vector<double>{15, 12, 10, 9}), std::sqrt(225.0 + 144.0), 1e-12);
}

// Source: ACS General Handbook, chapter 8: 203,119 of 630,498 is 0.322 with margin 0.008.
TEST(ApportionReference, MarginsOfProportionsRatiosAndProductsAreThoseOfTheHandbook) {
  EXPECT_NEAR(marginOfProportion(203119, 5070, 630498, 831), 0.008, 0.0005);
  expectClose(marginOfProportion(203119, 5070, 630498, 831), 0.00803004457821032, 1e-10);
  expectClose(marginOfProportion(900, 50, 1000, 100), 0.10295630140987, 1e-12, "falls back to the ratio");
  expectClose(marginOfRatio(203119, 5070, 226840, 5556), 0.0313137267182998, 1e-10);
  expectClose(marginOfProduct(1200, 90, 0.35, 0.04), 57.4129776270139, 1e-10);
}

}  // namespace
}  // namespace leeward::analysis
