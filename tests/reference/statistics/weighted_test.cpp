// Areas with weights of their own, and robust errors of count regressions, against R 4.2.2 with spdep 1.2-7 and sandwich 3.0-2
// (scripts/weights_and_robust.R, which has the seven invented areas too). Closed forms: 1e-10 relative; local ones 1e-9; errors of fits 1e-7, since
// R's own fit stops at 1e-15 of the deviance.
#include <cmath>

#include "analysis/patterns/global_patterns.h"
#include "analysis/patterns/local_patterns.h"
#include "analysis/regression/count_regression.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

const std::vector<double> kSeven = {3, 8.5, 1, 12, 7, 2.25, 9};

/// One way each, so that no sum may take them as mutual.
Neighbours weightedSeven() {
  const std::vector<Neighbours::Edge> links = {{0, 1, 2}, {1, 0, 0.5}, {0, 2, 1}, {2, 0, 1.5}, {1, 3, 3}, {3, 1, 3}, {2, 3, 0.25}, {3, 4, 1}, {4, 3, 2}, {4, 5, 0.75}, {5, 4, 0.75}, {5, 6, 4}, {6, 5, 1}, {6, 1, 0.5}, {2, 6, 2}};
  return *Neighbours::fromWeightedEdges(7, links);
}

/// statistic, expectation, variance, z, two-sided p
void expectAsPrinted(const Result<PatternTest>& found, const std::array<double, 5>& wanted) {
  ASSERT_OK(found);
  const std::array<double, 5> have = {found->statistic, found->expectation, found->variance, found->z, found->p};
  for (std::size_t i = 0; i < have.size(); ++i) test::expectClose(have[i], wanted[i], 1e-10, std::to_string(i));
}

TEST(WeightedReference, GlobalStatisticsFollowTheWeights) {
  const Neighbours seven = weightedSeven();
  const WeightSums raw = weightSums(seven, WeightStyle::Equal), share = weightSums(seven, WeightStyle::Share);
  for (const auto& [have, wanted] : {std::pair(raw.s0, 23.25), {raw.s1, 89.0625}, {raw.s2, 332.875}, {share.s0, 7.0}, {share.s1, 7.5929047740522}, {share.s2, 30.1350480109323}}) test::expectClose(have, wanted, 1e-12);
  expectAsPrinted(moran(kSeven, seven, WeightStyle::Equal), {0.0808175721108257, -0.166666666666667, 0.136199170076283, 0.670595006458779, 0.502478564495912});
  expectAsPrinted(moran(kSeven, seven, WeightStyle::Equal, VarianceOf::Normality), {0.0808175721108257, -0.166666666666667, 0.113110378849193, 0.735861899668111, 0.46181474611378});
  expectAsPrinted(geary(kSeven, seven, WeightStyle::Equal), {0.842117664637966, 1, 0.110425772796914, 0.475114536414074, 0.634705337984501});
  expectAsPrinted(geary(kSeven, seven, WeightStyle::Equal, VarianceOf::Normality), {0.842117664637966, 1, 0.104491848768644, 0.488418758276637, 0.625253257721718});
  expectAsPrinted(moran(kSeven, seven, WeightStyle::Share), {0.0750793277348174, -0.166666666666667, 0.124157399189233, 0.686077194642489, 0.49266443103512});
  expectAsPrinted(geary(kSeven, seven, WeightStyle::Share), {0.822163165067325, 1, 0.101393617131766, 0.558491299936866, 0.576508943752456});
  expectAsPrinted(generalG(kSeven, seven, WeightStyle::Equal), {0.763427109974425, 0.553571428571429, 0.01386874603802, 1.7819771611447, 0.0747529562249396});
}

