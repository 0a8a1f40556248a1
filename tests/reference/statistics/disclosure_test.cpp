// Masking and suppression against figures from geometry and by hand (donut masking: Hampton et al. 2010; actual k: Allshouse et al. 2010;
// complementary suppression: FCSM Statistical Policy Working Paper 22).
#include <cmath>

#include <gtest/gtest.h>

#include "analysis/disclosure/count_tree.h"
#include "analysis/disclosure/masking.h"
#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

TEST(MaskingAgainstGeometry, DistancesAreEvenOverTheRingsArea) {
  // r = sqrt(u (r2^2 - r1^2) + r1^2), r1 = 100, r2 = 500; tolerance 1e-10.
  const std::vector<std::pair<double, double>> expected = {{0, 100},    {0.1, 184.39088914585776}, {0.25, 264.5751311064591}, {0.5, 360.5551275463989},
                                                           {0.75, 435.88989435406734}, {0.9, 475.3945729601885},  {1, 500}};
  for (const auto& [u, r] : expected) EXPECT_NEAR(ringDistance(u, 100, 500), r, 1e-10 * r);
  // Mean 344.444..., rms 360.555...; a simulated mean of n draws lies within 4 sd / sqrt(n). Even over the radius it would be 300.
  Random random(7);
  constexpr int kDraws = 40'000;
  double sum = 0;
  for (int i = 0; i < kDraws; ++i) sum += ringDistance(random.uniform(), 100, 500);
  const double sd = std::sqrt(360.5551275463989 * 360.5551275463989 - 344.44444444444446 * 344.44444444444446);
  EXPECT_NEAR(sum / kDraws, 344.44444444444446, 4 * sd / std::sqrt(kDraws));
}

TEST(MaskingAgainstGeometry, KCountsWhatIsStrictlyNearer) {
  const std::vector<Point> addresses = {{0, 0}, {10, 0}, {0, 20}, {30, 30}, {-40, 5}, {60, 0}};
  EXPECT_EQ(countNearer(addresses, {0, 0}, {25, 10}), 2U);  // (0, 20) is exactly as far: a tie
}

TEST(SuppressionByHand, TheRectangleOfLeastLossIsTaken) {
  // 3 x 3 with margins, threshold 11: three more cells are needed; of the four rectangles that of rows 0 and 2, columns 0 and 1 loses least (67).
  CountTree tree;
  tree.parent = {-1, 0, 0, 0};
  tree.group_of_period = {0, 0, 0};
  tree.groups = 1;
  tree.counts = {0, 0, 0, 25, 7, 40, 33, 21, 18, 12, 30, 15};
  Progress silent;
  const auto counts = withholdTree(tree, {.threshold = 11}, silent);
  ASSERT_TRUE(counts.ok());
  std::vector<std::pair<std::size_t, std::size_t>> withheld;
  for (std::size_t area = 0; area < 4; ++area) {
    for (std::size_t column = 0; column < 4; ++column) {
      if (counts->fate[tree.cell(area, column, 0)] != CellFate::Shown) withheld.emplace_back(area, column);
    }
  }
  const std::vector<std::pair<std::size_t, std::size_t>> expected = {{1, 0}, {1, 1}, {3, 0}, {3, 1}};
  EXPECT_EQ(withheld, expected);
}

TEST(SuppressionByHand, LeftAloneTheCellCanBeHad) {
  CountTree tree;
  tree.parent = {-1, 0, 0, 0};
  tree.group_of_period = {0, 0, 0};
  tree.groups = 1;
  tree.counts = {0, 0, 0, 25, 7, 40, 33, 21, 18, 12, 30, 15};
  Progress silent;
  const CountTable table = tableOf(tree, std::vector<bool>(4));
  std::vector<bool> unknown(table.value.size());
  const auto primary = tree.cell(1, 1, 0);
  unknown[primary] = true;
  const auto ranges = exactRanges(table, unknown, 2000, silent);
  ASSERT_TRUE(ranges.ok());
  EXPECT_EQ(ranges->low[primary], 7);
  EXPECT_EQ(ranges->high[primary], 7);
}

}  // namespace
}  // namespace leeward::analysis
