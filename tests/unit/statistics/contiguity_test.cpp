// Who touches whom on maps small enough to see, and on many rectangles whose touching follows from their sides.
#include <cmath>
#include <numbers>
#include <numeric>

#include <gtest/gtest.h>

#include "analysis/patterns/contiguity.h"
#include "analysis/patterns/distance_neighbours.h"
#include "analysis/patterns/near_edges.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using Lists = std::vector<std::vector<std::uint32_t>>;

struct Box {
  double x0, y0, x1, y1;
};

std::vector<Point> ringOf(const Box& b) { return {{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}}; }

Geometries boxes(const std::vector<Box>& all) {
  Geometries areas;
  for (const Box& b : all) areas.addArea(ringOf(b));
  return areas;
}

Lists listsOf(const Neighbours& neighbours) {
  Lists lists;
  for (std::size_t i = 0; i < neighbours.size(); ++i) lists.emplace_back(neighbours.of(i).begin(), neighbours.of(i).end());
  return lists;
}

Contiguity touching(const Geometries& areas, Touch touch, double tolerance = 0, double wrap = 0) {
  Progress progress;
  auto found = contiguity(areas, {touch, tolerance, wrap}, progress);
  EXPECT_OK(found);
  return *found;
}
Lists queen(const Geometries& areas, double tolerance = 0, double wrap = 0) { return listsOf(touching(areas, Touch::Queen, tolerance, wrap).neighbours); }
Lists rook(const Geometries& areas, double tolerance = 0, double wrap = 0) { return listsOf(touching(areas, Touch::Rook, tolerance, wrap).neighbours); }

TEST(ContiguityTest, AChessBoardHasTheMovesOfItsPieces) {
  std::vector<Box> all;
  for (double y = 0; y < 3; ++y) {
    for (double x = 0; x < 3; ++x) all.push_back({x, y, x + 1, y + 1});
  }
  const auto by_queen = queen(boxes(all)), by_rook = rook(boxes(all));
  const std::size_t queens[] = {3, 5, 3, 5, 8, 5, 3, 5, 3}, rooks[] = {2, 3, 2, 3, 4, 3, 2, 3, 2};
  for (std::size_t i = 0; i < 9; ++i) {
    EXPECT_EQ(by_queen[i].size(), queens[i]) << i;
    EXPECT_EQ(by_rook[i].size(), rooks[i]) << i;
  }
  EXPECT_EQ(by_rook[4], (std::vector<std::uint32_t>{1, 3, 5, 7}));
}

TEST(ContiguityTest, ACornerMayLieInTheMiddleOfAnEdge) {
  // One long side below, two areas above that part it where it has no corner.
  const Geometries areas = boxes({{0, 0, 10, 10}, {0, 10, 4, 20}, {4, 10, 10, 20}});
  const Lists all = {{1, 2}, {0, 2}, {0, 1}};
  EXPECT_EQ(rook(areas), all);
  EXPECT_EQ(queen(areas), all);
  // A tip in the middle of an edge: a point, no length.
  Geometries tip = boxes({{0, 0, 10, 10}});
  tip.addArea(std::vector<Point>{{5, 10}, {7, 15}, {3, 15}});
  EXPECT_EQ(queen(tip), (Lists{{1}, {0}}));
  EXPECT_EQ(rook(tip), (Lists{{}, {}}));
}

TEST(ContiguityTest, SliversCloseUpToTheTolerance) {
  for (const double gap : {0.1, -0.1}) {  // a gap, an overlap
    const Geometries areas = boxes({{0, 0, 10, 10}, {10 + gap, 0, 20, 10}});
    EXPECT_EQ(rook(areas, 0.2), (Lists{{1}, {0}}));
    EXPECT_EQ(queen(areas, 0.2), (Lists{{1}, {0}}));
  }
  const Geometries apart = boxes({{0, 0, 10, 10}, {10.1, 0, 20, 10}});
  EXPECT_EQ(touching(apart, Touch::Rook, 0.2).pairs_by_tolerance, 1U);
  EXPECT_EQ(queen(apart, 0.05), (Lists{{}, {}}));
  // Corners that miss each other by a hand's breadth: queens, but no rooks.
  const Geometries corners = boxes({{0, 0, 10, 10}, {10.05, 10.05, 20, 20}});
  EXPECT_EQ(queen(corners, 0.2), (Lists{{1}, {0}}));
  EXPECT_EQ(touching(corners, Touch::Queen, 0.2).pairs_by_tolerance, 1U);
  EXPECT_EQ(rook(corners, 0.2), (Lists{{}, {}}));
  EXPECT_EQ(queen(corners), (Lists{{}, {}}));
}

