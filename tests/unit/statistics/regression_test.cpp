// Count regression where its answer has a closed form, and where it has none.
#include <cmath>
#include <numeric>

#include <gtest/gtest.h>

#include "analysis/regression/count_regression.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using Columns = std::vector<ExplainingColumn>;
const double kBlank = std::nan("");

Result<CountRegression> fitOf(const std::vector<double>& events, const std::vector<double>& exposure, const Columns& columns, CountKind kind = CountKind::Poisson) {
  Progress progress;
  return countRegression({.events = events, .exposure = exposure, .columns = columns, .kind = kind}, progress);
}

/// The constant alone: the rate of all together; its error 1 / sqrt(events); White's is the root of the squared residuals' sum over the events; leverage is the share of
/// what is expected.
TEST(RegressionTest, TheConstantAloneIsTheRateOfAll) {
  const std::vector<double> events = {3, 0, 7, 2}, exposure = {10, 5, 30, 15};
  const auto found = fitOf(events, exposure, {});
  ASSERT_OK(found);
  const auto& term = found->terms.front();
  EXPECT_NEAR(term.coefficient, std::log(12.0 / 60), 1e-12);
  EXPECT_NEAR(term.standard_error, 1 / std::sqrt(12.0), 1e-12);
  double squares = 0;
  for (std::size_t i = 0; i < 4; ++i) squares += std::pow(events[i] - exposure[i] * 0.2, 2);
  EXPECT_NEAR(term.robust_hc0, std::sqrt(squares) / 12, 1e-12);
  EXPECT_NEAR(term.robust_hc1, std::sqrt(squares * 4 / 3) / 12, 1e-12);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(found->leverage[i], exposure[i] / 60, 1e-12);
  EXPECT_NEAR(found->deviance, found->null_deviance, 1e-10);
  EXPECT_NEAR(found->expectedFor({}, 100), 20, 1e-9);
}

/// Two groups: the coefficient is the log of the rates' ratio, its squared error 1/a + 1/b.
TEST(RegressionTest, TwoGroupsHaveTheRatioOfTheirRates) {
  const std::vector<double> events = {4, 6, 1, 2}, exposure = {10, 10, 20, 10};
  const auto found = fitOf(events, exposure, {{"fenced", {0, 0, 1, 1}}});
  ASSERT_OK(found);
  EXPECT_NEAR(found->terms[1].coefficient, std::log((3.0 / 30) / (10.0 / 20)), 1e-12);
  EXPECT_NEAR(found->terms[1].standard_error, std::sqrt(1.0 / 3 + 1.0 / 10), 1e-12);
  EXPECT_NEAR(found->terms[0].coefficient, std::log(0.5), 1e-12);
  EXPECT_NEAR(found->covariance[1], -0.1, 1e-12) << "of the constant and the ratio: less one over the first group's events";
  EXPECT_NEAR(std::accumulate(found->leverage.begin(), found->leverage.end(), 0.0), 2, 1e-10);
}

TEST(RegressionTest, UnitsOnlyMoveWhatTheyMust) {
  const std::vector<double> events = {1, 4, 2, 8, 5, 7, 11, 9}, exposure = {10, 12, 9, 11, 10, 13, 12, 10}, year = {2010, 2011, 2012, 2013, 2014, 2015, 2016, 2017};
  const auto found = fitOf(events, exposure, {{"year", year}});
  ASSERT_OK(found);
  std::vector<double> more = exposure, since = year, days = year;
  for (double& one : more) one *= 1000;
  for (double& one : since) one -= 2010;
  for (double& one : days) one *= 365.25;
  const auto scaled = fitOf(events, more, {{"year", year}}), shifted = fitOf(events, exposure, {{"year", since}}), in_days = fitOf(events, exposure, {{"year", days}});
  EXPECT_NEAR(scaled->terms[0].coefficient, found->terms[0].coefficient - std::log(1000), 1e-8);
  EXPECT_NEAR(scaled->terms[1].coefficient, found->terms[1].coefficient, 1e-12);
  EXPECT_NEAR(shifted->terms[1].standard_error, found->terms[1].standard_error, 1e-12);
  EXPECT_NEAR(in_days->terms[1].coefficient * 365.25, found->terms[1].coefficient, 1e-12);
  EXPECT_NEAR(shifted->deviance, found->deviance, 1e-9);
}

