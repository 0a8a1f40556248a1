#include "analysis/sightings/hierarchy.h"

#include "analysis/sightings/reach_tree.h"
#include "shared/base/missing.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

HierarchyClusters hierarchyOf(const std::vector<Point>& points, std::size_t at_least, unsigned threads = 1) {
  Progress progress(Progress::Sink{}, std::stop_token{}, threads);
  auto found = findHierarchy(points, at_least, progress);
  EXPECT_OK(found);
  return std::move(*found);
}

/// Points about five spots and spread between them; on a lattice of `step` if that is above 0, so that distances tie and points repeat.
std::vector<Point> groupsOf(std::size_t count, double step, std::uint64_t seed) {
  Random random(seed);
  std::vector<Point> points;
  for (std::size_t i = 0; i < count; ++i) {
    const auto group = random.below(6);
    Point p{random.uniform() * 1000, random.uniform() * 1000};
    if (group < 5) p = {200.0 * group + 40 * random.normal(), 150.0 * (group % 3) + 15 * random.normal()};
    if (step > 0) p = {step * std::round(p.x / step), step * std::round(p.y / step)};
    points.push_back(p);
  }
  return points;
}

/// Prim's algorithm over all pairs: the lengths of a shortest tree, which don't depend on which tree it is.
std::vector<double> lengthsByPrim(const std::vector<Point>& points, std::size_t at_least) {
  const auto n = points.size();
  const auto distance = [&](std::size_t a, std::size_t b) {
    const double dx = points[a].x - points[b].x, dy = points[a].y - points[b].y;
    return std::sqrt(dx * dx + dy * dy);
  };
  std::vector<double> core(n);
  for (std::size_t a = 0; a < n; ++a) {
    std::vector<double> all(n);
    for (std::size_t b = 0; b < n; ++b) all[b] = distance(a, b);
    std::ranges::sort(all);
    core[a] = all[at_least - 1];
  }
  std::vector<double> to(n, std::numeric_limits<double>::infinity()), lengths;
  std::vector<bool> in(n, false);
  std::size_t next = 0;
  for (std::size_t step = 1; step < n; ++step) {
    in[next] = true;
    std::size_t nearest = n;
    for (std::size_t b = 0; b < n; ++b) {
      if (in[b]) continue;
      to[b] = std::min(to[b], std::max({distance(next, b), core[next], core[b]}));
      if (nearest == n || to[b] < to[nearest]) nearest = b;
    }
    lengths.push_back(to[nearest]);
    next = nearest;
  }
  std::ranges::sort(lengths);
  return lengths;
}

TEST(Hierarchy, TheTreeIsAsShortAsPrimsOverAllPairs) {
  for (const double step : {0.0, 25.0}) {
    const auto points = groupsOf(700, step, 3);
    for (const std::size_t at_least : {2, 5, 30}) {
      Progress progress(Progress::Sink{}, std::stop_token{}, 2);
      const auto tree = reachTree(points, at_least, progress);
      ASSERT_OK(tree);
      std::vector<double> lengths;
      for (const auto& edge : tree->edges) lengths.push_back(edge.length);
      EXPECT_EQ(lengths, lengthsByPrim(points, at_least)) << "step " << step << ", at least " << at_least;
    }
  }
}

TEST(Hierarchy, NeitherThreadsNorTheOrderOfRowsChangeAnything) {
  for (const double step : {0.0, 20.0}) {
    const auto points = groupsOf(20'000, step, 7);
    const auto one = hierarchyOf(points, 8, 1), four = hierarchyOf(points, 8, 4);
    EXPECT_EQ(one.cluster, four.cluster);
    EXPECT_EQ(one.outlier_score, four.outlier_score);
    EXPECT_GT(one.summary.size(), 3U);
    if (step > 0) continue;  // of several parts as near an edge takes the one of the lowest row
    const std::vector<Point> backwards(points.rbegin(), points.rend());
    const auto turned = hierarchyOf(backwards, 8);
    std::map<std::int32_t, std::int32_t> name;
    std::size_t differing = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const auto there = turned.cluster[points.size() - 1 - i];
      EXPECT_EQ(name.emplace(there, one.cluster[i]).first->second, one.cluster[i]);
      differing += turned.outlier_score[points.size() - 1 - i] == one.outlier_score[i] ? 0 : 1;
    }
    EXPECT_EQ(name.size(), one.summary.size() + 1);
    EXPECT_LE(differing, 2U);  // points between parts of one size
  }
}

TEST(Hierarchy, TooFewPointsAreNoClusterAndHaveNoOutliers) {
  EXPECT_TRUE(hierarchyOf({}, 5).cluster.empty());
  const auto few = hierarchyOf({{0, 0}, {1, 0}, {2, 0}}, 5);
  EXPECT_EQ(few.cluster, std::vector<std::int32_t>(3, -1));
  EXPECT_EQ(few.outlier_score, std::vector<double>(3, 0.0));
  Progress progress;
  EXPECT_EQ(findHierarchy(std::vector<Point>{{0, 0}}, 1, progress).problem().code, ProblemCode::InvalidArgument);
}

TEST(Hierarchy, AllAtOneSpotAreOneCluster) {
  const auto found = hierarchyOf(std::vector<Point>(40, Point{3, 4}), 5);
  EXPECT_EQ(found.cluster, std::vector<std::int32_t>(40, 0));
  EXPECT_EQ(found.outlier_score, std::vector<double>(40, 0.0));
  EXPECT_EQ(found.summary.size(), 1U);
}

TEST(Hierarchy, ASpotWithManyReportsIsInAClusterOfItsOwn) {
  std::vector<Point> points = groupsOf(300, 0, 9);
  for (int i = 0; i < 6; ++i) points.push_back({5000, 5000});
  const auto found = hierarchyOf(points, 5);
  EXPECT_GE(found.cluster.back(), 0);
  EXPECT_EQ(found.outlier_score.back(), 0);
  EXPECT_GT(found.summary.size(), 2U);
  for (const double score : found.outlier_score) EXPECT_TRUE(score >= 0 && score <= 1) << score;
}

TEST(Hierarchy, APointWithoutAPlaceIsAloneWithoutAScore) {
  auto points = groupsOf(200, 0, 5);
  const auto whole = hierarchyOf(points, 5);
  points.insert(points.begin() + 10, {kNan, 0});
  points.push_back({0, std::numeric_limits<double>::infinity()});
  points.push_back({1e200, 0});
  const auto found = hierarchyOf(points, 5);
  for (const std::size_t row : {std::size_t{10}, points.size() - 2, points.size() - 1}) {
    EXPECT_EQ(found.cluster[row], -1);
    EXPECT_TRUE(std::isnan(found.outlier_score[row]));
  }
  EXPECT_EQ(found.cluster[11], whole.cluster[10]);
  EXPECT_EQ(found.summary.size(), whole.summary.size());
}

}  // namespace
}  // namespace leeward::analysis
