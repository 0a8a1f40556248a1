#include "shared/geo/overlay.h"

#include <cmath>

#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

using Path = std::vector<Point>;

Path box(double x, double y, double width, double height) {
  return {{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}, {x, y}};
}
Path backwards(Path path) { return {path.rbegin(), path.rend()}; }

Geometries areaOf(const Path& outer, const std::vector<Path>& holes = {}) {
  Geometries areas;
  areas.startRow(GeometryKind::Areas);
  areas.addRing(outer, false);
  for (const auto& hole : holes) areas.addRing(hole, true);
  return areas;
}

TEST(OverlayTest, MeasuresTakeHolesOff) {
  const auto area = areaOf(box(1e6, 2e6, 4, 4), {backwards(box(1e6 + 1, 2e6 + 1, 2, 1))});
  EXPECT_DOUBLE_EQ(leeward::areaOf(area, 0), 14);
  // By hand: (16 * 2 - 2 * 1.5) / 14 upwards, and symmetric sideways.
  EXPECT_NEAR(centroidOf(area, 0).x, 1e6 + 2, 1e-9);
  EXPECT_NEAR(centroidOf(area, 0).y, 2e6 + 29.0 / 14, 1e-9);
  Geometries line;
  line.addLine(Path{{0, 0}, {3, 4}, {3, 10}});
  EXPECT_DOUBLE_EQ(lengthOf(line, 0), 11);
  EXPECT_EQ(leeward::areaOf(line, 0), 0);
  EXPECT_NEAR(centroidOf(line, 0).x, (5 * 1.5 + 6 * 3) / 11, 1e-12);
}

TEST(OverlayTest, CentroidFallsBackWhereThereIsNoSurface) {
  EXPECT_EQ(centroidOf(areaOf({{0, 0}, {4, 0}, {0, 0}, {0, 0}}), 0), (Point{2, 0}));
  EXPECT_EQ(centroidOf(areaOf({{3, 3}, {3, 3}, {3, 3}, {3, 3}}), 0), (Point{3, 3}));
  Geometries none;
  none.addNone();
  EXPECT_TRUE(std::isnan(centroidOf(none, 0).x));
}

TEST(OverlayTest, ContainsCountsTheBoundaryAndNotTheHoles) {
  const auto area = areaOf(box(0, 0, 4, 4), {backwards(box(1, 1, 2, 2))});
  for (const Point p : {Point{0.5, 0.5}, {0, 0}, {4, 2}, {2, 4}, {1, 2}, {3, 3}, {4, 4}, {0, 4}}) EXPECT_TRUE(contains(area, 0, p)) << p.x << " " << p.y;
  for (const Point p : {Point{2, 2}, {-1, 0}, {5, 4}, {4.0000001, 2}, {-1, 4}, {2, 5}, {std::nan(""), 1}}) EXPECT_FALSE(contains(area, 0, p)) << p.x << " " << p.y;
  const auto spike = areaOf({{0, 0}, {4, 0}, {2, 3}, {0, 0}});
  EXPECT_TRUE(contains(spike, 0, {2, 3}));
  EXPECT_FALSE(contains(spike, 0, {1, 3}));
  EXPECT_TRUE(contains(spike, 0, {1, 1.5}));  // on a slanting edge
}

TEST(OverlayTest, DistanceAndPlaceAlongAPath) {
  const Path path = {{0, 0}, {10, 0}, {10, 10}};
  EXPECT_DOUBLE_EQ(distanceToPath(path, {5, 3}), 3);
  EXPECT_DOUBLE_EQ(distanceToPath(path, {13, 14}), 5);
  EXPECT_EQ(alongPath(path, 0.25), (Point{5, 0}));
  EXPECT_EQ(alongPath(path, 0.25, 2), (Point{5, 2}));    // left of the way east is north
  EXPECT_EQ(alongPath(path, 0.75, -2), (Point{12, 5}));  // right of the way north is east
  EXPECT_EQ(alongPath(path, 2), (Point{10, 10}));
  EXPECT_EQ(alongPath(Path{{1, 1}}, 0.5), (Point{1, 1}));
}

TEST(OverlayTest, BoxIndexFindsWhatALoopFinds) {
  Random random(7);
  Geometries points;
  for (int i = 0; i < 3000; ++i) points.addPoint({random.uniform() * 100, random.uniform() * 100});
  points.addNone();
  const BoxIndex index(points);
  for (int i = 0; i < 50; ++i) {
    const Point at{random.uniform() * 100, random.uniform() * 100};
    const Bbox query = Bbox{at.x, at.y, at.x, at.y}.grownBy(random.uniform() * 20);
    std::vector<std::size_t> expected;
    for (std::size_t row = 0; row < 3000; ++row) {
      if (query.contains(points.point(row))) expected.push_back(row);
    }
    EXPECT_EQ(index.meeting(query), expected);
  }
  EXPECT_TRUE(BoxIndex(Geometries()).meeting({0, 0, 1, 1}).empty());
}

