#include "analysis/need/block_rates.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "shared/base/random.h"

namespace leeward::analysis {

namespace {

struct Town {
  std::vector<int> found;
  std::vector<double> effort;
  std::vector<Point> centre;
  std::vector<RateFigure> figures{{"rent", {}, 1}, {"always the same", {}, 1}};
};

/// 20 x 20 blocks 100 m apart; log rates follow the first figure by `slope` a standard deviation; three blocks in four were looked at.
Town town(double slope, std::uint64_t seed) {
  Town t;
  Random random(seed, 1);
  for (int b = 0; b < 400; ++b) {
    const double figure = random.normal();
    t.centre.push_back({b % 20 * 100.0, b / 20 * 100.0});
    t.effort.push_back(b % 4 == 0 ? 0 : 20);
    t.figures[0].values.push_back(figure);
    t.figures[1].values.push_back(7);
    t.found.push_back(static_cast<int>(random.poisson(t.effort.back() * 0.08 * std::exp(slope * figure))));
  }
  return t;
}

BlockRates fitted(const Town& t) {
  Progress progress;
  auto rates = blockRates({t.found, t.effort, t.centre, t.figures}, progress);
  EXPECT_TRUE(rates.ok());
  return std::move(*rates);
}

}  // namespace

TEST(BlockRatesTest, WhatAFigureExplainsIsFoundAgainAndFindsExpectedOfTheLooksAreThoseMade) {
  for (const double slope : {0.7, -0.7}) {
    const Town t = town(slope, 5);
    const BlockRates rates = fitted(t);
    ASSERT_EQ(rates.terms.size(), 1u) << "a constant figure is left out";
    EXPECT_EQ(rates.remarks.size(), 1u);
    EXPECT_NEAR(rates.terms[0].coefficient, slope, 0.15);  // some 600 finds: standard error 0.04, and it is shrunk
    double expected = 0;
    for (std::size_t b = 0; b < t.found.size(); ++b) expected += rates.mean[b] * t.effort[b];
    const double found = std::accumulate(t.found.begin(), t.found.end(), 0.0);
    EXPECT_NEAR(expected / found, 1, 0.03);
  }
}

TEST(BlockRatesTest, MissingFiguresAndBlocksWithoutDoorsAreNoFault) {
  Town t = town(0.5, 6);
  for (std::size_t b = 0; b < 50; ++b) t.figures[0].values[b] = std::nan("");
  t.centre[0] = {std::nan(""), std::nan("")};
  for (const double mean : fitted(t).mean) EXPECT_TRUE(std::isfinite(mean) && mean > 0);
}

TEST(BlockRatesTest, WithoutFiguresAndWithOneBlockTheTownsMeanIsAllThereIs) {
  Town t;
  t.found = {3}, t.effort = {30}, t.centre = {{0, 0}}, t.figures = {};
  const BlockRates rates = fitted(t);
  // Assumed: 1 find of 20 doors; both weigh by their information.
  EXPECT_GT(rates.mean[0], 0.05);
  EXPECT_LT(rates.mean[0], 0.1);
  EXPECT_EQ(rates.reach_m, 0);
}

}  // namespace leeward::analysis