TEST(RegressionTest, RowsThatTellNothingAreLeftOut) {
  const auto plain = fitOf({1, 4, 2, 8}, {10, 12, 9, 11}, {{"x", {1, 2, 3, 5}}});
  const auto with = fitOf({1, 4, kBlank, 2, 0, 3, 8}, {10, 12, 5, 9, 0, 6, 11}, {{"x", {1, 2, 9, 3, 7, kBlank, 5}}});
  ASSERT_OK(with);
  EXPECT_EQ(with->rows, 4U);
  EXPECT_EQ(with->terms[1].coefficient, plain->terms[1].coefficient);
  EXPECT_TRUE(std::isnan(with->expected[2]) && std::isnan(with->leverage[4]) && std::isnan(with->residual[5]));
  EXPECT_EQ(with->expected[6], plain->expected[3]);
}

TEST(RegressionTest, CountsThatSpreadLittleAreFittedAsPoissons) {
  const std::vector<double> events = {5, 5, 6, 5, 6, 6, 5, 6}, x = {1, 2, 3, 4, 5, 6, 7, 8};
  const auto poisson = fitOf(events, {}, {{"x", x}}), spread = fitOf(events, {}, {{"x", x}}, CountKind::NegativeBinomial);
  ASSERT_OK(spread);
  EXPECT_TRUE(std::isinf(spread->theta));
  EXPECT_TRUE(std::isnan(spread->theta_se) && std::isnan(poisson->theta));
  EXPECT_EQ(spread->terms[1].coefficient, poisson->terms[1].coefficient);
  EXPECT_NEAR(spread->aic, poisson->aic + 2, 1e-12);
}

/// Counts drawn with theta 2 and a coefficient of 0.5: found within four of their own standard errors, by any number of threads the same.
TEST(RegressionTest, WhatWasDrawnIsFoundAgain) {
  Random random(4);
  std::vector<double> events, exposure, x;
  for (int i = 0; i < 8000; ++i) {
    x.push_back(random.normal()), exposure.push_back(1 + 9 * random.uniform());
    events.push_back(random.poisson(random.gamma(2, exposure.back() * std::exp(-1 + 0.5 * x.back()) / 2)));
  }
  const Columns columns = {{"x", x}};
  Progress one, three(Progress::Sink{}, {}, 3);
  const CountRegressionRequest request{.events = events, .exposure = exposure, .columns = columns, .kind = CountKind::NegativeBinomial};
  const auto found = countRegression(request, one), again = countRegression(request, three);
  ASSERT_OK(found);
  EXPECT_NEAR(found->terms[1].coefficient, 0.5, 4 * found->terms[1].standard_error);
  EXPECT_NEAR(found->theta, 2, 4 * found->theta_se);
  EXPECT_NEAR(found->terms[1].robust_hc0, found->terms[1].standard_error, 0.1 * found->terms[1].standard_error) << "the model is true, so both errors agree";
  EXPECT_EQ(found->terms[1].coefficient, again->terms[1].coefficient);
  EXPECT_EQ(found->theta, again->theta);
}

void expectBad(const Result<CountRegression>& found, const std::string& said, ProblemCode code = ProblemCode::BadData) {
  ASSERT_FALSE(found.ok()) << said;
  EXPECT_EQ(found.problem().code, code);
  EXPECT_NE(found.problem().text().find(said), std::string::npos) << found.problem().text();
}