TEST(OverlayTest, OverlapsOfShiftedGridsAreExact) {
  Geometries from;
  Geometries to;
  for (int x = 0; x < 20; ++x) {
    for (int y = 0; y < 20; ++y) {
      from.addArea(box(x, y, 1, 1));
      to.addArea(box(x + 0.25, y + 0.5, 1, 1));
    }
  }
  Progress one;
  Progress four(Progress::Sink{}, std::stop_token{}, 4);
  const auto pairs = overlaps(from, to, one);
  ASSERT_OK(pairs);
  double sum = 0;
  for (const auto& pair : *pairs) sum += pair.area;
  EXPECT_NEAR(sum, 19.75 * 19.5, 1e-9);
  EXPECT_EQ(pairs->size(), 400U + 19 * 20 * 2 + 19 * 19);
  EXPECT_TRUE(std::ranges::is_sorted(*pairs, [](const auto& a, const auto& b) { return std::pair(a.from, a.to) < std::pair(b.from, b.to); }));
  const auto again = overlaps(from, to, four);
  ASSERT_EQ(again->size(), pairs->size());
  for (std::size_t i = 0; i < pairs->size(); ++i) EXPECT_EQ((*pairs)[i].area, (*again)[i].area);
}

TEST(OverlayTest, OverlapsRepairCrossingOutlinesAndSkipTouchingOnes) {
  const auto bow_tie = areaOf({{0, 0}, {2, 2}, {2, 0}, {0, 2}, {0, 0}});
  const auto cover = areaOf(box(-1, -1, 4, 4));
  const auto beside = areaOf(box(2, 0, 1, 2));
  Progress progress;
  EXPECT_NEAR(overlaps(bow_tie, cover, progress)->at(0).area, 2, 1e-12);
  EXPECT_TRUE(overlaps(areaOf(box(0, 0, 2, 2)), beside, progress)->empty());
  std::stop_source stop;
  stop.request_stop();
  Progress stopped({}, stop.get_token(), 1);
  EXPECT_EQ(overlaps(cover, cover, stopped).problem().code, ProblemCode::Cancelled);
}

TEST(OverlayTest, RepairWindsRingsAndSaysWhatItChanged) {
  Geometries areas;
  areas.addArea(backwards(box(0, 0, 4, 4)));                            // 0: fine but clockwise
  areas.addArea(Path{{0, 0}, {2, 2}, {2, 0}, {0, 2}, {0, 0}});           // 1: crosses itself
  areas.startRow(GeometryKind::Areas);                                   // 2: not closed
  areas.startPath();
  for (const Point p : {Point{0, 0}, {1, 0}, {1, 1}}) areas.addVertex(p);
  areas.startRow(GeometryKind::Areas);                                   // 3: empty
  areas.addPoint({1, 1});                                                // 4: no area at all
  areas.addArea(Path{{0, 0}, {1, 0}, {std::nan(""), 1}, {0, 0}});        // 5: a corner without a place
  std::vector<RepairNote> notes;
  const auto repaired = repairAreas(areas, notes);
  ASSERT_EQ(repaired.size(), 6U);
  std::map<std::size_t, std::string> said;
  for (const auto& note : notes) said[note.row] = note.what;
  EXPECT_EQ(said, (std::map<std::size_t, std::string>{{1, "the outline crosses itself"}, {2, "a ring is not closed"}, {3, "empty"}, {5, "a corner has no place"}}));
  const auto ring = repaired.path(0, 0);
  EXPECT_GT((ring[1].x - ring[0].x) * (ring[2].y - ring[1].y) - (ring[1].y - ring[0].y) * (ring[2].x - ring[1].x), 0);
  EXPECT_EQ(repaired.paths(1), 2U);
  EXPECT_NEAR(leeward::areaOf(repaired, 1), 2, 1e-12);
  EXPECT_NEAR(leeward::areaOf(repaired, 2), 0.5, 1e-12);
  EXPECT_EQ(repaired.kind(3), GeometryKind::None);
  EXPECT_EQ(repaired.kind(4), GeometryKind::Points);
  EXPECT_EQ(repaired.kind(5), GeometryKind::None);
}

