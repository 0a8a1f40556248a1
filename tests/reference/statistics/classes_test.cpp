// Class limits: R classInt 0.4.9 and a separate dynamic programme, which agree on the sum of squares; quantiles type 7 and equal
// steps 1e-12 relative, natural classes exact, sums of squares 1e-9 relative. Data: spData (CC0).
#include "analysis/rates/classes.h"

#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

void expectNatural(const std::filesystem::path& folder, const std::string& name, std::size_t count,
                   const std::vector<double>& values) {
  const auto id = name + "_fisher_" + std::to_string(count);
  SCOPED_TRACE(id);
  const auto expected = test::checkCase(folder / "16_breaks.json", id).at("expected");
  Progress progress;
  const auto classes = classLimits(values, count, ClassesBy::Natural, progress);
  ASSERT_OK(classes);
  const auto upper = test::numbers(expected.at("class_upper_values"));
  ASSERT_EQ(classes->counts.size(), upper.size());
  for (std::size_t i = 0; i < upper.size(); ++i) {
    EXPECT_EQ(classes->limits[i + 1], upper[i]);
    EXPECT_EQ(static_cast<double>(classes->counts[i]), expected.at("counts")[i].get<double>());
  }
  expectClose(classes->within_squares, expected.at("within_ss"), 1e-9);
  expectClose(classes->goodness_of_variance_fit, expected.at("gvf"), 1e-9);
}

void expectLimits(const std::filesystem::path& folder, const std::string& id, ClassesBy by, std::size_t count,
                  const std::vector<double>& values) {
  SCOPED_TRACE(id);
  const auto expected = test::numbers(test::checkCase(folder / "16_breaks.json", id).at("expected").at("brks"));
  Progress progress;
  const auto classes = classLimits(values, count, by, progress);
  ASSERT_OK(classes);
  ASSERT_EQ(classes->limits.size(), expected.size());
  for (std::size_t i = 0; i < expected.size(); ++i) expectClose(classes->limits[i], expected[i], 1e-12);
}

TEST(ClassesReference, LimitsOnTwoDataSetsAreThoseOfAnotherLibrary) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto jenks = test::numbers(folder / "data/jenks71.csv", "value");
  const auto crime = test::numbers(folder / "data/columbus.csv", "CRIME");
  for (const std::size_t count : {3, 5, 7}) expectNatural(folder, "jenks71", count, jenks);
  for (const std::size_t count : {4, 5}) expectNatural(folder, "columbus_CRIME", count, crime);
  for (const std::size_t count : {3, 5, 7}) {
    expectLimits(folder, "jenks71_quantile7_" + std::to_string(count), ClassesBy::Quantile, count, jenks);
    expectLimits(folder, "jenks71_equal_" + std::to_string(count), ClassesBy::Equal, count, jenks);
  }
  for (const std::size_t count : {4, 5}) {
    expectLimits(folder, "columbus_CRIME_quantile7_" + std::to_string(count), ClassesBy::Quantile, count, crime);
    expectLimits(folder, "columbus_CRIME_equal_" + std::to_string(count), ClassesBy::Equal, count, crime);
  }
}

// Worked example of the goodness of variance fit (from memory: squared deviations of 4, 5, 9, 10 sum to 26, of two classes to 1).
TEST(ClassesReference, TwoClassesOfFourNumbersAreThoseOfTheWorkedExample) {
  Progress progress;
  const auto classes = classLimits(std::vector<double>{4, 5, 9, 10}, 2, ClassesBy::Natural, progress);
  ASSERT_OK(classes);
  EXPECT_EQ(classes->limits, (std::vector<double>{4, 5, 10}));
  EXPECT_EQ(classes->within_squares, 1);
  expectClose(classes->goodness_of_variance_fit, 25.0 / 26, 1e-12);
}

}  // namespace
}  // namespace leeward::analysis
