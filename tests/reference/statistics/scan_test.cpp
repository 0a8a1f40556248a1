// Scan statistics against published clusters and an independent implementation of the published formulas (R 4.2.2, ../shared/checks).
#include "analysis/scans/scan.h"

#include "shared/table/csv.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

ScanAreas countiesOf(const std::filesystem::path& folder, bool lon_lat, bool both_spans) {
  const auto file = folder / "data" / "nc_sids_spdata.csv";
  const auto x = test::numbers(file, lon_lat ? "lon" : "x_miles"), y = test::numbers(file, lon_lat ? "lat" : "y_miles");
  ScanAreas areas;
  areas.lon_lat = lon_lat;
  areas.events = test::numbers(file, "SID74"), areas.exposure = test::numbers(file, "BIR74");
  const auto later_events = test::numbers(file, "SID79"), later_births = test::numbers(file, "BIR79");
  for (std::size_t i = 0; i < x.size(); ++i) {
    areas.places.push_back({x[i], y[i]});
    if (both_spans) areas.events[i] += later_events[i], areas.exposure[i] += later_births[i];
  }
  return areas;
}

std::vector<std::size_t> membersIn(const nlohmann::json& cluster) {
  std::vector<std::size_t> rows;
  if (cluster.at("members").is_array()) {
    for (const auto& one : cluster.at("members")) rows.push_back(one.get<std::size_t>() - 1);
  } else {
    rows.push_back(cluster.at("members").get<std::size_t>() - 1);
  }
  return rows;
}

/// Lists of that implementation end after five clusters.
ScanResult expectScan(const std::filesystem::path& folder, const std::string& id, const ScanAreas& areas, const ScanRequest& request) {
  SCOPED_TRACE(id);
  const auto one = test::checkCase(folder / "06_scan.json", id);
  Progress progress(Progress::Sink{}, std::stop_token{}, 2);
  auto found = scanAreas(areas, request, progress);
  EXPECT_OK(found);
  const auto& clusters = one.at("expected").at("clusters");
  EXPECT_GE(found->clusters.size(), clusters.size());
  for (std::size_t i = 0; i < clusters.size(); ++i) {
    const auto& ours = found->clusters.at(i);
    const auto& theirs = clusters[i];
    EXPECT_EQ(ours.members, membersIn(theirs)) << i;
    EXPECT_EQ(ours.centre + 1, theirs.at("centre").get<std::size_t>()) << i;
    // Their radius is in miles or kilometres, as the places are.
    test::expectClose(ours.radius, theirs.at("radius").get<double>() * (areas.lon_lat ? 1000 : 1), 1e-9, "radius");
    test::expectClose(ours.observed, theirs.at("cases"), 1e-12, "observed");
    test::expectClose(ours.expected, theirs.at("expected"), 1e-9, "expected");
    test::expectClose(ours.relative_risk, theirs.at("relative_risk"), 1e-9, "relative risk");
    test::expectClose(ours.llr, theirs.at("LLR"), 1e-9, "log likelihood ratio");
  }
  return std::move(*found);
}

TEST(ScanReference, ClustersOfTheCountiesAreThoseOfAnIndependentImplementation) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  ScanRequest without;
  without.replicates = 0;
  expectScan(folder, "nc74_lonlat", countiesOf(folder, true, false), without);
  expectScan(folder, "nc7484_lonlat", countiesOf(folder, true, true), without);
  ScanRequest small = without;
  small.largest = 0.1;
  expectScan(folder, "nc7484_lowcap", countiesOf(folder, false, true), small);
}