TEST(RegressionTest, WhatCantBeFittedIsNamed) {
  const std::vector<double> events = {1, 4, 2, 8, 5}, five = {1, 1, 1, 1, 1}, x = {1, 2, 3, 5, 4};
  expectBad(fitOf({1, -4, 2, 8, 5}, {}, {{"x", x}}), "row 2");
  expectBad(fitOf({1, 4, 2.5, 8, 5}, {}, {{"x", x}}), "2.5 is no count");
  expectBad(fitOf(events, {1, 1, -1, 1, 1}, {{"x", x}}), "no exposure (row 3)");
  expectBad(fitOf(events, {1, 1, 1, 1, 0}, {{"x", x}}), "events where the exposure is 0 (row 5)");
  expectBad(fitOf({0, 0, 0, 0, 0}, {}, {{"x", x}}), "no event");
  expectBad(fitOf(events, {}, {{"x", x}, {"same", five}}), "\"same\" has one value");
  expectBad(fitOf(events, {}, {{"x", x}, {"y", {3, 1, 4, 1, 5}}, {"mix", {4, 3, 7, 6, 9}}}), "\"mix\" follows from \"x\", \"y\"");
  expectBad(fitOf(events, {}, {{"far", {1e9, 2e9, 3e9, 5e9, 4e9}}, {"x", x}}), "\"x\" follows from \"far\"");
  expectBad(fitOf({1, 4, 2}, {}, {{"a", {1, 2, 3}}, {"b", {1, 0, 1}}}), "3 rows can be used, too few for 2 columns");
  expectBad(fitOf({}, {}, {}), "0 rows can be used");
  expectBad(fitOf(events, {1, 1}, {{"x", x}}), "different numbers of rows", ProblemCode::InvalidArgument);
  expectBad(fitOf(events, {}, {{"x", x}, {"x", x}}), "named twice", ProblemCode::InvalidArgument);
}

TEST(RegressionTest, AColumnThatPartsEventsFromNoneHasNoEnd) {
  for (const CountKind kind : {CountKind::Poisson, CountKind::NegativeBinomial}) {
    // No event where the gate is open: its share falls without end.
    expectBad(fitOf({1, 4, 2, 8, 0, 0}, {}, {{"x", {1, 2, 3, 5, 4, 2}}, {"open", {0, 0, 0, 0, 1, 1}}}, kind), "\"open\" has no end");
    // All events at one value of x, none above it.
    expectBad(fitOf({3, 4, 2, 0, 0, 0}, {}, {{"x", {1, 1, 1, 2, 3, 4}}}, kind), "\"x\" has no end");
    // Two columns together: only a + b tells rows with events from those without.
    expectBad(fitOf({3, 4, 2, 0, 0, 0}, {}, {{"a", {1, 2, 3, 2, 3, 5}}, {"b", {-1, -2, -3, -1, 0, -2}}}, kind), "has no end");
    // Rows without events lie on both sides: there is an end.
    EXPECT_OK(fitOf({3, 4, 2, 0, 0, 0}, {}, {{"x", {1, 1, 1, 2, 0, 0}}}, kind));
    // Two words without events: each alone is enough.
    expectBad(fitOf({3, 4, 2, 0, 0, 5}, {}, {{"p", {0, 0, 0, 1, 0, 0}}, {"q", {0, 0, 0, 0, 1, 0}}}, kind), "\"p\" has no end");
  }
}

TEST(RegressionTest, HugeAndTinyCountsHoldStill) {
  const auto huge = fitOf({1e6, 2e6, 3e6, 2.5e6}, {}, {{"x", {1, 2, 3, 2.2}}}, CountKind::NegativeBinomial);
  ASSERT_OK(huge);
  EXPECT_TRUE(std::isfinite(huge->deviance) && huge->theta > 0);
  const auto lone = fitOf({0, 0, 0, 1, 0, 0}, {1e-6, 1e6, 1, 3, 2, 1}, {{"x", {1, 2, 3, 2, 1, 0}}});
  ASSERT_OK(lone);
  EXPECT_NEAR(std::accumulate(lone->expected.begin(), lone->expected.end(), 0.0), 1, 1e-8) << "with a constant, what is expected adds up to what was";
}

}  // namespace
}  // namespace leeward::analysis