TEST(WeightedReference, LocalStatisticsFollowTheWeights) {
  Progress progress;
  const auto raw = localPatterns(kSeven, weightedSeven(), {.style = WeightStyle::Equal, .permutations = 0}, progress), share = localPatterns(kSeven, weightedSeven(), {.permutations = 0}, progress);
  ASSERT_OK(raw);
  ASSERT_OK(share);
  const std::vector<double> moran_raw = {0.0697487974345267, 2.69468198824158, -0.926710315339391, 3.32175307322288, 0.554516301443079, -3.29743452699091, -0.537546766435061};
  const std::vector<double> moran_share = {0.0232495991448422, 0.769909139497595, -0.247122750757171, 0.830438268305719, 0.201642291433847, -0.694196742524403, -0.358364510956708};
  const std::vector<double> gi = {-0.237592926906826, 1.50867466799569, -0.0797677902070305, 1.28221301486874, 1.14866141666377, 0.630710786807026, -0.486937690909753};
  const std::vector<double> gstar = {-0.435258905155453, 1.67035296552482, -0.303554508220053, 1.25353998596079, 1.27008306231407, 0.57246541659695, 0.048754494762176};
  for (std::size_t i = 0; i < kSeven.size(); ++i) {
    test::expectClose(raw->moran[i], moran_raw[i], 1e-9);
    test::expectClose(share->moran[i], moran_share[i], 1e-9);
    test::expectClose(raw->gi[i], gi[i], 1e-9);
    test::expectClose(raw->gstar[i], gstar[i], 1e-9);
  }
}

void expectErrors(const CountRegression& fit, const std::vector<double>& hc0, const std::vector<double>& hc1, double tolerance) {
  for (std::size_t j = 0; j < hc0.size(); ++j) test::expectClose(fit.terms[j].robust_hc0, hc0[j], tolerance, "HC0 of " + fit.terms[j].name);
  for (std::size_t j = 0; j < hc1.size(); ++j) test::expectClose(fit.terms[j].robust_hc1, hc1[j], tolerance, "HC1 of " + fit.terms[j].name);
}

TEST(WeightedReference, RobustErrorsOfDobsonsTrial) {
  // Dobson 1990, An Introduction to Generalized Linear Models, p. 93: three outcomes within three treatments.
  const std::vector<double> counts = {18, 17, 15, 20, 10, 20, 25, 13, 12};
  std::vector<ExplainingColumn> columns(4);
  for (std::size_t level = 1; level <= 2; ++level) {
    columns[level - 1].name = "outcome" + std::to_string(level + 1), columns[level + 1].name = "treatment" + std::to_string(level + 1);
    for (std::size_t i = 0; i < counts.size(); ++i) columns[level - 1].values.push_back(i % 3 == level ? 1 : 0), columns[level + 1].values.push_back(i / 3 == level ? 1 : 0);
  }
  Progress progress;
  const auto fit = countRegression({.events = counts, .exposure = {}, .columns = columns}, progress);
  ASSERT_OK(fit);
  expectErrors(*fit, {0.11626678039202, 0.148214152907868, 0.146077914098245, 0.146666666666667, 0.144837073216003}, {0.17440017058803, 0.222321229361802, 0.219116871147368, 0.22, 0.217255609824004}, 1e-7);
  const std::vector<double> leverage = {0.613333333333333, 0.511111111111111, 0.542222222222222};
  for (std::size_t i = 0; i < counts.size(); ++i) test::expectClose(fit->leverage[i], leverage[i % 3], 1e-9);
}

TEST(WeightedReference, RobustErrorsOfNorthCarolina) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto file = folder / "data/nc_glm.csv";
  const auto events = test::numbers(file, "SID74"), births = test::numbers(file, "BIR74");
  const std::vector<ExplainingColumn> columns = {{"nwr", test::numbers(file, "nonwhite_per_1000")}};
  Progress progress;
  const auto poisson = countRegression({.events = events, .exposure = births, .columns = columns}, progress);
  ASSERT_OK(poisson);
  expectErrors(*poisson, {0.114764544938673, 0.000244848840796188}, {0.115929697094176, 0.000247334679560928}, 1e-7);
  const std::vector<double> leverage = {0.00916142030432981, 0.00397053034441244, 0.0229213906604214, 0.00196668221516155, 0.0498949503564169};
  for (std::size_t i = 0; i < leverage.size(); ++i) test::expectClose(poisson->leverage[i], leverage[i], 1e-8);
  const auto spread = countRegression({.events = events, .exposure = births, .columns = columns, .kind = CountKind::NegativeBinomial}, progress);
  ASSERT_OK(spread);
  expectErrors(*spread, {0.109680575905507, 0.000253417605861959}, {}, 1e-6);  // its theta is good to 1e-6
}

}  // namespace
}  // namespace leeward::analysis
