// Spatial autocorrelation on Columbus (Anselin 1988) and North Carolina (Cressie & Read 1985), and adjusted p-values of Benjamini & Hochberg
// 1995. Values of ../shared/checks/04_autocorrelation.json and 05_empirical_bayes.json, computed by R spdep and base R; tolerances as stated
// there: 1e-10 relative for closed forms, 1e-9 for local ones, four standard errors for permutations.
#include <cmath>
#include <numbers>

#include "analysis/patterns/adjusted_p.h"
#include "analysis/patterns/global_patterns.h"
#include "analysis/patterns/local_patterns.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

Neighbours edgesOf(const std::filesystem::path& file, std::size_t rows) {
  const auto from = test::numbers(file, "from"), to = test::numbers(file, "to");
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (std::size_t i = 0; i < from.size(); ++i) pairs.emplace_back(from[i] - 1, to[i] - 1);
  return *Neighbours::fromEdges(rows, pairs);
}

/// A data set of the cases: "CRIME" in 49 districts, "ft74" in 100 counties.
struct Areas {
  std::vector<double> values;
  Neighbours neighbours;
};
Areas areasOf(const std::filesystem::path& folder, const std::string& name) {
  const bool columbus = name == "CRIME";
  Areas areas;
  areas.values = test::numbers(folder / (columbus ? "data/columbus.csv" : "data/nc_sids74.csv"), name);
  areas.neighbours = edgesOf(folder / (columbus ? "data/columbus_gal_edges.csv" : "data/nc_queen_edges.csv"), areas.values.size());
  return areas;
}

nlohmann::json expectedOf(const std::filesystem::path& folder, const std::string& id) { return test::checkCase(folder / "04_autocorrelation.json", id).at("expected"); }

void expectTest(const std::filesystem::path& folder, const Result<PatternTest>& found, const std::string& id) {
  SCOPED_TRACE(id);
  ASSERT_OK(found);
  const auto wanted = expectedOf(folder, id);
  for (const auto& [name, value] : {std::pair("stat", found->statistic), {"expectation", found->expectation}, {"variance", found->variance}, {"z", found->z}}) {
    expectClose(value, wanted.at(name), 1e-10, name);
  }
  // The cases give the one-sided p of a positive z.
  expectClose(found->p / 2, wanted.at("p"), 1e-9, "p");
}

TEST(PatternsReference, SumsOfWeights) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const auto& [name, style, id] : {std::tuple("CRIME", WeightStyle::Share, "CRIME_W_constants"), {"CRIME", WeightStyle::Equal, "CRIME_B_constants"}, {"ft74", WeightStyle::Share, "ft74_W_constants"}}) {
    const WeightSums sums = weightSums(areasOf(folder, name).neighbours, style);
    const auto wanted = expectedOf(folder, id);
    expectClose(sums.s0, wanted.at("S0"), 1e-12, id);
    expectClose(sums.s1, wanted.at("S1"), 1e-12, id);
    expectClose(sums.s2, wanted.at("S2"), 1e-12, id);
  }
}

TEST(PatternsReference, MoranAndGeary) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const auto& [name, style, stem] : {std::tuple("CRIME", WeightStyle::Share, "CRIME_W"), {"CRIME", WeightStyle::Equal, "CRIME_B"}, {"ft74", WeightStyle::Share, "ft74_W"}}) {
    const Areas areas = areasOf(folder, name);
    const std::string id = stem;
    expectTest(folder, moran(areas.values, areas.neighbours, style), id + "_moran_rand");
    expectTest(folder, moran(areas.values, areas.neighbours, style, VarianceOf::Normality), id + "_moran_norm");
    expectTest(folder, geary(areas.values, areas.neighbours, style), id + "_geary_rand");
    expectTest(folder, geary(areas.values, areas.neighbours, style, VarianceOf::Normality), id + "_geary_norm");
  }
  const auto published = moran(areasOf(folder, "CRIME").values, areasOf(folder, "CRIME").neighbours);
  ASSERT_OK(published);
  const auto wanted = expectedOf(folder, "moran_columbus_published");
  EXPECT_NEAR(published->statistic, wanted.at("I"), 5e-5) << "Anselin 1988";
  EXPECT_NEAR(published->expectation, wanted.at("E"), 5e-5);
}

TEST(PatternsReference, GeneralG) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const char* name : {"CRIME", "ft74"}) {
    const Areas areas = areasOf(folder, name);
    expectTest(folder, generalG(areas.values, areas.neighbours), std::string(name) + "_globalG_B");
  }
}

