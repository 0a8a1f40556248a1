// Count regression against R 4.2.2 (glm; MASS 7.3.58.2: glm.nb), ../shared/checks/08_glm.json, on North Carolina (Cressie & Read 1985), the quine data and Dobson 1990,
// An Introduction to Generalized Linear Models, p. 93. Tolerances as stated there.
#include <map>
#include <set>

#include "analysis/regression/count_regression.h"
#include "shared/table/csv.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

struct Tolerance {
  double coefficient, error, deviance;
};

nlohmann::json wantedOf(const std::filesystem::path& folder, const std::string& id) { return test::checkCase(folder / "08_glm.json", id).at("expected"); }

void expectFit(const std::filesystem::path& folder, const Result<CountRegression>& found, const std::string& id, const Tolerance& to) {
  SCOPED_TRACE(id);
  ASSERT_OK(found);
  const auto wanted = wantedOf(folder, id);
  const auto coefficient = test::numbers(wanted.at("coef")), error = test::numbers(wanted.at("se")), z = test::numbers(wanted.at("z")), p = test::numbers(wanted.at("p"));
  ASSERT_EQ(found->terms.size(), coefficient.size());
  for (std::size_t j = 0; j < coefficient.size(); ++j) {
    SCOPED_TRACE(found->terms[j].name);
    // Coefficients that are 0 to rounding are compared absolutely.
    EXPECT_NEAR(found->terms[j].coefficient, coefficient[j], to.coefficient * std::max(std::abs(coefficient[j]), 1e-3));
    expectClose(found->terms[j].standard_error, error[j], to.error, "standard error");
    EXPECT_NEAR(found->terms[j].z, z[j], 2 * to.error * std::max(1.0, std::abs(z[j])));
    EXPECT_NEAR(found->terms[j].p, p[j], 10 * to.error * std::max(p[j], 1e-6));
  }
  for (const auto& [name, value] : {std::pair("deviance", found->deviance), {"null_deviance", found->null_deviance}, {"logLik", found->log_likelihood}, {"aic", found->aic}, {"pearson_chisq", found->pearson}}) {
    expectClose(value, wanted.at(name), to.deviance, name);
  }
  EXPECT_EQ(found->df_residual, wanted.at("df_residual").get<std::size_t>());
  if (!wanted.contains("theta")) return;
  expectClose(found->theta, wanted.at("theta"), 1e-6, "theta");
  expectClose(found->theta_se, wanted.at("se_theta"), 1e-5, "its error");
}

TEST(RegressionReference, NorthCarolina) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto file = folder / "data/nc_glm.csv";
  const auto events = test::numbers(file, "SID74"), births = test::numbers(file, "BIR74");
  const std::vector<ExplainingColumn> columns = {{"nwr", test::numbers(file, "nonwhite_per_1000")}};
  Progress progress;
  const auto poisson = countRegression({.events = events, .exposure = births, .columns = columns}, progress);
  expectFit(folder, poisson, "nc_poisson", {1e-7, 1e-6, 1e-8});
  expectClose(poisson->dispersion, wantedOf(folder, "nc_poisson").at("dispersion"), 1e-8);
  // Quasi-Poisson errors are Poisson's times the root of the dispersion.
  const auto quasi = test::numbers(wantedOf(folder, "nc_quasipoisson").at("se"));
  for (std::size_t j = 0; j < 2; ++j) expectClose(poisson->terms[j].standard_error * std::sqrt(poisson->dispersion), quasi[j], 1e-6);
  expectFit(folder, countRegression({.events = events, .exposure = births, .columns = columns, .kind = CountKind::NegativeBinomial}, progress), "nc_negbin", {1e-6, 1e-6, 1e-7});
}

