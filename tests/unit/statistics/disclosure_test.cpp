// Withheld counts and masked points: what a reader is left with.
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

#include "analysis/disclosure/count_tree.h"
#include "analysis/disclosure/masking.h"
#include "shared/base/hash.h"
#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

Progress silent;

/// Areas under one whole, periods in one group; counts[area][period].
CountTree flatTree(const std::vector<std::vector<std::int64_t>>& counts) {
  CountTree tree;
  tree.parent = {-1};
  tree.group_of_period.assign(counts.front().size(), 0);
  tree.groups = 1;
  tree.counts.assign(counts.front().size(), 0);
  for (const auto& row : counts) {
    tree.parent.push_back(0);
    tree.counts.insert(tree.counts.end(), row.begin(), row.end());
  }
  return tree;
}

std::vector<std::vector<std::int64_t>> randomCounts(std::size_t areas, std::size_t periods, double mean, std::uint64_t seed) {
  Random random(seed);
  std::vector<std::vector<std::int64_t>> counts(areas, std::vector<std::int64_t>(periods));
  for (auto& row : counts) {
    const double level = random.gamma(0.7, mean / 0.7);
    for (auto& one : row) one = random.poisson(level);
  }
  return counts;
}

/// Every small count must be anything from 0 to the threshold for who solves for it.
void expectHidden(const CountTree& tree, const TreeCounts& counts, const WithholdRule& rule) {
  std::vector<bool> gathered(tree.parent.size());
  for (const auto area : counts.gathered) gathered[static_cast<std::size_t>(area)] = true;
  const CountTable table = tableOf(tree, gathered);
  std::vector<bool> unknown(table.value.size(), true);
  for (std::size_t cell = 0; cell < counts.fate.size(); ++cell) unknown[cell] = counts.fate[cell] != CellFate::Shown;
  const auto ranges = exactRanges(table, unknown, 5000, silent);
  ASSERT_TRUE(ranges.ok());
  std::size_t small = 0;
  for (std::size_t cell = 0; cell < table.value.size(); ++cell) {
    if (!isSmall(table.value[cell], rule)) continue;
    ++small;
    EXPECT_TRUE(unknown[cell]);
    EXPECT_EQ(ranges->low[cell], 0) << cell;
    EXPECT_GE(ranges->high[cell], rule.threshold) << cell;
  }
  EXPECT_GT(small, 0U);
}

TEST(Withholding, ASmallCountAloneInItsRowIsJoinedByOthersUntilNothingFollows) {
  const auto tree = flatTree({{25, 7, 40}, {33, 21, 18}, {12, 30, 15}});
  const WithholdRule rule{.threshold = 11};
  const auto counts = withholdTree(tree, rule, silent);
  ASSERT_TRUE(counts.ok());
  EXPECT_TRUE(counts->open_to_all.empty());
  expectHidden(tree, *counts, rule);
}

TEST(Withholding, HoldsOverAreasPeriodsAndTheirMarginsOfRandomTables) {
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    const auto tree = flatTree(randomCounts(4 + seed, 4, seed % 2 == 0 ? 4 : 15, seed));
    const auto counts = withholdTree(tree, {}, silent);
    ASSERT_TRUE(counts.ok());
    EXPECT_TRUE(counts->open_to_all.empty()) << seed;
    expectHidden(tree, *counts, {});
  }
}

TEST(Withholding, WhatAPartLeavesOfItsWholeIsGuardedToo) {
  CountTree tree;
  tree.parent = {-1, 0, 0, 0};
  tree.group_of_period = {-1, -1};
  tree.kinds = 2;
  tree.parts = {{1, 0}};
  tree.counts = {0, 0, 0, 0, 40, 38, 30, 20, 50, 30, 44, 20, 60, 31, 39, 17};  // 40 looks, 38 visits: 2 looks without
  const auto counts = withholdTree(tree, {}, silent);
  ASSERT_TRUE(counts.ok());
  EXPECT_TRUE(counts->fate[tree.cell(1, 0, 0)] != CellFate::Shown || counts->fate[tree.cell(1, 0, 1)] != CellFate::Shown);
  expectHidden(tree, *counts, {});
}

TEST(Withholding, WhatWasHandedOverBeforeIsReckonedWith) {
  const std::vector<std::vector<std::int64_t>> counts = {{12, 9, 30, 2}, {20, 14, 25, 31}, {33, 18, 22, 40}};
  CountTree tree = flatTree(counts);
  // Three quarters were shown whole; the year is told now, so the small count of the fourth must not follow from it.
  tree.standing.assign(tree.parent.size() * tree.columns(), CellStanding::Open);
  for (std::size_t area = 0; area < tree.parent.size(); ++area) {
    for (std::size_t period = 0; period < 3; ++period) tree.standing[tree.cell(area, period, 0)] = CellStanding::Shown;
  }
  const auto decided = withholdTree(tree, {}, silent);
  ASSERT_TRUE(decided.ok());
  EXPECT_TRUE(decided->open_to_all.empty());
  EXPECT_NE(decided->fate[tree.cell(1, 4, 0)], CellFate::Shown);  // the year's total of that area
  expectHidden(tree, *decided, {});
}