TEST(ContiguityTest, AMultipartNeighbourDoesNotHideWhoMeetsAcrossTheCorner) {
  Geometries areas = boxes({{0, 1, 1, 2}, {1, 0, 2, 1}});  // north-west, south-east
  areas.startRow(GeometryKind::Areas);                     // north-east and south-west are one area
  areas.addRing(ringOf({1, 1, 2, 2}), false);
  areas.addRing(ringOf({0, 0, 1, 1}), false);
  EXPECT_EQ(queen(areas), (Lists{{1, 2}, {0, 2}, {0, 1}}));
  EXPECT_EQ(rook(areas), (Lists{{2}, {2}, {0, 1}}));
}

TEST(ContiguityTest, AnAreaFillsAHoleOrOnlyPartOfIt) {
  Geometries areas;
  areas.startRow(GeometryKind::Areas);
  areas.addRing(ringOf({0, 0, 10, 10}), false);
  areas.addRing(std::vector<Point>{{4, 4}, {4, 6}, {6, 6}, {6, 4}}, true);
  areas.addArea(ringOf({4, 4, 6, 6}));          // fills the hole
  areas.addArea(ringOf({10, 4, 12, 6}));        // on the outside, off the corners
  areas.addArea(ringOf({1, 1, 2, 2}));          // inside the ground, touches no border
  EXPECT_EQ(rook(areas), (Lists{{1, 2}, {0}, {0}, {}}));
}

TEST(ContiguityTest, TheEndsOfTheEarthMeet) {
  // A belt around the earth in four, one of them parted by a corner in the middle of the seam.
  const Geometries belt = boxes({{-180, 0, -90, 10}, {-90, 0, 20, 10}, {20, 0, 180, 10}, {-180, 10, -90, 20}});
  EXPECT_EQ(rook(belt, 0, 360), (Lists{{1, 2, 3}, {0, 2}, {0, 1}, {0}}));
  EXPECT_EQ(queen(belt, 0, 360), (Lists{{1, 2, 3}, {0, 2, 3}, {0, 1, 3}, {0, 1, 2}}));
  EXPECT_EQ(rook(belt), (Lists{{1, 3}, {0, 2}, {1}, {0}})) << "in a plane they don't";
  const Geometries halves = boxes({{-180, 0, -170, 10}, {170, 0, 180, 4}, {170, 4, 180, 10}});
  EXPECT_EQ(rook(halves, 0, 360), (Lists{{1, 2}, {0, 2}, {0, 1}}));
  const Geometries apart = boxes({{-179, 0, -170, 10}, {170, 0, 180, 4}});
  EXPECT_EQ(queen(apart, 0, 360), (Lists{{}, {}}));
}

