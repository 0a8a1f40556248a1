#include "analysis/sightings/clusters.h"

#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

struct Plain {
  std::vector<std::int32_t> cluster;
  std::vector<ClusterRole> role;
};

/// The definition itself, all pairs: cores, connected cores, edges to the nearest core, numbers by first row.
Plain byDefinition(const std::vector<Point>& points, const std::vector<double>& days, const ClusterRequest& request) {
  const auto n = points.size();
  const auto distance2 = [&](std::size_t a, std::size_t b) {
    const double dx = points[a].x - points[b].x;
    const double dy = points[a].y - points[b].y;
    return dx * dx + dy * dy;
  };
  const auto isNear = [&](std::size_t a, std::size_t b) {
    return distance2(a, b) <= request.radius_m * request.radius_m &&
           (!request.days || std::abs(days[a] - days[b]) <= *request.days);
  };
  Plain plain{std::vector<std::int32_t>(n, -1), std::vector<ClusterRole>(n, ClusterRole::Alone)};
  for (std::size_t a = 0; a < n; ++a) {
    std::size_t count = 0;
    for (std::size_t b = 0; b < n; ++b) count += isNear(a, b) ? 1 : 0;
    if (count >= request.at_least) plain.role[a] = ClusterRole::Core;
  }
  std::vector<std::size_t> set(n);
  std::iota(set.begin(), set.end(), std::size_t{0});
  for (bool changed = true; changed;) {
    changed = false;
    for (std::size_t a = 0; a < n; ++a) {
      for (std::size_t b = 0; b < n; ++b) {
        if (plain.role[a] != ClusterRole::Core || plain.role[b] != ClusterRole::Core || set[a] <= set[b] || !isNear(a, b))
          continue;
        set[a] = set[b];
        changed = true;
      }
    }
  }
  for (std::size_t a = 0; a < n; ++a) {
    if (plain.role[a] == ClusterRole::Core) continue;
    std::optional<std::size_t> core;
    for (std::size_t b = 0; b < n; ++b) {
      if (plain.role[b] != ClusterRole::Core || !isNear(a, b)) continue;
      if (!core || distance2(a, b) < distance2(a, *core)) core = b;
    }
    if (!core) continue;
    plain.role[a] = ClusterRole::Edge;
    set[a] = set[*core];
  }
  std::map<std::size_t, std::int32_t> numbers;
  for (std::size_t a = 0; a < n; ++a) {
    if (plain.role[a] == ClusterRole::Alone) continue;
    plain.cluster[a] = numbers.emplace(set[a], static_cast<std::int32_t>(numbers.size())).first->second;
  }
  return plain;
}

/// Points in clumps with a background, some repeated, some on a lattice so that distances tie.
std::vector<Point> clumps(std::size_t count, std::uint64_t seed) {
  Random random(seed);
  std::vector<Point> points;
  while (points.size() < count) {
    const double kind = random.uniform();
    if (kind < 0.2) {
      points.push_back({random.uniform() * 1000, random.uniform() * 1000});
    } else if (kind < 0.3 && !points.empty()) {
      points.push_back(points[random.below(static_cast<std::uint32_t>(points.size()))]);
    } else if (kind < 0.5) {
      points.push_back({random.below(20) * 25.0, random.below(20) * 25.0});
    } else {
      points.push_back({200.0 * random.below(5) + 30 * random.normal(), 200.0 * random.below(5) + 30 * random.normal()});
    }
  }
  return points;
}

TEST(ClustersTest, EveryPointIsWhereTheDefinitionPutsIt) {
  for (std::uint64_t seed = 1; seed <= 6; ++seed) {
    SCOPED_TRACE(seed);
    const auto points = clumps(400, seed);
    std::vector<double> days;
    Random random(seed, 1);
    for (std::size_t i = 0; i < points.size(); ++i) days.push_back(random.below(60));
    for (const auto& request : {ClusterRequest{25, 4, {}}, ClusterRequest{40, 8, {}}, ClusterRequest{50, 4, 7.0},
                                ClusterRequest{50, 3, 0.0}, ClusterRequest{3, 1, {}}}) {
      const auto expected = byDefinition(points, days, request);
      Progress progress;
      const auto clusters = findClusters(points, days, request, progress);
      ASSERT_OK(clusters);
      EXPECT_EQ(clusters->role, expected.role);
      EXPECT_EQ(clusters->cluster, expected.cluster);
    }
  }
}

TEST(ClustersTest, ThreadsDoNotChangeAResult) {
  const auto points = clumps(20'000, 9);
  Progress one;
  Progress four(Progress::Sink(), std::stop_token(), 4);
  const auto a = findClusters(points, {}, {6, 5, {}}, one);
  const auto b = findClusters(points, {}, {6, 5, {}}, four);
  ASSERT_OK(a);
  ASSERT_OK(b);
  EXPECT_EQ(a->cluster, b->cluster);
  EXPECT_EQ(a->role, b->role);
}

TEST(ClustersTest, PointsWithoutAPlaceAreAloneAndDoNotCount) {
  const double nan = std::nan("");
  const std::vector<Point> points = {{0, 0}, {nan, 0}, {1, 0}, {0, HUGE_VAL}, {0, 1}};
  Progress progress;
  const auto clusters = findClusters(points, {}, {2, 3, {}}, progress);
  ASSERT_OK(clusters);
  EXPECT_EQ(clusters->cluster, (std::vector<std::int32_t>{0, -1, 0, -1, 0}));
}

TEST(ClustersTest, ASummaryCountsMembersAndTheirDaysAndDrawsTheirHull) {
  const std::vector<Point> points = {{100, 100}, {0, 0}, {4, 0}, {4, 4}, {0, 4}, {2, 2}};
  const std::vector<double> days = {1, 30, 10, std::nan(""), 20, 15};
  Progress progress;
  const auto clusters = findClusters(points, days, {4, 3, {}}, progress);
  ASSERT_OK(clusters);
  ASSERT_EQ(clusters->summary.size(), 1U);
  EXPECT_EQ(clusters->summary[0].points, 5U);
  EXPECT_EQ(clusters->summary[0].first_day, 10);
  EXPECT_EQ(clusters->summary[0].last_day, 30);
  ASSERT_EQ(clusters->hulls.size(), 1U);
  EXPECT_EQ(clusters->hulls.bbox(0).max_x, 4);
}

TEST(ClustersTest, ACallThatMakesNoSenseIsRefused) {
  const std::vector<Point> points = {{0, 0}};
  Progress progress;
  EXPECT_EQ(findClusters(points, {}, {0, 3, {}}, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(findClusters(points, {}, {5, 0, {}}, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(findClusters(points, {}, {5, 3, 7.0}, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(findClusters(points, std::vector<double>{1, 2}, {5, 3, {}}, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_TRUE(findClusters({}, {}, {5, 3, 7.0}, progress).ok());
}

TEST(ClustersTest, AStopIsHeeded) {
  std::stop_source source;
  source.request_stop();
  Progress progress(Progress::Sink(), source.get_token(), 1);
  EXPECT_EQ(findClusters(clumps(100, 1), {}, {25, 4, {}}, progress).problem().code, ProblemCode::Cancelled);
}

}  // namespace
}  // namespace leeward::analysis