TEST(OverlayTest, UnionDissolvesSharedEdgesAndKeepsHoles) {
  Geometries areas;
  for (int x = 0; x < 3; ++x) {
    for (int y = 0; y < 3; ++y) areas.addArea(box(x, y, 1, 1));
  }
  EXPECT_EQ(leeward::areaOf(unionOf(areas, {0, 1, 2, 3, 4, 5, 6, 7, 8}), 0), 9);
  const auto ring = unionOf(areas, {0, 1, 2, 3, 5, 6, 7, 8});
  ASSERT_EQ(ring.paths(0), 2U);
  EXPECT_TRUE(ring.isHole(0, 1));
  EXPECT_EQ(leeward::areaOf(ring, 0), 8);
  EXPECT_EQ(unionOf(areas, {}).kind(0), GeometryKind::None);
}

TEST(OverlayTest, PointInsideIsInsideEvenWhereTheCentroidIsNot) {
  const auto bent = areaOf({{0, 0}, {10, 0}, {10, 1}, {1, 1}, {1, 10}, {0, 10}, {0, 0}});
  EXPECT_FALSE(contains(bent, 0, centroidOf(bent, 0)));
  EXPECT_TRUE(contains(bent, 0, pointInside(bent, 0)));
}

TEST(OverlayTest, ConvexHullAndItsDegenerateCases) {
  const auto hull = convexHull(Path{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {2, 2}, {2, 0}, {4, 0}, {std::nan(""), 0}});
  EXPECT_EQ(hull.path(0, 0).size(), 5U);  // corners only, closed
  EXPECT_EQ(leeward::areaOf(hull, 0), 16);
  EXPECT_EQ(convexHull(Path{{1, 1}, {1, 1}}).kind(0), GeometryKind::Points);
  const auto line = convexHull(Path{{1, 1}, {3, 3}, {2, 2}});
  EXPECT_EQ(line.kind(0), GeometryKind::Lines);
  EXPECT_DOUBLE_EQ(lengthOf(line, 0), std::sqrt(8));
  EXPECT_EQ(convexHull(Path{}).kind(0), GeometryKind::None);
}

/// Two areas with a wavy border between them, and an island in the first one filled by a third area.
Geometries wavyCoverage() {
  Path border;
  for (int i = 0; i <= 200; ++i) border.push_back({50 + std::sin(i * 0.9), i * 0.5});
  Path left = {{0, 100}, {0, 0}};
  left.insert(left.end(), border.begin(), border.end());
  left.push_back(left.front());
  Path right = {{100, 0}, {100, 100}};
  right.insert(right.end(), border.rbegin(), border.rend());
  right.push_back(right.front());
  Path island;
  for (int i = 0; i < 60; ++i) island.push_back({20 + 5 * std::cos(i * M_PI / 30), 50 + 5 * std::sin(i * M_PI / 30)});
  island.push_back(island.front());
  Geometries areas = areaOf(left, {backwards(island)});
  areas.addArea(right);
  std::ranges::rotate(island.begin(), island.begin() + 17, island.end() - 1);  // the same ring begun elsewhere
  island.back() = island.front();
  areas.addArea(island);
  return areas;
}

TEST(OverlayTest, SimplifiedCoverageKeepsSharedEdgesShared) {
  const Geometries areas = wavyCoverage();
  const Geometries simple = simplifiedCoverage(areas, 1.5);
  ASSERT_EQ(simple.size(), 3U);
  EXPECT_LT(simple.vertices().size(), areas.vertices().size() / 4);
  double sum = 0;
  for (std::size_t row = 0; row < 3; ++row) sum += leeward::areaOf(simple, row);
  EXPECT_NEAR(sum, 100 * 100, 1e-9);  // no gap, no overlap
  Progress progress;
  const auto pairs = overlaps(simple, simple, progress);
  for (const auto& pair : *pairs) EXPECT_EQ(pair.from, pair.to);
  for (const Point p : simple.vertices()) {
    EXPECT_TRUE(std::ranges::find(areas.vertices(), p) != areas.vertices().end());  // only corners that were there
  }
  EXPECT_EQ(simplifiedCoverage(areas, 0).vertices().size(), areas.vertices().size());
}

TEST(OverlayTest, AnAreaSmallerThanTheToleranceStaysVisible) {
  const auto simple = simplifiedCoverage(areaOf(box(0, 0, 0.1, 0.1)), 10);
  EXPECT_NEAR(leeward::areaOf(simple, 0), 0.01, 1e-12);
}

}  // namespace
}  // namespace leeward
