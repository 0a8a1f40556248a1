// Clusters of a hierarchy against another implementation on open point sets; a case names its inputs' licence in ../shared/checks.
#include "analysis/sightings/hierarchy.h"

#include "analysis/sightings/reach_tree.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

double pairsOf(double count) { return count * (count - 1) / 2; }

/// Hubert & Arabie 1985: 1 = the same partition, about 0 = by chance.
double adjustedRand(const std::vector<std::int32_t>& a, const std::vector<std::int32_t>& b) {
  std::map<std::pair<std::int32_t, std::int32_t>, double> both;
  std::map<std::int32_t, double> of_a, of_b;
  for (std::size_t i = 0; i < a.size(); ++i) ++both[{a[i], b[i]}], ++of_a[a[i]], ++of_b[b[i]];
  double together = 0, in_a = 0, in_b = 0;
  for (const auto& one : both) together += pairsOf(one.second);
  for (const auto& one : of_a) in_a += pairsOf(one.second);
  for (const auto& one : of_b) in_b += pairsOf(one.second);
  const double by_chance = in_a * in_b / pairsOf(static_cast<double>(a.size()));
  return (together - by_chance) / ((in_a + in_b) / 2 - by_chance);
}

void expectHierarchy(const std::filesystem::path& folder, const std::string& id) {
  SCOPED_TRACE(id);
  const auto one = test::checkCase(folder / "03_clustering.json", id);
  const auto file = folder / one.at("input").get<std::string>();
  const auto x = test::numbers(file, one.at("params").at("x")), y = test::numbers(file, one.at("params").at("y"));
  std::vector<Point> points;
  for (std::size_t i = 0; i < x.size(); ++i) points.push_back({x[i], y[i]});
  const std::size_t at_least = one.at("params").at("minPts");
  const auto& expected = one.at("expected");
  Progress progress;

  const auto tree = reachTree(points, at_least, progress);
  ASSERT_OK(tree);
  ASSERT_EQ(tree->edges.size(), points.size() - 1);
  double total = 0;
  for (const auto& edge : tree->edges) total += edge.length;
  test::expectClose(total, expected.at("mutual_reachability_mst_total"), 1e-9, "length of the tree");
  const auto core = test::numbers(expected.at("core_distance"));
  for (std::size_t i = 0; i < points.size(); ++i) test::expectClose(tree->core_distance[i], core[i], 1e-9, "core distance");

  const auto found = findHierarchy(points, at_least, progress);
  ASSERT_OK(found);
  EXPECT_EQ(found->summary.size(), expected.at("n_clusters").get<std::size_t>());
  // Points between two parts may fall either way.
  std::vector<std::int32_t> theirs, ours;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (found->role[i] == ClusterRole::Edge) continue;
    ours.push_back(found->cluster[i]);
    theirs.push_back(expected.at("labels")[i].get<std::int32_t>() - 1);
  }
  EXPECT_GE(ours.size() + 3, points.size());
  EXPECT_GE(adjustedRand(ours, theirs), 0.999);
  // That implementation takes edges of equal length out one by one, in an order of its own, where the paper takes them out at once. A point
  // between two parts then makes one of them larger by one, sometimes large enough to be a cluster, whose points score against another density.
  const auto scores = test::numbers(expected.at("outlier_glosh"));
  std::size_t equal = 0;
  for (std::size_t i = 0; i < points.size(); ++i) equal += std::abs(found->outlier_score[i] - scores[i]) <= 1e-9 ? 1 : 0;
  EXPECT_GE(static_cast<double>(equal), 0.9 * static_cast<double>(points.size()));
}

// Source: R dbscan 1.1.11; core distances and the tree's length also by scipy (Campello, Moulavi, Zimek & Sander 2015).
TEST(HierarchyReference, ClustersAndOutlierScoresAreThoseOfAnotherImplementation) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  for (const char* id : {"hdbscan_redwoodfull", "hdbscan_moons", "hdbscan_cycle"}) expectHierarchy(folder, id);
}

// By hand, on a line with at least 2: core distances 1 1 1 2 2, so lengths 1, 1 (0 to 1, 1 to 2), 2 (20 to 22) and 18. Both parts appear at 18; the
// three end at 1, the two at 2: stabilities 3 (1 - 1/18) and 2 (1/2 - 1/18). No core distance is above its cluster's shortest length: scores 0.
TEST(HierarchyReference, TwoGroupsOnALineByHand) {
  const std::vector<Point> points = {{20, 0}, {0, 0}, {1, 0}, {22, 0}, {2, 0}};
  Progress progress;
  const auto found = findHierarchy(points, 2, progress);
  ASSERT_OK(found);
  EXPECT_EQ(found->cluster, (std::vector<std::int32_t>{0, 1, 1, 0, 1}));
  EXPECT_DOUBLE_EQ(found->summary[0].stability, 2 * (0.5 - 1.0 / 18));
  EXPECT_DOUBLE_EQ(found->summary[1].stability, 3 * (1 - 1.0 / 18));
  EXPECT_EQ(found->outlier_score, std::vector<double>(5, 0.0));
}

}  // namespace
}  // namespace leeward::analysis
