// Patterns where there is nothing to say, and on maps small enough to count by hand.
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "analysis/patterns/adjusted_p.h"
#include "analysis/patterns/global_patterns.h"
#include "analysis/patterns/local_patterns.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// A row of areas, each beside the next.
Neighbours rowOf(std::size_t count) {
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (std::size_t i = 0; i + 1 < count; ++i) pairs.emplace_back(i, i + 1), pairs.emplace_back(i + 1, i);
  return *Neighbours::fromEdges(count, pairs);
}

/// Checkerboard of four: I = -1 by hand, each of z = +-1 meeting its opposite.
TEST(PatternsTest, OppositesSideBySideAreTheLeastMoran) {
  std::vector<std::pair<std::size_t, std::size_t>> ring;
  for (std::size_t i = 0; i < 4; ++i) ring.emplace_back(i, (i + 1) % 4), ring.emplace_back((i + 1) % 4, i);
  const auto found = moran(std::vector<double>{1, -1, 1, -1}, *Neighbours::fromEdges(4, ring));
  ASSERT_OK(found);
  EXPECT_NEAR(found->statistic, -1, 1e-15);
  EXPECT_LT(found->z, 0);
}

TEST(PatternsTest, NothingToSayIsSaid) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  Progress progress;
  for (const auto& [values, why] : std::vector<std::pair<std::vector<double>, std::string>>{
           {{5, 5, 5, 5, 5}, "the values are all equal"}, {{0, 0, 0, 0, 0}, "the values are all equal"}, {{1, nan, 2, nan, 3}, "fewer than four areas have a value and a neighbour"},
           {{0.1, 0.1, 0.1, 0.1, 0.1}, "the values are all equal"}, {{nan, nan, nan, nan, nan}, "fewer than four areas have a value and a neighbour"}}) {
    for (const auto& found : {moran(values, rowOf(5)), geary(values, rowOf(5)), generalG(values, rowOf(5))}) {
      ASSERT_OK(found);
      EXPECT_EQ(found->undefined, why);
      EXPECT_TRUE(std::isnan(found->statistic) && std::isnan(found->p));
    }
  }
  EXPECT_EQ(generalG(std::vector<double>{1, -1, 2, 3, 4}, rowOf(5))->undefined, "G needs values that are not negative");
  EXPECT_EQ(moran({}, rowOf(0))->areas, 0U);
  EXPECT_EQ(moran(std::vector<double>{1, 2}, rowOf(3)).problem().code, ProblemCode::InvalidArgument);
  const auto constant = localPatterns(std::vector<double>(6, 0.1), rowOf(6), {}, progress);
  ASSERT_OK(constant);
  for (const double p : constant->p) EXPECT_TRUE(std::isnan(p));
}

TEST(PatternsTest, IslandsAndMissingValuesTakeNoPart) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::vector<double> plain = {1, 2, 4, 3, 7};
  const auto alone = moran(plain, rowOf(5));
  // The same row with an island and an area without a value behind it.
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (std::size_t i = 0; i < 4; ++i) pairs.emplace_back(i, i + 1), pairs.emplace_back(i + 1, i);
  pairs.emplace_back(4, 6), pairs.emplace_back(6, 4);
  const auto with = moran(std::vector<double>{1, 2, 4, 3, 7, 100, nan}, *Neighbours::fromEdges(7, pairs));
  ASSERT_OK(with);
  EXPECT_EQ(with->areas, 5U);
  EXPECT_DOUBLE_EQ(with->statistic, alone->statistic);
  EXPECT_DOUBLE_EQ(with->variance, alone->variance);
  Progress progress;
  const auto local = localPatterns(std::vector<double>{1, 2, 4, 3, 7, 100, nan}, *Neighbours::fromEdges(7, pairs), {}, progress);
  ASSERT_OK(local);
  EXPECT_TRUE(std::isnan(local->p[5]) && std::isnan(local->gstar[5])) << "an island has no neighbours to sum";
  EXPECT_TRUE(std::isnan(local->p[6]));
  EXPECT_FALSE(std::isnan(local->p[0]));
}

/// Six areas in a row, 1 0 0 0 0 0: the end has one neighbour, whose value 0 is drawn from five zeros: every draw ties, p = 1.
TEST(PatternsTest, TiesCountOnBothSides) {
  Progress progress;
  const auto found = localPatterns(std::vector<double>{1, 0, 0, 0, 0, 0}, rowOf(6), {.permutations = 99}, progress);
  ASSERT_OK(found);
  EXPECT_EQ(found->p[0], 1);
  // The second has the neighbours 1 and 0; two of five others of which one is 1: the sum is 1 with a chance of 2/5, never more, so
  // #>= is about 40 of 99 and #<= all: p about 2 * 41 / 100.
  EXPECT_NEAR(found->p[1], 0.82, 4 * 2 * std::sqrt(0.4 * 0.6 / 99));
}