/// The quine data with a column of 0 and 1 for each word but the first.
class Quine {
 public:
  explicit Quine(const std::filesystem::path& folder) {
    Progress progress;
    auto read = readCsv(folder / "data/quine.csv", progress);
    EXPECT_OK(read);
    table_ = std::move(read->table);
    days = table_.find("Days")->toReals();
  }
  std::vector<double> is(const std::string& column, const std::string& word) const {
    std::vector<double> values;
    for (std::size_t row = 0; row < table_.rows(); ++row) values.push_back(table_.find(column)->asText(row) == word ? 1 : 0);
    return values;
  }
  std::vector<ExplainingColumn> mainEffects() const {
    return {{"SexM", is("Sex", "M")}, {"AgeF1", is("Age", "F1")}, {"AgeF2", is("Age", "F2")}, {"AgeF3", is("Age", "F3")}, {"EthN", is("Eth", "N")}, {"LrnSL", is("Lrn", "SL")}};
  }
  std::vector<double> days;

 private:
  Table table_;
};

TEST(RegressionReference, QuineMainEffects) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const Quine quine(folder);
  const auto columns = quine.mainEffects();
  Progress progress;
  // This one was fitted with R's default of 1e-8 of the deviance (scripts/08_glm.R gives no other); the errors that glm prints are those of the weights of its step before.
  expectFit(folder, countRegression({.events = quine.days, .exposure = {}, .columns = columns}, progress), "quine_poisson", {1e-7, 1e-5, 1e-7});
  expectFit(folder, countRegression({.events = quine.days, .exposure = {}, .columns = columns, .kind = CountKind::NegativeBinomial}, progress), "quine_negbin", {1e-6, 1e-6, 1e-6});
}

/// Venables & Ripley 2002, 7.4: Days ~ Sex / (Age + Eth * Lrn); theta 1.597 (from memory), digits computed.
TEST(RegressionReference, QuineNestedAsInVenablesAndRipley) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const Quine quine(folder);
  const auto wanted = wantedOf(folder, "quine_VR_published");
  std::vector<ExplainingColumn> columns = {{"SexM", quine.is("Sex", "M")}};
  const auto product = [](const std::vector<double>& a, const std::vector<double>& b) {
    std::vector<double> values;
    for (std::size_t i = 0; i < a.size(); ++i) values.push_back(a[i] * b[i]);
    return values;
  };
  for (const char* sex : {"F", "M"}) {
    const auto in = quine.is("Sex", sex);
    for (const auto& one : quine.mainEffects()) {
      if (one.name != "SexM") columns.push_back({std::string(sex) + one.name, product(in, one.values)});
    }
    columns.push_back({std::string(sex) + "both", product(in, product(quine.is("Eth", "N"), quine.is("Lrn", "SL")))});
  }
  ASSERT_EQ(columns.size() + 1, wanted.at("n_coef").get<std::size_t>());
  Progress progress;
  const auto found = countRegression({.events = quine.days, .exposure = {}, .columns = columns, .kind = CountKind::NegativeBinomial}, progress);
  ASSERT_OK(found);
  EXPECT_NEAR(found->theta, wanted.at("theta_published"), 2e-3);
  expectClose(found->theta, wanted.at("theta"), 1e-4, "theta");
  expectClose(found->deviance, wanted.at("deviance"), 1e-4, "deviance");
  EXPECT_EQ(found->df_residual, wanted.at("df").get<std::size_t>());
}

TEST(RegressionReference, Dobson) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto given = test::checkCase(folder / "08_glm.json", "dobson").at("params");
  const auto counts = test::numbers(given.at("counts")), outcome = test::numbers(given.at("outcome")), treatment = test::numbers(given.at("treatment"));
  std::vector<ExplainingColumn> columns;
  for (const auto& [name, values] : {std::pair("outcome", outcome), {"treatment", treatment}}) {
    for (const double level : {2.0, 3.0}) {
      ExplainingColumn column{name + std::to_string(static_cast<int>(level)), {}};
      for (const double value : values) column.values.push_back(value == level ? 1 : 0);
      columns.push_back(std::move(column));
    }
  }
  Progress progress;
  const auto found = countRegression({.events = counts, .exposure = {}, .columns = columns}, progress);
  expectFit(folder, found, "dobson", {1e-7, 1e-7, 1e-7});
  EXPECT_NEAR(found->deviance, 5.1291, 5e-5) << "as printed";
  EXPECT_NEAR(found->aic, 56.76, 5e-3);
}

}  // namespace
}  // namespace leeward::analysis
