#include "analysis/rates/empirical_bayes.h"

#include "analysis/rates/intervals.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

struct Town {
  std::vector<double> events, exposure;
};

/// Blocks whose true rates vary by a gamma of the given shape (0: not at all) about 0.1.
Town town(double shape, std::size_t blocks = 300) {
  Random random(17);
  Town town;
  for (std::size_t i = 0; i < blocks; ++i) {
    const double doors = 5 + random.below(60);
    const double rate = shape > 0 ? random.gamma(shape, 0.1 / shape) : 0.1;
    town.exposure.push_back(doors);
    town.events.push_back(random.poisson(rate * doors));
  }
  return town;
}

TEST(RatesTest, TheGammaPosteriorMeanByMomentsIsMarshallsRate) {
  const auto [events, exposure] = town(2);
  const auto marshall = marshallGlobal(events, exposure);
  const auto gamma = gammaPoisson(events, exposure, GammaFit::Moments, 0.90);
  ASSERT_OK(marshall);
  ASSERT_OK(gamma);
  ASSERT_FALSE(gamma->prior.pooled);
  for (std::size_t i = 0; i < events.size(); ++i) {
    EXPECT_NEAR(gamma->smoothed[i], marshall->smoothed[i], 1e-12);
    EXPECT_LT(gamma->low[i], gamma->smoothed[i]);
    EXPECT_GT(gamma->high[i], gamma->smoothed[i]);
  }
}

TEST(RatesTest, TheLikeliestPriorFindsTheShapeThatMadeTheData) {
  const auto [events, exposure] = town(2, 4000);
  const auto prior = fitGammaPrior(events, exposure, GammaFit::MaximumLikelihood);
  ASSERT_OK(prior);
  EXPECT_NEAR(prior->shape, 2, 0.25);
  EXPECT_NEAR(prior->mean(), 0.1, 0.005);
}

TEST(RatesTest, WithoutVariationEveryRowHasThePooledRateAndItsInterval) {
  const std::vector<double> events = {1, 2, 3, 4};
  const std::vector<double> exposure = {10, 20, 30, 40};
  for (const auto fit : {GammaFit::Moments, GammaFit::MaximumLikelihood}) {
    const auto rates = gammaPoisson(events, exposure, fit, 0.95);
    ASSERT_OK(rates);
    EXPECT_TRUE(rates->prior.pooled);
    EXPECT_DOUBLE_EQ(rates->smoothed[0], 0.1);
    EXPECT_DOUBLE_EQ(rates->low[3], garwood(10, 0.95).low / 100);
    EXPECT_DOUBLE_EQ(rates->high[3], garwood(10, 0.95).high / 100);
  }
}

TEST(RatesTest, NoEventsAnywhereStillLeaveAnUpperLimit) {
  const auto rates = gammaPoisson(std::vector<double>{0, 0}, std::vector<double>{10, 20}, GammaFit::MaximumLikelihood, 0.90);
  ASSERT_OK(rates);
  EXPECT_EQ(rates->smoothed[0], 0);
  EXPECT_EQ(rates->low[0], 0);
  EXPECT_NEAR(rates->high[0], 2.99573227355399 / 30, 1e-12);
}

TEST(RatesTest, ARowWithoutExposureGetsThePriorAlone) {
  auto [events, exposure] = town(2);
  const auto without = marshallGlobal(events, exposure);
  events.push_back(0);
  exposure.push_back(0);
  events.push_back(std::nan(""));
  exposure.push_back(12);
  const auto with = marshallGlobal(events, exposure);
  ASSERT_OK(with);
  EXPECT_EQ(with->mean.front(), without->mean.front());
  EXPECT_EQ(with->variance.front(), without->variance.front());
  EXPECT_EQ(with->smoothed.back(), with->mean.back());
  EXPECT_TRUE(std::isnan(with->raw.back()));
}

TEST(RatesTest, ALocalRateOfARowThatKnowsNothingIsItsNeighbours) {
  const std::vector<std::pair<std::size_t, std::size_t>> edges = {{0, 1}, {0, 2}, {1, 0}, {2, 0}, {0, 1}, {3, 3}};
  const auto neighbours = Neighbours::fromEdges(4, edges);
  ASSERT_OK(neighbours);
  EXPECT_EQ(neighbours->of(0).size(), 2U) << "a repeated pair counts once";
  EXPECT_TRUE(neighbours->of(3).empty()) << "self is no neighbour";
  const auto rates = marshallLocal(std::vector<double>{0, 2, 4, 0}, std::vector<double>{0, 10, 20, 0}, *neighbours);
  ASSERT_OK(rates);
  EXPECT_DOUBLE_EQ(rates->smoothed[0], 0.2);
  EXPECT_TRUE(std::isnan(rates->smoothed[3]));
  EXPECT_FALSE(Neighbours::fromEdges(2, edges).ok());
}

TEST(RatesTest, InputThatCannotBeARateIsRefused) {
  EXPECT_EQ(marshallGlobal(std::vector<double>{1}, std::vector<double>{1, 2}).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(marshallGlobal(std::vector<double>{1, -1}, std::vector<double>{1, 2}).problem().where, "row 2");
  EXPECT_EQ(marshallGlobal(std::vector<double>{0}, std::vector<double>{0}).problem().code, ProblemCode::BadData);
  EXPECT_FALSE(gammaPoisson(std::vector<double>{1}, std::vector<double>{1}, GammaFit::Moments, 1.0).ok());
  EXPECT_FALSE(gammaPoisson(std::vector<double>{1}, std::vector<double>{1}, GammaPrior{}, 0.9).ok());
}

TEST(RatesTest, LimitsOfImpossibleCountsAreNotNumbers) {
  EXPECT_TRUE(std::isnan(garwood(-1, 0.9).low));
  EXPECT_TRUE(std::isnan(byar(1, 0).low));
  EXPECT_TRUE(std::isnan(wilson(3, 2, 0.9).high));
  EXPECT_TRUE(std::isnan(wilson(0, 0, 0.9).high));
}

}  // namespace
}  // namespace leeward::analysis
