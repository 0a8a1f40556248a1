// Scans by circles, ellipses, low rates, shares of units and in time against a program of brute force that has nothing in common with ours but the papers
// (scripts/scans.py, Python 3.11, standard library alone, run once; it printed scans.inc). Members and periods exact, statistics 1e-10 relative; p within four standard errors of the
// two runs of replicates; Gumbel p likewise, by the errors of a Gumbel distribution's mean and deviation.
#include <array>
#include <cmath>
#include <map>
#include <set>

#include "analysis/scans/scan.h"
#include "shared/base/missing.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

struct Outside {
  std::string scan;
  std::vector<std::size_t> members;
  std::size_t first, last;
  double ratio, statistic, llr, observed, expected, relative_risk, p, p_gumbel, replicates;
};

const std::vector<Outside> kOutside = {
#include "tests/reference/statistics/scans.inc"
};

/// The counties of North Carolina (Cressie & Read 1985), births and deaths of one or two spans; one of so many births.
ScanAreas countiesFor(const std::filesystem::path& folder, std::size_t periods, double one_of = 1) {
  const auto file = folder / "data" / "nc_sids_spdata.csv";
  const auto x = test::numbers(file, "x_miles"), y = test::numbers(file, "y_miles");
  const std::array<std::vector<double>, 2> events = {test::numbers(file, "SID74"), test::numbers(file, "SID79")}, births = {test::numbers(file, "BIR74"), test::numbers(file, "BIR79")};
  ScanAreas areas;
  areas.periods = periods;
  for (std::size_t i = 0; i < x.size(); ++i) {
    areas.places.push_back({x[i], y[i]});
    for (std::size_t t = 0; t < periods; ++t) areas.events.push_back(events[t][i]), areas.exposure.push_back(one_of == 1 ? births[t][i] : std::floor(births[t][i] / one_of));
  }
  return areas;
}

/// Measles at Hagelloch in 1861: cells of 30 m by weeks; the children who live in a cell are its exposure in every week.
ScanAreas weeksOfHagelloch(const std::filesystem::path& folder) {
  const auto file = folder / "data" / "pts_hagelloch.csv";
  const auto x = test::numbers(file, "x_m"), y = test::numbers(file, "y_m"), day = test::numbers(file, "t_days");
  const double first = *std::ranges::min_element(day);
  std::map<std::pair<double, double>, std::size_t> place;
  const auto cell = [&](std::size_t i) { return std::pair(std::floor(x[i] / 30), std::floor(y[i] / 30)); };
  const auto week = [&](std::size_t i) { return static_cast<std::size_t>((day[i] - first) / 7); };
  ScanAreas areas;
  areas.periods = 0;
  for (std::size_t i = 0; i < x.size(); ++i) place.emplace(cell(i), 0), areas.periods = std::max(areas.periods, week(i) + 1);
  for (auto& [at, number] : place) number = areas.places.size(), areas.places.push_back({30 * at.first, 30 * at.second});
  areas.events.assign(place.size() * areas.periods, 0), areas.exposure = areas.events;
  for (std::size_t i = 0; i < x.size(); ++i) {
    const auto start = place.at(cell(i)) * areas.periods;
    areas.events[start + week(i)] += 1;
    for (std::size_t t = 0; t < areas.periods; ++t) areas.exposure[start + t] += 1;
  }
  return areas;
}

/// Standard scores by a Gumbel distribution of a chance.
double scoreOf(double p) { return -std::log(-std::log1p(-p)); }

void expectChancesAlike(const ScanCluster& ours, const Outside& theirs) {
  const double both = 1 / theirs.replicates + 1.0 / 999, spread = std::sqrt(std::max(theirs.p * (1 - theirs.p), 0.001) * both);
  EXPECT_NEAR(ours.p, theirs.p, 4 * spread + 1 / (theirs.replicates + 1));
  if (theirs.p_gumbel > 0.99) {
    EXPECT_GT(ours.p_gumbel, 0.9);
    return;
  }
  const double score = scoreOf(theirs.p_gumbel);
  EXPECT_NEAR(scoreOf(ours.p_gumbel), score, 4 * std::sqrt((1.64 + 1.1 * score * score) * both));
}

void expectAsOutside(const std::string& scan, const ScanAreas& areas, ScanRequest request) {
  SCOPED_TRACE(scan);
  request.most_clusters = 5;
  Progress progress(Progress::Sink{}, std::stop_token{}, 2);
  const auto found = scanAreas(areas, request, progress);
  ASSERT_OK(found);
  std::size_t rank = 0;
  for (const auto& theirs : kOutside) {
    if (theirs.scan != scan) continue;
    SCOPED_TRACE(rank);
    ASSERT_LT(rank, found->clusters.size());
    const auto& ours = found->clusters[rank++];
    EXPECT_EQ(ours.members, theirs.members);
    EXPECT_EQ(ours.first_period, theirs.first);
    EXPECT_EQ(ours.last_period, theirs.last);
    EXPECT_EQ(ours.ratio, theirs.ratio);
    EXPECT_EQ(ours.observed, theirs.observed);
    for (const auto& [have, wanted] : {std::pair(ours.statistic, theirs.statistic), {ours.llr, theirs.llr}, {ours.expected, theirs.expected}, {ours.relative_risk, theirs.relative_risk}}) test::expectClose(have, wanted, 1e-10);
    expectChancesAlike(ours, theirs);
  }
  EXPECT_TRUE(rank == 5 || rank == found->clusters.size()) << "as many clusters apart from each other";
}

TEST(ScanOutside, ByCirclesEllipsesAndSharesOfUnits) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto counties = countiesFor(folder, 1);
  expectAsOutside("circles", counties, {});
  expectAsOutside("low", counties, {.rates = ScanRates::Low});
  expectAsOutside("ellipses", counties, {.ellipses = true, .largest = 0.2});
  expectAsOutside("bernoulli", countiesFor(folder, 1, 20), {.model = ScanModel::Bernoulli, .largest = 0.3});
}

TEST(ScanOutside, InTime) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto counties = countiesFor(folder, 2);
  expectAsOutside("two spans", counties, {.time = ScanTime::Retrospective, .largest = 0.3});
  expectAsOutside("last span", counties, {.time = ScanTime::Prospective, .largest = 0.3});
  const auto children = weeksOfHagelloch(folder);
  expectAsOutside("weeks", children, {.time = ScanTime::Retrospective});
  expectAsOutside("last weeks", children, {.time = ScanTime::Prospective});
}

// Low rates of ../shared/checks (nc74_low: another implementation, R).
TEST(ScanOutside, LowRatesAreThoseOfAnotherImplementation) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto expected = test::checkCase(folder / "06_scan.json", "nc74_low").at("expected").at("clusters");
  Progress progress;
  const auto found = scanAreas(countiesFor(folder, 1), {.rates = ScanRates::Low, .replicates = 0}, progress);
  ASSERT_OK(found);
  for (std::size_t i = 0; i < expected.size(); ++i) {
    test::expectClose(found->clusters.at(i).llr, expected[i].at("LLR"), 1e-9);
    EXPECT_EQ(found->clusters[i].members.size(), expected[i].at("n_units").get<std::size_t>());
    EXPECT_EQ(found->clusters[i].observed, expected[i].at("cases").get<double>());
  }
}

}  // namespace
}  // namespace leeward::analysis