/// An area that neighbours all others: their sum can't vary, Gi has no score, and every permutation ties.
TEST(PatternsTest, ANeighbourOfAllHasNoScore) {
  std::vector<std::pair<std::size_t, std::size_t>> star;
  for (std::size_t i = 1; i < 6; ++i) star.emplace_back(0, i), star.emplace_back(i, 0);
  Progress progress;
  const auto found = localPatterns(std::vector<double>{3, 1, 4, 1, 5, 9}, *Neighbours::fromEdges(6, star), {.permutations = 199}, progress);
  ASSERT_OK(found);
  EXPECT_TRUE(std::isnan(found->gi[0]));
  EXPECT_TRUE(std::isnan(found->gstar[0]));
  EXPECT_EQ(found->p[0], 1);
}

/// Weights of one count as none given; a pair's weight of two counts as a neighbour that stands there twice (Gi* by its formula: Ord & Getis 1995).
TEST(PatternsTest, WeightsOfPairsAreFollowed) {
  const std::vector<double> values = {1, 2, 4, 3, 7, 5};
  std::vector<Neighbours::Edge> ones, threes;
  for (std::size_t i = 0; i + 1 < values.size(); ++i) {
    for (const auto& [a, b] : {std::pair(i, i + 1), std::pair(i + 1, i)}) ones.push_back({a, b, 1}), threes.push_back({a, b, 3});
  }
  threes[0].weight = 2;  // else all the same, which the scale of Moran's I would not show
  const auto plain = *Neighbours::fromWeightedEdges(6, ones), heavy = *Neighbours::fromWeightedEdges(6, threes);
  EXPECT_EQ(moran(values, plain)->statistic, moran(values, rowOf(6))->statistic);
  EXPECT_NEAR(moran(values, heavy, WeightStyle::Share)->statistic, moran(values, plain, WeightStyle::Share)->statistic, 1e-15) << "one or two neighbours of one weight a row";
  EXPECT_NE(moran(values, heavy, WeightStyle::Equal)->statistic, moran(values, plain, WeightStyle::Equal)->statistic);
  Progress progress;
  const auto found = localPatterns(values, heavy, {.permutations = 0}, progress);
  ASSERT_OK(found);
  // Area 1 (from 0): neighbours 1 and 4 with weight 3, itself 2 with weight 1; mean 22/6, mean of squares 104/6.
  const double mean = 22.0 / 6, variance = 104.0 / 6 - mean * mean, w = 7, s = 9 + 9 + 1;
  EXPECT_NEAR(found->gstar[1], (3 * 1 + 3 * 4 + 2 - w * mean) / std::sqrt(variance * (6 * s - w * w) / 5), 1e-12);
  const auto drawn = localPatterns(values, heavy, {.permutations = 999}, progress), drawn_plain = localPatterns(values, plain, {.permutations = 999}, progress);
  ASSERT_OK(drawn);
  EXPECT_EQ(drawn->p[2], drawn_plain->p[2]) << "two weights of three order the sums as two of one do";
}

/// An area with more neighbours than a batch's draws hold draws alone.
TEST(PatternsTest, AnAreaWithVeryManyNeighbours) {
  std::vector<std::pair<std::size_t, std::size_t>> star;
  std::vector<double> values = {50};
  for (std::size_t i = 1; i < 200; ++i) {
    values.push_back(static_cast<double>(i % 7));
    if (i <= 100) star.emplace_back(0, i);
    star.emplace_back(i, 0);
  }
  Progress one, three(Progress::Sink{}, {}, 3);
  const auto neighbours = *Neighbours::fromEdges(200, star);
  const auto a = localPatterns(values, neighbours, {.permutations = 99}, one), b = localPatterns(values, neighbours, {.permutations = 99}, three);
  ASSERT_OK(a);
  EXPECT_GT(a->p[0], 0.05);
  EXPECT_LE(a->p[1], 0.1) << "its one neighbour is the highest of all";
  EXPECT_EQ(a->p, b->p);
}

TEST(PatternsTest, AdjustingNothingGivesNothing) {
  EXPECT_TRUE(adjustedP({}).empty());
  EXPECT_TRUE(std::isnan(adjustedP(std::vector<double>{std::nan("")})[0]));
  EXPECT_EQ(adjustedP(std::vector<double>{0.03})[0], 0.03);
}

}  // namespace
}  // namespace leeward::analysis