// Quantiles of 999 maxima wander by some 0.06 (half) to 0.2, p-values by their binomial error; three times the root of both sums is allowed.
void expectChances(const std::filesystem::path& folder, const std::string& id, const ScanResult& found) {
  const auto expected = test::checkCase(folder / "06_scan.json", id).at("expected").at("mc_999");
  EXPECT_NEAR(found.clusters.at(0).p, expected.at("p_primary").get<double>(), 0.006);
  EXPECT_LT(found.clusters.at(0).p_gumbel, 0.005);
  EXPECT_NEAR(found.clusters.at(1).p, expected.at("p_second").get<double>(), 0.03);
  auto maxima = found.maxima;
  std::ranges::sort(maxima);
  EXPECT_NEAR(maxima[maxima.size() / 2], expected.at("null_max_llr_quantiles").at("50%").get<double>(), 0.25);
  EXPECT_NEAR(maxima[maxima.size() * 9 / 10], expected.at("null_max_llr_quantiles").at("90%").get<double>(), 0.35);
  EXPECT_NEAR(maxima[maxima.size() * 95 / 100], expected.at("null_max_llr_quantiles").at("95%").get<double>(), 0.5);
}

TEST(ScanReference, ChancesAreThoseOfAnIndependentImplementation) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  expectChances(folder, "nc74_xy", expectScan(folder, "nc74_xy", countiesOf(folder, false, false), {}));
  expectChances(folder, "nc7484_xy", expectScan(folder, "nc7484_xy", countiesOf(folder, false, true), {}));
}

// Kulldorff 1997 (from memory, names only): the most likely cluster of 1974-84 is Bladen, Columbus, Hoke, Robeson and Scotland.
TEST(ScanReference, TheMostLikelyClusterOfNorthCarolinaIsThePublishedOne) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  Progress progress;
  const auto found = scanAreas(countiesOf(folder, false, true), {.replicates = 99}, progress);
  ASSERT_OK(found);
  const auto file = folder / "data" / "nc_sids_spdata.csv";
  Progress quiet;
  const auto table = readCsv(file, quiet);
  ASSERT_OK(table);
  std::vector<std::string> names;
  for (const auto member : found->clusters.at(0).members) names.push_back(table->table.find("name")->asText(member));
  std::ranges::sort(names);
  EXPECT_EQ(names, (std::vector<std::string>{"Bladen", "Columbus", "Hoke", "Robeson", "Scotland"}));
  EXPECT_EQ(found->clusters.at(0).p, 0.01);
}

// By hand (../shared/checks, case toy): 15 ln 1.5 + 5 ln 0.5.
TEST(ScanReference, FourPlacesOnALineByHand) {
  ScanAreas areas;
  areas.places = {{0, 0}, {1, 0}, {2, 0}, {4, 0}};
  areas.events = {8, 7, 2, 3}, areas.exposure = {100, 100, 100, 100};
  Progress progress;
  const auto found = scanAreas(areas, {.replicates = 0}, progress);
  ASSERT_OK(found);
  const auto& best = found->clusters.at(0);
  EXPECT_EQ(best.members, (std::vector<std::size_t>{0, 1}));
  EXPECT_EQ(best.observed, 15);
  EXPECT_DOUBLE_EQ(best.expected, 10);
  EXPECT_NEAR(best.llr, 15 * std::log(1.5) + 5 * std::log(0.5), 1e-12);
  EXPECT_DOUBLE_EQ(best.relative_risk, 3);
}

// By hand, Bernoulli: 6 of 10 inside, 2 of 20 outside; in all 8 of 30.
TEST(ScanReference, SharesOfUnitsByHand) {
  ScanAreas areas;
  areas.places = {{0, 0}, {10, 0}, {20, 0}};
  areas.events = {6, 1, 1}, areas.exposure = {10, 10, 10};
  Progress progress;
  const auto found = scanAreas(areas, {.model = ScanModel::Bernoulli, .replicates = 99}, progress);
  ASSERT_OK(found);
  const auto& best = found->clusters.at(0);
  const double inside = 6 * std::log(0.6) + 4 * std::log(0.4), outside = 2 * std::log(0.1) + 18 * std::log(0.9);
  EXPECT_NEAR(best.llr, inside + outside - 8 * std::log(8.0 / 30) - 22 * std::log(22.0 / 30), 1e-12);
  EXPECT_NEAR(best.relative_risk, 0.6 / 0.1, 1e-12);
  EXPECT_NEAR(best.expected, 8.0 / 3, 1e-12);
}

}  // namespace
}  // namespace leeward::analysis