TEST(Withholding, SaysSoWhereTooMuchIsKnownAlready) {
  CountTree tree = flatTree({{12, 3}, {20, 14}});
  tree.standing.assign(tree.parent.size() * tree.columns(), CellStanding::Shown);
  tree.standing[tree.cell(1, 1, 0)] = CellStanding::Open;
  const auto decided = withholdTree(tree, {}, silent);
  ASSERT_TRUE(decided.ok());
  EXPECT_EQ(decided->open_to_all.size(), 1U);
}

TEST(Withholding, TooManyThatHangTogetherGoUpOneLevel) {
  CountTree tree;
  tree.parent = {-1, 0, 0};
  for (int i = 0; i < 40; ++i) tree.parent.push_back(1 + i % 2);
  tree.group_of_period.assign(4, 0);
  tree.groups = 1;
  Random random(3);
  for (std::size_t i = 0; i < tree.parent.size() * 4; ++i) tree.counts.push_back(random.poisson(3));
  const WithholdRule rule{.threshold = 5, .zeros_shown = true, .largest_component = 60};
  const auto decided = withholdTree(tree, rule, silent);
  ASSERT_TRUE(decided.ok());
  EXPECT_EQ(decided->gathered.size(), 2U);
  EXPECT_EQ(decided->fate[tree.cell(5, 0, 0)], CellFate::Hidden);
  EXPECT_EQ(decided->fate[tree.cell(1, 0, 0)], CellFate::Shown);
}

TEST(Withholding, ARateNeedsItsNumeratorItsDenominatorAndTheRest) {
  const auto shown = CellFate::Shown;
  EXPECT_TRUE(rateMayBeShown(10, 30, shown, shown, {}));
  EXPECT_FALSE(rateMayBeShown(3, 30, shown, shown, {}));
  EXPECT_FALSE(rateMayBeShown(28, 30, shown, shown, {}));
  EXPECT_FALSE(rateMayBeShown(10, 30, CellFate::Complement, shown, {}));
  EXPECT_FALSE(rateMayBeShown(0, 0, shown, shown, {}));
}

PremisesField grid(std::size_t side, double spacing) {
  PremisesField field;
  Random random(5);
  for (std::size_t i = 0; i < side * side; ++i) {
    field.position.push_back({static_cast<double>(i % side) * spacing + random.uniform() * spacing / 3, static_cast<double>(i / side) * 2.2 * spacing + random.uniform() * spacing / 3});
  }
  return field;
}

MaskingKey keyOf(const std::string& secret) {
  return [secret](std::uint32_t premises, std::uint32_t attempt) { return hmacSha256(secret, std::to_string(premises) + " " + std::to_string(attempt)); };
}

TEST(Masking, NoHomeIsNearAndEveryPointHasItsK) {
  const auto field = grid(45, 18);
  std::vector<std::uint32_t> which;
  for (std::uint32_t i = 0; i < field.position.size(); i += 23) which.push_back(i);
  const MaskingRule rule{.k = 20};
  const auto masked = maskPoints(field, which, rule, keyOf("one"), silent);
  ASSERT_TRUE(masked.ok());
  std::size_t done = 0;
  for (const auto& point : *masked) {
    if (!point.masked) continue;
    ++done;
    const Point truth = field.position[point.premises];
    const double moved = std::hypot(point.position.x - truth.x, point.position.y - truth.y);
    EXPECT_GE(moved, point.inner_m * (1 - 1e-9));
    EXPECT_LE(moved, point.outer_m * (1 + 1e-9));
    EXPECT_GE(countNearer(field.position, truth, point.position), rule.k);
    EXPECT_LE(point.largest_share, 1.0 / rule.k);
    for (const Point home : field.position) EXPECT_GE(std::hypot(home.x - point.position.x, home.y - point.position.y), rule.clear_m);
  }
  EXPECT_GT(done, which.size() * 9 / 10);
}

TEST(Masking, TheSameSecretMovesAPointTheSameWayAnotherElsewhere) {
  const auto field = grid(30, 18);
  const auto first = maskPoints(field, {100, 200}, {}, keyOf("one"), silent), again = maskPoints(field, {200, 100}, {}, keyOf("one"), silent), other = maskPoints(field, {100, 200}, {}, keyOf("two"), silent);
  ASSERT_TRUE(first.ok() && again.ok() && other.ok());
  EXPECT_EQ(first->at(0).position, again->at(1).position);
  EXPECT_FALSE(first->at(0).position == other->at(0).position);
}

TEST(Masking, AHomeThatStandsAloneIsWithheldWithItsReason) {
  auto field = grid(30, 18);
  field.position.push_back({9000, 9000});
  const auto alone = static_cast<std::uint32_t>(field.position.size() - 1);
  const auto masked = maskPoints(field, {alone}, {}, keyOf("one"), silent);
  ASSERT_TRUE(masked.ok());
  EXPECT_FALSE(masked->front().masked);
  EXPECT_FALSE(masked->front().why_not.empty());
  field.area.assign(field.position.size(), 0);
  for (std::size_t i = 0; i < 30; ++i) field.area[i] = 1;
  const auto few = maskPoints(field, {3}, {}, keyOf("one"), silent);
  ASSERT_TRUE(few.ok());
  EXPECT_FALSE(few->front().masked);
}

}  // namespace
}  // namespace leeward::analysis