TEST(PatternsReference, LocalStatistics) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  Progress progress;
  const auto expectColumn = [&](const std::vector<double>& found, const nlohmann::json& wanted, const std::string& what) {
    const auto values = test::numbers(wanted);
    ASSERT_EQ(found.size(), values.size());
    // Relative to the largest: a sum of deviations that cancel has no digits of its own.
    double largest = 0;
    for (const double value : values) largest = std::max(largest, std::abs(value));
    for (std::size_t i = 0; i < found.size(); ++i) EXPECT_NEAR(found[i], values[i], 1e-9 * largest) << what << " row " << i;
  };
  for (const auto& [name, style, id] : {std::tuple("CRIME", WeightStyle::Share, "CRIME_W_localmoran"), {"CRIME", WeightStyle::Equal, "CRIME_B_localmoran"}, {"ft74", WeightStyle::Share, "ft74_W_localmoran"}}) {
    const Areas areas = areasOf(folder, name);
    const auto found = localPatterns(areas.values, areas.neighbours, {.style = style, .permutations = 0}, progress);
    ASSERT_OK(found);
    expectColumn(found->moran, expectedOf(folder, id).at("Ii"), id);
    expectColumn(found->gi, expectedOf(folder, std::string(name) + "_gi_B").at("z"), "Gi");
    expectColumn(found->gstar, expectedOf(folder, std::string(name) + "_gistar_B").at("z"), "Gi*");
  }
}

TEST(PatternsReference, PermutationsAgreeWithinTheirOwnError) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const Areas areas = areasOf(folder, "CRIME");
  const auto wanted = test::numbers(expectedOf(folder, "CRIME_W_local_perm").at("p_folded"));
  Progress one, four(Progress::Sink{}, {}, 4);
  const LocalOptions options{.permutations = 9999, .seed = 20};
  const auto found = localPatterns(areas.values, areas.neighbours, options, one);
  ASSERT_OK(found);
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    EXPECT_NEAR(found->p[i] / 2, wanted[i], 4 * std::sqrt(wanted[i] * (1 - wanted[i]) / 9999) + 2e-4) << "row " << i;
  }
  const auto again = localPatterns(areas.values, areas.neighbours, options, four);
  ASSERT_OK(again);
  EXPECT_EQ(again->p, found->p) << "the same bits with four threads";
}

// Assuncao & Reis 1999 on Auckland and North Carolina.
TEST(PatternsReference, RatesOnOneFooting) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const auto& [name, file, events, exposure, edges] : {std::tuple("auckland", "data/auckland.csv", "deaths_1977_85", "population9", "data/auckland_edges.csv"),
                                                            {"SID74", "data/nc_sids74.csv", "SID74", "BIR74", "data/nc_queen_edges.csv"}}) {
    const auto z = standardisedRates(test::numbers(folder / file, events), test::numbers(folder / file, exposure));
    ASSERT_OK(z);
    for (const auto& [ending, style] : {std::pair("_EBI_W", WeightStyle::Share), {"_EBI_B", WeightStyle::Equal}}) {
      const auto found = moran(*z, edgesOf(folder / edges, z->size()), style);
      ASSERT_OK(found);
      expectClose(found->statistic, test::checkCase(folder / "05_empirical_bayes.json", std::string(name) + ending).at("expected").at("EBI"), 1e-10, name);
    }
  }
}

TEST(PatternsReference, AdjustedP) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const char* id : {"BH1995", "BH_ties_NA"}) {
    const auto the_case = test::checkCase(folder / "04_autocorrelation.json", id);
    std::vector<double> p;
    for (const auto& value : the_case.at("params").at("p")) p.push_back(value.is_null() ? std::nan("") : value.get<double>());
    for (const auto& [name, by] : {std::pair("bh", AdjustBy::BenjaminiHochberg), {"by", AdjustBy::BenjaminiYekutieli}}) {
      if (!the_case.at("expected").contains(name)) continue;
      const auto found = adjustedP(p, by);
      const auto& wanted = the_case.at("expected").at(name);
      for (std::size_t i = 0; i < p.size(); ++i) {
        if (wanted[i].is_null()) EXPECT_TRUE(std::isnan(found[i]));
        else EXPECT_NEAR(found[i], wanted[i], 1e-12) << id << ' ' << name << " row " << i;
      }
    }
  }
}

}  // namespace
}  // namespace leeward::analysis
