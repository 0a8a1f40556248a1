// Empirical-Bayes rates on Auckland (Marshall 1991) and North Carolina. Values of ../shared/checks/05_empirical_bayes.json:
// global by R spdep 1.2.7, local in the textbook's form by a separate script; tolerance 1e-10 relative.
#include "analysis/rates/empirical_bayes.h"

#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

struct Town {
  std::vector<double> events, exposure;
};

Town auckland(const std::filesystem::path& folder) {
  const auto file = folder / "data/auckland.csv";
  return {test::numbers(file, "deaths_1977_85"), test::numbers(file, "population9")};
}

Town carolina(const std::filesystem::path& folder) {
  const auto file = folder / "data/nc_sids74.csv";
  return {test::numbers(file, "SID74"), test::numbers(file, "BIR74")};
}

void expectColumn(const std::vector<double>& actual, const nlohmann::json& expected) {
  const auto values = test::numbers(expected);
  ASSERT_EQ(actual.size(), values.size());
  for (std::size_t i = 0; i < values.size(); ++i) expectClose(actual[i], values[i], 1e-10, "row " + std::to_string(i));
}

void expectGlobal(const std::filesystem::path& folder, const std::string& id, const Town& town) {
  SCOPED_TRACE(id);
  const auto expected = test::checkCase(folder / "05_empirical_bayes.json", id).at("expected");
  const auto rates = marshallGlobal(town.events, town.exposure);
  ASSERT_OK(rates);
  expectColumn(rates->raw, expected.at("raw"));
  expectColumn(rates->smoothed, expected.at("eb"));
  expectClose(rates->variance.front(), expected.at("a"), 1e-10);
  expectClose(rates->mean.front(), expected.at("b"), 1e-10);
}

void expectLocal(const std::filesystem::path& folder, const std::string& id, const std::string& edge_file, const Town& town) {
  SCOPED_TRACE(id);
  const auto expected = test::checkCase(folder / "05_empirical_bayes.json", id).at("expected");
  const auto from = test::numbers(folder / "data" / edge_file, "from");
  const auto to = test::numbers(folder / "data" / edge_file, "to");
  std::vector<std::pair<std::size_t, std::size_t>> edges;
  for (std::size_t i = 0; i < from.size(); ++i) edges.emplace_back(from[i] - 1, to[i] - 1);
  const auto neighbours = Neighbours::fromEdges(town.events.size(), edges);
  ASSERT_OK(neighbours);
  const auto rates = marshallLocal(town.events, town.exposure, *neighbours);
  ASSERT_OK(rates);
  expectColumn(rates->mean, expected.at("m"));
  // The prior variance is a difference of two nearly equal numbers: 1e-10 of the larger, the mean over the exposure.
  const auto variance = test::numbers(expected.at("a"));
  for (std::size_t i = 0; i < variance.size(); ++i) EXPECT_NEAR(rates->variance[i], variance[i], 1e-10 * 1e-5) << "row " << i;
  expectColumn(rates->smoothed, expected.at("eb"));
}

TEST(RatesReference, GlobalRatesOfAucklandAndCarolinaAreThoseOfAnotherLibrary) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  expectGlobal(folder, "auckland_EBest", auckland(folder));
  expectGlobal(folder, "SID74_EBest", carolina(folder));
}

TEST(RatesReference, LocalRatesFollowTheTextbooksForm) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  expectLocal(folder, "auckland_EBlocal_fixedmean", "auckland_edges.csv", auckland(folder));
  expectLocal(folder, "SID74_EBlocal_fixedmean", "nc_queen_edges.csv", carolina(folder));
}

// The overall rate that Marshall 1991 prints (from memory): 2.63 per 1000 per year, to 2 decimals.
TEST(RatesReference, TheOverallRateOfAucklandIsAsPublished) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto town = auckland(folder);
  EXPECT_NEAR(fitGammaPrior(town.events, town.exposure, GammaFit::Moments).value().mean() * 1000, 2.63, 0.005);
}

// Likeliest gamma priors by a separate program: Newton's method on both score equations, digamma differences as finite sums.
TEST(RatesReference, LikeliestGammaPriorsAreThoseOfASeparateNewtonSearch) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto north = auckland(folder);
  const auto first = fitGammaPrior(north.events, north.exposure, GammaFit::MaximumLikelihood);
  ASSERT_OK(first);
  expectClose(first->shape, 11.55250895884518, 1e-9);
  expectClose(first->rate, 4335.711483144509, 1e-9);
  const auto south = carolina(folder);
  const auto second = fitGammaPrior(south.events, south.exposure, GammaFit::MaximumLikelihood);
  ASSERT_OK(second);
  expectClose(second->shape, 6.371976748651938, 1e-9);
  expectClose(second->rate, 3000.4653429529726, 1e-9);
}

// Gamma with shape 1 is exponential: quantile p of rate b is -log(1 - p) / b.
TEST(RatesReference, TheIntervalOfAnExponentialPosteriorIsItsClosedForm) {
  const auto rates = gammaPoisson(std::vector<double>{0}, std::vector<double>{10}, GammaPrior{1, 5, false}, 0.90);
  ASSERT_OK(rates);
  expectClose(rates->smoothed[0], 1.0 / 15, 1e-12);
  expectClose(rates->low[0], -std::log1p(-0.05) / 15, 1e-12);
  expectClose(rates->high[0], -std::log(0.05) / 15, 1e-12);
}

}  // namespace
}  // namespace leeward::analysis
