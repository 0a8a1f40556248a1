// Trends of series. Values of ../shared/checks/09_trend_survival.json: R 4.2.2, own formulas checked there against cor.test and glm; the series
// Nile, LakeHuron and ldeaths are R's datasets. Tolerance 1e-9 relative, Poisson trend 1e-7. The small series stand here in full.
#include "analysis/trends/mann_kendall.h"
#include "analysis/trends/poisson_trend.h"

#include "shared/base/missing.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

std::vector<double> steps(std::size_t count) {
  std::vector<double> times(count);
  for (std::size_t i = 0; i < count; ++i) times[i] = static_cast<double>(i + 1);
  return times;
}

// The case mk_ties: ties and a gap, which keeps its place in time.
TEST(TrendsReference, TiesAndGapsAreThoseOfKendall) {
  const std::vector<double> series = {12, 14, 14, kNan, 15, 15, 15, 17, 16, 20};
  const auto kendall = mannKendall(series);
  EXPECT_EQ(kendall.n, 9U);
  EXPECT_EQ(kendall.s, 30);
  expectClose(kendall.variance, 87.3333333333333, 1e-12);
  expectClose(kendall.z, 3.10318723127793, 1e-12);
  expectClose(kendall.p, 0.00191448478366619, 1e-12);
  expectClose(kendall.tau, 0.883883476483184, 1e-12);
  const auto sen = senSlope(series, steps(series.size()), 0.95);
  ASSERT_OK(sen);
  EXPECT_EQ(sen->pairs, 36U);
  expectClose(sen->slope, 0.5, 1e-12);
  expectClose(sen->interval.low, 0.25, 1e-12);
  expectClose(sen->interval.high, 1, 1e-12);
}

// Gilbert 1987, Statistical Methods for Environmental Pollution Monitoring, 16.5: four values with the slopes -1, 2, 2.5, 3.33, 5, 6.
TEST(TrendsReference, SensSlopeIsTheMedianOfGilbertsSlopes) {
  const std::vector<double> series = {10, 15, 14, 20};
  EXPECT_EQ(mannKendall(series).s, 4);
  const auto sen = senSlope(series, steps(4), 0.9);
  ASSERT_OK(sen);
  EXPECT_EQ(sen->pairs, 6U);
  expectClose(sen->slope, 2.91666666666667, 1e-12);
}

// The case poisson_trend: R's glm with an offset.
TEST(TrendsReference, PoissonTrendIsThatOfAGeneralisedLinearModel) {
  const std::vector<double> years = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9}, counts = {31, 28, 35, 33, 40, 38, 46, 44, 51, 49};
  const std::vector<double> people = {10100, 10150, 10220, 10300, 10410, 10500, 10620, 10750, 10810, 10900};
  const auto trend = poissonTrend(counts, people, years, 0.95);
  ASSERT_OK(trend);
  expectClose(trend->intercept, -5.83711821544003, 1e-7);
  expectClose(trend->slope, 0.0535195233214034, 1e-7);
  expectClose(trend->intercept_se, 0.101925139107747, 1e-7);
  expectClose(trend->slope_se, 0.0176832759992862, 1e-7);
  expectClose(trend->deviance, 1.49122694970106, 1e-7);
  expectClose(trend->change, 0.0549775882330634, 1e-7);
  expectClose(trend->change_interval.low, 0.0190399302907394, 1e-7);
  expectClose(trend->change_interval.high, 0.0921826305241156, 1e-7);
}

class OutsideSeries : public testing::Test {
 protected:
  static void expectSeries(const std::filesystem::path& file, const std::string& id, const std::string& of) {
    SCOPED_TRACE(id);
    const auto series = test::numbers(test::checkCase(file, of).at("params").at("x"));
    const auto expected = test::checkCase(file, id).at("expected");
    const auto kendall = mannKendall(series);
    EXPECT_EQ(kendall.n, expected.at("n"));
    EXPECT_EQ(kendall.s, expected.at("S"));
    expectClose(kendall.variance, expected.at("varS"), 1e-9);
    expectClose(kendall.z, expected.at("z"), 1e-9);
    expectClose(kendall.p, expected.at("p_two_sided"), 1e-9);
    expectClose(kendall.tau, expected.at("tau_b"), 1e-9);
    const auto sen = senSlope(series, steps(series.size()), 0.95);
    ASSERT_OK(sen);
    EXPECT_EQ(sen->pairs, expected.at("n_slopes"));
    expectClose(sen->slope, expected.at("sen_slope"), 1e-9);
    expectClose(sen->interval.low, expected.at("sen_ci95_rounded_ranks").at(0), 1e-9);
    expectClose(sen->interval.high, expected.at("sen_ci95_rounded_ranks").at(1), 1e-9);
  }
};

TEST_F(OutsideSeries, LongSeriesAgree) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto file = folder / "09_trend_survival.json";
  expectSeries(file, "mk_nile", "mk_nile");
  expectSeries(file, "mk_huron", "mk_huron");
  expectSeries(file, "plain_mk_ldeaths", "seasonal_mk_ldeaths");
}

TEST_F(OutsideSeries, SeasonsAreComparedWithThemselves) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto one = test::checkCase(folder / "09_trend_survival.json", "seasonal_mk_ldeaths");
  const auto series = test::numbers(one.at("params").at("x"));
  std::vector<int> season, year;
  for (std::size_t i = 0; i < series.size(); ++i) season.push_back(static_cast<int>(i % 12)), year.push_back(1974 + static_cast<int>(i / 12));
  const auto kendall = seasonalKendall(series, season, year);
  ASSERT_OK(kendall);
  EXPECT_EQ(kendall->s, one.at("expected").at("S"));
  expectClose(kendall->variance, one.at("expected").at("varS"), 1e-9);
  expectClose(kendall->z, one.at("expected").at("z"), 1e-9);
  expectClose(kendall->p, one.at("expected").at("p"), 1e-9);
  expectClose(kendall->slope, one.at("expected").at("slope_per_year"), 1e-9);
}

}  // namespace
}  // namespace leeward::analysis