TEST(ContiguityTest, OddRowsHaveNoNeighbours) {
  const double nan = std::nan("");
  Geometries areas;
  areas.addNone();
  areas.addPoint({0, 0});
  areas.addArea(ringOf({0, 0, 1, 1}));
  areas.addArea(std::vector<Point>{{nan, nan}, {1, 0}, {1, 1}});
  areas.startRow(GeometryKind::Areas);
  areas.addArea(ringOf({0, 0, 1, 1}));  // the same place twice, as of flats in one house
  areas.addArea(ringOf({0, 0, 1, 1}));
  const auto lists = queen(areas);
  EXPECT_EQ(lists[0].size() + lists[1].size() + lists[4].size(), 0U);
  EXPECT_EQ(lists[2], (std::vector<std::uint32_t>{3, 5, 6})) << "the row with a broken corner keeps its last side";
  EXPECT_EQ(lists[5], (std::vector<std::uint32_t>{2, 3, 6}));
  EXPECT_TRUE(queen(Geometries{}).empty());
  EXPECT_EQ(queen(boxes({{0, 0, 1, 1}})), (Lists{{}}));
  Progress progress;
  EXPECT_EQ(contiguity(areas, {.tolerance = -1}, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(contiguity(areas, {.tolerance = nan}, progress).problem().code, ProblemCode::InvalidArgument);
}

/// Rectangles that part a square, so that most corners lie in the middle of a neighbour's side.
std::vector<Box> parted(std::size_t count, std::uint64_t seed) {
  Random random(seed);
  std::vector<Box> all = {{0, 0, 4096, 4096}};
  while (all.size() < count) {
    const std::size_t at = random.below(static_cast<std::uint32_t>(all.size()));
    Box& box = all[at];
    const bool across = box.x1 - box.x0 > box.y1 - box.y0;
    const double size = across ? box.x1 - box.x0 : box.y1 - box.y0;
    if (size < 4) continue;
    const double cut = (across ? box.x0 : box.y0) + 1 + random.below(static_cast<std::uint32_t>(size - 2));
    Box rest = box;
    (across ? box.x1 : box.y1) = cut;
    (across ? rest.x0 : rest.y0) = cut;
    all.push_back(rest);
  }
  return all;
}

Lists byTheirSides(const std::vector<Box>& all, bool need_length) {
  Lists lists(all.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t j = 0; j < all.size(); ++j) {
      const double x = std::min(all[i].x1, all[j].x1) - std::max(all[i].x0, all[j].x0), y = std::min(all[i].y1, all[j].y1) - std::max(all[i].y0, all[j].y0);
      if (i != j && x >= 0 && y >= 0 && (!need_length || x + y > 0)) lists[i].push_back(static_cast<std::uint32_t>(j));
    }
  }
  return lists;
}

TEST(ContiguityTest, RectanglesTouchAsTheirSidesSayAlsoTurned) {
  const auto all = parted(1500, 3);
  const Geometries straight = boxes(all);
  EXPECT_EQ(queen(straight), byTheirSides(all, false));
  EXPECT_EQ(rook(straight), byTheirSides(all, true));
  Geometries turned = straight;
  const double angle = std::numbers::pi / 7;
  for (Point& p : turned.vertices()) p = {650'000 + p.x * std::cos(angle) - p.y * std::sin(angle), 4'200'000 + p.x * std::sin(angle) + p.y * std::cos(angle)};
  EXPECT_EQ(queen(turned), byTheirSides(all, false)) << "corners in the middle of edges are off them by rounding alone";
  EXPECT_EQ(rook(turned), byTheirSides(all, true));
  EXPECT_EQ(queen(turned, 0.05), byTheirSides(all, false));
  // Every corner moved by up to 2 cm: only the tolerance still finds all.
  Random random(5);
  for (Point& p : turned.vertices()) p = {p.x + 0.02 * random.uniform(), p.y + 0.02 * random.uniform()};
  EXPECT_EQ(queen(turned, 0.06), byTheirSides(all, false));
  EXPECT_EQ(rook(turned, 0.06), byTheirSides(all, true));
  EXPECT_GT(touching(turned, Touch::Queen, 0.06).pairs_by_tolerance, 1000U);
}

TEST(ContiguityTest, FlatsInOneHouseAreEachOthersAndTheHousesNeighbours) {
  std::vector<Box> all(800, Box{0, 0, 1, 1});
  all.push_back({1, 0, 2, 1});
  all.push_back({2.05, 1, 3, 2});
  all.push_back({2.05, 1, 3, 2});
  const auto found = touching(boxes(all), Touch::Queen, 0.1);
  EXPECT_EQ(found.neighbours.of(0).size(), 800U) << "all other flats, and the house beside";
  EXPECT_EQ(found.neighbours.of(800).size(), 802U);
  EXPECT_EQ(found.neighbours.of(801).size(), 2U);
  EXPECT_EQ(found.pairs_by_tolerance, 2U);
  EXPECT_EQ(touching(boxes(all), Touch::Rook, 0.1).neighbours.of(801).size(), 1U);
}

TEST(ContiguityTest, ThreadsChangeNothing) {
  const Geometries areas = boxes(parted(3000, 9));
  Progress one, four(Progress::Sink{}, {}, 4);
  const auto a = contiguity(areas, {.touch = Touch::Rook}, one), b = contiguity(areas, {.touch = Touch::Rook}, four);
  ASSERT_OK(a);
  ASSERT_OK(b);
  EXPECT_EQ(listsOf(a->neighbours), listsOf(b->neighbours));
}

TEST(ContiguityTest, TheStretchBesideASegmentIsThatOfStripAndDiscs) {
  // A long edge over a short one, 3 below: within 5 up to 4 beyond both ends (3, 4, 5).
  const Stretch over = stretchNear({0, 0}, {100, 0}, {40, -3}, {60, -3}, 5);
  EXPECT_DOUBLE_EQ(over.begin, 36);
  EXPECT_DOUBLE_EQ(over.end, 64);
  const Stretch across = stretchNear({0, 0}, {100, 0}, {50, -10}, {50, 10}, 2);
  EXPECT_DOUBLE_EQ(across.begin, 48);
  EXPECT_DOUBLE_EQ(across.end, 52);
  const Stretch none = stretchNear({0, 0}, {100, 0}, {50, 10}, {60, 10}, 2);
  EXPECT_LT(none.end, none.begin);
}

TEST(DistanceNeighboursTest, TheNearestWithTiesByRow) {
  // A cross: the middle is 1 from all others; of those each is 1 from the middle and sqrt 2 from two.
  const std::vector<Point> cross = {{0, 0}, {1, 0}, {0, 1}, {-1, 0}, {0, -1}, {std::nan(""), 0}};
  Progress progress;
  const auto two = nearestNeighbours(cross, 2, progress);
  ASSERT_OK(two);
  EXPECT_EQ(listsOf(*two), (Lists{{1, 2}, {0, 2}, {0, 1}, {0, 2}, {0, 1}, {}}));
  const auto all = nearestNeighbours(cross, 99, progress);
  ASSERT_OK(all);
  EXPECT_EQ(listsOf(*all)[3], (std::vector<std::uint32_t>{0, 1, 2, 4}));
  const auto within = neighboursWithin(cross, 1, progress);
  ASSERT_OK(within);
  EXPECT_EQ(listsOf(*within), (Lists{{1, 2, 3, 4}, {0}, {0}, {0}, {0}, {}})) << "the distance itself counts";
  // Many at one place: they are each other's nearest, by row.
  const auto same = nearestNeighbours(std::vector<Point>(50, {7, 7}), 3, progress);
  ASSERT_OK(same);
  EXPECT_EQ(listsOf(*same)[0], (std::vector<std::uint32_t>{1, 2, 3}));
  EXPECT_EQ(listsOf(*same)[2], (std::vector<std::uint32_t>{0, 1, 3}));
  EXPECT_EQ(islandsOf(*nearestNeighbours(std::vector<Point>{{1, 1}}, 3, progress)).size(), 1U);
  EXPECT_EQ(nearestNeighbours(cross, 0, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(neighboursWithin(cross, 0, progress).problem().code, ProblemCode::InvalidArgument);
}

TEST(NeighboursTest, WeightsAreKeptAndWrongOnesRefused) {
  using Edges = std::vector<Neighbours::Edge>;
  const auto some = Neighbours::fromWeightedEdges(3, Edges{{1, 2, 0.5}, {1, 0, 2}, {1, 0, 2}, {1, 1, 9}, {0, 1, 1}});
  ASSERT_OK(some);
  EXPECT_EQ(listsOf(*some), (Lists{{1}, {0, 2}, {}}));
  EXPECT_EQ(some->weightsOf(1)[0], 2);
  EXPECT_EQ(some->weightsOf(1)[1], 0.5);
  EXPECT_EQ(oneWayLinks(*some), 1U);
  EXPECT_EQ(islandsOf(*some), (std::vector<std::size_t>{2}));
  for (const Edges& wrong : {Edges{{0, 3, 1}}, Edges{{0, 1, 0}}, Edges{{0, 1, -1}}, Edges{{0, 1, std::nan("")}}, Edges{{0, 1, 1}, {0, 1, 2}}}) {
    EXPECT_EQ(Neighbours::fromWeightedEdges(3, wrong).problem().code, ProblemCode::InvalidArgument);
  }
}

}  // namespace
}  // namespace leeward::analysis
