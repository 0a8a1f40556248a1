// Heat index and wind chill of the US National Weather Service. Two things go by the name of heat index and differ by up to 2.3 °F: the
// published chart, which shows the regression alone, and the page's algorithm with its simple form and corrections.
#include "analysis/weather/feels_like.h"

#include <array>
#include <cmath>

#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// Air °F, humidity %, the chart's figure, the algorithm, the regression alone.
struct ChartRow {
  double air_f, humidity, chart, algorithm, regression;
};

std::vector<ChartRow> chartRows(const std::filesystem::path& checks) {
  std::vector<ChartRow> rows;
  const auto chart = test::checkCase(checks / "12_heat.json", "nws_chart");
  for (const auto& row : chart.at("expected").at("rows")) {
    rows.push_back({row[0].get<double>(), row[1].get<double>(), row[2].get<double>(), row[3].get<double>(), row[5].get<double>()});
  }
  return rows;
}

// Source: the Weather Service's heat index chart (from memory), all 135 figures. Whole degrees; the chart was not rounded evenly, so 1 °F.
TEST(HeatIndexReference, ThePublishedChartIsTheBareRegression) {
  LEEWARD_OUTSIDE_DATA(checks, "checks");
  const auto rows = chartRows(checks);
  ASSERT_EQ(rows.size(), 135U);
  std::size_t exact = 0;
  for (const auto& row : rows) {
    const double index = heatIndexRegressionF(row.air_f, row.humidity);
    EXPECT_NEAR(index, row.chart, 1) << row.air_f << " F, " << row.humidity << " %";
    EXPECT_NEAR(index, row.regression, 1e-6);  // the formula as R computes it, given to six decimals
    exact += std::round(index) == row.chart ? 1 : 0;
  }
  EXPECT_EQ(exact, 133U);  // 90 F with 45 % and with 70 % are a degree off
}

// Source: Weather Prediction Center, "The Heat Index Equation" (formula confirmed there), computed in R to six decimals.
TEST(HeatIndexReference, TheFullAlgorithmIsThatOfTheWeatherServicesPage) {
  LEEWARD_OUTSIDE_DATA(checks, "checks");
  double furthest = 0;
  for (const auto& row : chartRows(checks)) {
    EXPECT_NEAR(heatIndexF(row.air_f, row.humidity), row.algorithm, 1e-6) << row.air_f << " F, " << row.humidity << " %";
    furthest = std::max(furthest, std::abs(heatIndexF(row.air_f, row.humidity) - row.chart));
  }
  EXPECT_GT(furthest, 2);  // it is not the chart
}

// The same source: where one form ends and the next begins, and at the ends of both corrections.
TEST(HeatIndexReference, TheFullAlgorithmChangesItsFormWhereThePageSays) {
  for (const auto& [air, humidity, expected] : std::initializer_list<std::array<double, 3>>{
           {75, 50, 74.775}, {79, 40, 78.74}, {79, 90, 79.915}, {80, 5, 78.9675}, {80, 12.9, 79.15315}, {80, 13, 79.1555},
           {85, 10, 81.39986328906019}, {95, 5, 88.1767847}, {112, 8, 105.41639656}, {112.1, 8, 105.5111504023}, {80, 85, 84.9193431},
           {80, 85.1, 84.94746458129998}, {82, 90, 91.99167784}, {86.9, 95, 112.2069687612}, {87, 95, 112.62507394}, {87.1, 95, 113.0650177732},
           {100, 55, 123.6382986}, {72, 100, 72.8}, {60, 20, 58.32}, {80, 40, 79.79}, {78, 80, 78.63}}) {
    EXPECT_NEAR(heatIndexF(air, humidity), expected, 1e-6) << air << " F, " << humidity << " %";
  }
}

TEST(HeatIndexReference, HumidityOutsideItsRangeHasNoIndex) {
  for (const double humidity : {-0.1, 100.1, std::nan("")}) {
    EXPECT_TRUE(std::isnan(heatIndexF(90, humidity))) << humidity;
    EXPECT_TRUE(std::isnan(heatIndexRegressionF(90, humidity))) << humidity;
  }
  EXPECT_TRUE(std::isnan(heatIndexF(std::nan(""), 50)));
  EXPECT_FALSE(std::isnan(heatIndexF(90, 0)));
  EXPECT_FALSE(std::isnan(heatIndexF(90, 100)));
}

// Source: NWS and Environment Canada 2001: the chart of whole degrees (from memory), and the formula to six decimals.
TEST(WindChillReference, ChartAndFormulaOf2001) {
  LEEWARD_OUTSIDE_DATA(checks, "checks");
  const auto wind_chill = test::checkCase(checks / "12_heat.json", "wind_chill");
  const auto air = test::numbers(wind_chill.at("params").at("T"));
  for (const char* wind : {"5", "30", "60"}) {
    const auto chart = test::numbers(wind_chill.at("expected").at("chart").at(wind)), formula = test::numbers(wind_chill.at("expected").at("formula").at(wind));
    for (std::size_t i = 0; i < air.size(); ++i) {
      const double index = windChillF(air[i], std::stod(wind));
      EXPECT_NEAR(index, formula[i], 1e-6) << air[i] << " F, " << wind << " mph";
      EXPECT_EQ(std::round(index), chart[i]) << air[i] << " F, " << wind << " mph";
    }
  }
}

TEST(WindChillReference, AboveFiftyDegreesAndAtThreeMilesAnHourThereIsNone) {
  EXPECT_TRUE(std::isnan(windChillF(50.1, 20)));
  EXPECT_TRUE(std::isnan(windChillF(20, 3)));
  EXPECT_TRUE(std::isnan(windChillF(20, std::nan(""))));
  EXPECT_FALSE(std::isnan(windChillF(50, 20)));
  EXPECT_FALSE(std::isnan(windChillF(20, 3.001)));
}

// Definitions: 32 °F is 0 °C; an international mile is 1609.344 m (so that 10 m/s are 22.3693629205 mph).
TEST(UnitsReference, DegreesAndSpeeds) {
  for (const auto& [celsius, fahrenheit] : std::initializer_list<std::array<double, 2>>{{-40, -40}, {0, 32}, {37.5, 99.5}}) {
    EXPECT_NEAR(fahrenheitOf(celsius), fahrenheit, 1e-12);
    EXPECT_NEAR(celsiusOf(fahrenheit), celsius, 1e-12);
  }
  EXPECT_NEAR(mphOfMetresPerSecond(10), 22.3693629205, 1e-9);
  EXPECT_NEAR(mphOfKilometresPerHour(36), 22.3693629205, 1e-9);
}

}  // namespace
}  // namespace leeward::analysis
