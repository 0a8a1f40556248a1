// The concentration index against a published table and against other ways to reckon it.
#include "analysis/coverage/equity.h"

#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

// O'Donnell, van Doorslaer, Wagstaff & Lindelow 2008, Analyzing Health Equity Using Household Survey Data (World Bank), chapter 8: deaths under five in
// India 1982-92 by fifths of wealth; births and deaths a thousand. Table and index (-0.1694) from memory; that they agree to the last digit says that the
// memory holds. Births stand for doors, deaths for looks, wealth for need.
TEST(Concentration, UnderFiveDeathsInIndiaAsPublished) {
  const std::vector<double> births = {29939, 28776, 26528, 24689, 19739}, rates = {154.7, 152.9, 119.5, 86.9, 54.3}, wealth = {1, 2, 3, 4, 5};
  std::vector<double> deaths;
  for (std::size_t i = 0; i < births.size(); ++i) deaths.push_back(births[i] * rates[i] / 1000);
  const auto found = concentrationOf(wealth, births, deaths);
  EXPECT_NEAR(found.index, -0.1694, 5e-5);
  // The same table by Fuller & Lury's formula for grouped data (1977): the sum of p_t L_t+1 - p_t+1 L_t.
  double grouped = 0;
  for (std::size_t t = 1; t + 1 < found.doors_up_to.size(); ++t) grouped += found.doors_up_to[t] * found.looks_up_to[t + 1] - found.doors_up_to[t + 1] * found.looks_up_to[t];
  EXPECT_NEAR(found.index, grouped, 1e-12);
}

// Twice the covariance of looks and rank over the mean, on single doors: the definition (Kakwani et al. 1997, equation 5).
TEST(Concentration, IsTwiceTheCovarianceWithRankOverTheMean) {
  Random random(4);
  std::vector<double> need, one(400, 1), looks;
  for (int i = 0; i < 400; ++i) need.push_back(random.uniform()), looks.push_back(static_cast<double>(random.poisson(1 + 2 * need.back())));
  std::vector<std::size_t> order(need.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::sort(order, {}, [&](std::size_t i) { return need[i]; });
  double covariance = 0;
  const double mean = std::accumulate(looks.begin(), looks.end(), 0.0) / 400;
  for (std::size_t at = 0; at < order.size(); ++at) covariance += (looks[order[at]] - mean) * ((static_cast<double>(at) + 0.5) / 400 - 0.5) / 400;
  const auto found = concentrationOf(need, one, looks);
  EXPECT_NEAR(found.index, 2 * covariance / mean, 1e-12);
  EXPECT_GT(found.index, 3 * found.standard_error) << "looks rise with need here";
}

// The standard error is that of many towns in which looks have nothing to do with need.
TEST(Concentration, ItsErrorIsThatOfManyTowns) {
  Random random(9);
  double sum = 0, squares = 0, said = 0;
  constexpr int kTowns = 2000;
  for (int town = 0; town < kTowns; ++town) {
    std::vector<double> need, doors, looks;
    for (int area = 0; area < 150; ++area) need.push_back(random.uniform()), doors.push_back(20), looks.push_back(static_cast<double>(random.poisson(10 * random.gamma(2, 0.5))));
    const auto found = concentrationOf(need, doors, looks);
    sum += found.index, squares += found.index * found.index, said += found.standard_error;
  }
  const double spread = std::sqrt(squares / kTowns - (sum / kTowns) * (sum / kTowns));
  EXPECT_NEAR(sum / kTowns, 0, 3 * spread / std::sqrt(kTowns));
  EXPECT_NEAR(said / kTowns / spread, 1, 0.05);
}

TEST(Concentration, WhereThereIsNothingToSay) {
  const std::vector<double> three = {1, 2, 3}, none = {0, 0, 0};
  EXPECT_TRUE(std::isnan(concentrationOf(three, three, none).index)) << "no look";
  EXPECT_TRUE(std::isnan(concentrationOf(none, three, three).index)) << "one place of need";
  EXPECT_TRUE(std::isnan(concentrationOf({}, {}, {}).index));
  EXPECT_EQ(concentrationOf(three, three, three).index, 0) << "looks as many as doors";
  const std::vector<double> gap = {1, std::nan(""), 3, 2}, doors = {10, 10, 10, 10}, looks = {1, 100, 3, 2};
  EXPECT_EQ(concentrationOf(gap, doors, looks).areas, 3U) << "need that nobody knows is no need of 0";
  const std::vector<double> tied = {1, 1, 2, 3}, turned = {2, 1, 3, 0}, other = {1, 2, 3, 0};
  EXPECT_NEAR(concentrationOf(tied, doors, turned).index, concentrationOf(tied, doors, other).index, 1e-15) << "the order among equals changes nothing";
}

}  // namespace
}  // namespace leeward::analysis
