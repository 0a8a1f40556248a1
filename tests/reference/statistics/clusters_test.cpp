// Clusters against two other implementations on open point sets; a case names its inputs' licence in ../shared/checks.
#include "analysis/sightings/clusters.h"

#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// Compares with a case whose labels are 1-based by first member and 0 for none. Exact, but for border points that may go to
/// either of two clusters.
void expectCase(const std::filesystem::path& folder, const std::string& id) {
  SCOPED_TRACE(id);
  const auto one = test::checkCase(folder / "03_clustering.json", id);
  const auto& params = one.at("params");
  const auto file = folder / one.at("input").get<std::string>();
  const auto x = test::numbers(file, params.at("x"));
  const auto y = test::numbers(file, params.at("y"));
  std::vector<Point> points;
  for (std::size_t i = 0; i < x.size(); ++i) points.push_back({x[i], y[i]});
  ClusterRequest request;
  std::vector<double> days;
  request.at_least = params.at("minPts");
  if (params.contains("eps")) {
    request.radius_m = params.at("eps");
  } else {
    request.radius_m = params.at("eps_space");
    request.days = params.at("eps_time").get<double>();
    days = test::numbers(file, params.at("t"));
  }
  Progress progress;
  const auto clusters = findClusters(points, days, request, progress);
  ASSERT_OK(clusters);

  const auto& expected = one.at("expected");
  ASSERT_EQ(points.size(), expected.at("n").get<std::size_t>());
  EXPECT_EQ(clusters->summary.size(), expected.at("n_clusters").get<std::size_t>());
  // A border point that may go either way can be the first of its cluster and so change the numbers: clusters are matched.
  std::vector<bool> may_differ(points.size(), false);
  for (const auto& either : expected.at("border_reachable_from_two_or_more_clusters_ids"))
    may_differ[either.get<std::size_t>() - 1] = true;
  std::map<std::int32_t, std::int32_t> ours_of, theirs_of;
  for (std::size_t i = 0; i < points.size(); ++i) {
    EXPECT_EQ(clusters->role[i] == ClusterRole::Core, expected.at("core")[i].get<int>() == 1) << "row " << i;
    if (may_differ[i]) {
      EXPECT_EQ(clusters->role[i], ClusterRole::Edge) << "row " << i;
      continue;
    }
    const auto theirs = expected.at("labels")[i].get<std::int32_t>() - 1;
    const auto ours = clusters->cluster[i];
    EXPECT_EQ(ours_of.emplace(theirs, ours).first->second, ours) << "row " << i;
    EXPECT_EQ(theirs_of.emplace(ours, theirs).first->second, theirs) << "row " << i;
    EXPECT_EQ(ours == -1, theirs == -1) << "row " << i;
  }
  const auto core_sizes = test::numbers(expected.at("core_sizes"));
  for (const auto& [theirs, ours] : ours_of) {
    if (theirs < 0) continue;
    EXPECT_EQ(static_cast<double>(clusters->summary.at(static_cast<std::size_t>(ours)).cores),
              core_sizes.at(static_cast<std::size_t>(theirs)));
  }
}

// Source: scikit-learn 1.2.1 and R dbscan 1.1.11, which agree (Ester et al. 1996).
TEST(ClustersReference, DensityClustersAreThoseOfTwoOtherImplementations) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const char* id : {"dbscan_properties_a", "dbscan_properties_b", "dbscan_cycle_a", "dbscan_redwoodfull", "dbscan_moons"}) {
    expectCase(folder, id);
  }
}

// Source: scikit-learn 1.2.1 on a precomputed neighbour relation (Birant & Kut 2007 without its value threshold).
TEST(ClustersReference, SpaceTimeClustersAreThoseOfAnotherImplementation) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const char* id : {"stdbscan_hagelloch", "stdbscan_hagelloch_b"}) expectCase(folder, id);
}

// By hand: the point in the middle is at distance 1 of cores of both clusters; the tie goes to the core of the lower row.
TEST(ClustersReference, APointBetweenTwoClustersGoesToTheCoreOfTheLowestRow) {
  const std::vector<Point> points = {{-2, 0}, {-2, 1}, {-1.5, 0.5}, {-1, 0}, {0, 0}, {1, 0}, {1.5, 0.5}, {2, 0}, {2, 1}};
  Progress progress;
  const auto clusters = findClusters(points, {}, {1.0, 4, std::nullopt}, progress);
  ASSERT_OK(clusters);
  EXPECT_EQ(clusters->cluster, (std::vector<std::int32_t>{0, 0, 0, 0, 0, 1, 1, 1, 1}));
  EXPECT_EQ(clusters->role[4], ClusterRole::Edge);
  EXPECT_EQ(clusters->summary[0].points, 5U);
  EXPECT_EQ(clusters->summary[0].cores, 3U);
}

}  // namespace
}  // namespace leeward::analysis
