// Rings and areas that files hold and no map should.
#include "shared/geo/clean_rings.h"
#include "shared/geo/longitudes.h"
#include "shared/geo/overlay.h"
#include "shared/geo/ring.h"

#include "tests/support/data.h"

namespace leeward {
namespace {

using Ring = std::vector<Point>;

/// What repairAreas() says of one area of these rings, and the area that is left.
struct Repaired {
  std::vector<std::string> notes;
  double area = 0;
  Geometries shape;
};

Repaired repaired(const std::vector<Ring>& rings, bool close = true) {
  Geometries areas;
  areas.startRow(GeometryKind::Areas);
  for (std::size_t i = 0; i < rings.size(); ++i) {
    areas.startPath(i > 0);
    for (const Point p : rings[i]) areas.addVertex(p);
    if (close) areas.addVertex(rings[i].front());
  }
  std::vector<RepairNote> notes;
  Repaired out;
  out.shape = repairAreas(areas, notes);
  for (const auto& note : notes) out.notes.push_back(note.what);
  out.area = areaOf(out.shape, 0);
  return out;
}

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

// Areas by hand: squares and triangles.
TEST(RingsTest, ASoundAreaStaysAsItIs) {
  const auto square = repaired({{{0, 0}, {4, 0}, {4, 4}, {0, 4}}});
  EXPECT_THAT(square.notes, IsEmpty());
  EXPECT_DOUBLE_EQ(square.area, 16);
}

TEST(RingsTest, ABowTieBecomesItsTwoTriangles) {
  const auto bow = repaired({{{0, 0}, {4, 4}, {4, 0}, {0, 4}}});
  EXPECT_THAT(bow.notes, ElementsAre(HasSubstr("crosses itself")));
  EXPECT_DOUBLE_EQ(bow.area, 8);
}

TEST(RingsTest, AnOpenRingIsClosed) {
  const auto open = repaired({{{0, 0}, {4, 0}, {4, 4}, {0, 4}}}, false);
  EXPECT_THAT(open.notes, ElementsAre(HasSubstr("not closed")));
  EXPECT_DOUBLE_EQ(open.area, 16);
}

TEST(RingsTest, ASpikeIsCutOffAndEnclosesNothing) {
  const auto spiked = repaired({{{0, 0}, {4, 0}, {4, 2}, {9, 2}, {4, 2}, {4, 4}, {0, 4}}});
  EXPECT_THAT(spiked.notes, ElementsAre(HasSubstr("spike")));
  EXPECT_DOUBLE_EQ(spiked.area, 16);
  EXPECT_DOUBLE_EQ(spiked.shape.bbox(0).max_x, 4);
  const auto at_the_seam = repaired({{{-5, 0}, {0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}}});
  EXPECT_THAT(at_the_seam.notes, ElementsAre(HasSubstr("spike")));
  EXPECT_DOUBLE_EQ(at_the_seam.area, 16);
}

TEST(RingsTest, RepeatedCornersAreDropped) {
  const auto repeated = repaired({{{0, 0}, {4, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 4}, {0, 4}}});
  EXPECT_THAT(repeated.notes, ElementsAre(HasSubstr("stands twice")));
  EXPECT_DOUBLE_EQ(repeated.area, 16);
  EXPECT_EQ(repeated.shape.path(0, 0).size(), 5U);
}

TEST(RingsTest, WrongWindingIsTurnedRound) {
  const auto clockwise = repaired({{{0, 0}, {0, 4}, {4, 4}, {4, 0}}, {{1, 1}, {2, 1}, {2, 2}, {1, 2}}});
  EXPECT_DOUBLE_EQ(clockwise.area, 15);
  EXPECT_GT(ringArea(clockwise.shape.path(0, 0)), 0);
  EXPECT_LT(ringArea(clockwise.shape.path(0, 1)), 0);
}

TEST(RingsTest, WhatIsOnlyALineIsNothing) {
  const auto line = repaired({{{0, 0}, {4, 0}, {2, 0}}});
  EXPECT_EQ(line.shape.kind(0), GeometryKind::None);
  EXPECT_FALSE(line.notes.empty());
}

TEST(RingsTest, NeighboursThatOverlapAreFoundAndThoseThatTouchAreNot) {
  Geometries areas;
  areas.addArea(Ring{{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}});
  areas.addArea(Ring{{4, 0}, {8, 0}, {8, 4}, {4, 4}, {4, 0}});
  areas.addArea(Ring{{7, 0}, {9, 0}, {9, 4}, {7, 4}, {7, 0}});
  Progress progress;
  const auto pairs = overlappingNeighbours(areas, 0.001, progress);
  ASSERT_OK(pairs);
  ASSERT_EQ(pairs->size(), 1U);
  EXPECT_EQ(pairs->front().from, 1U);
  EXPECT_EQ(pairs->front().to, 2U);
  EXPECT_DOUBLE_EQ(pairs->front().area, 4);
}

TEST(RingsTest, SliversAreThinAndSmall) {
  Geometries areas;
  for (int i = 0; i < 4; ++i) areas.addArea(Ring{{i * 10.0, 0}, {i * 10.0 + 10, 0}, {i * 10.0 + 10, 10}, {i * 10.0, 10}, {i * 10.0, 0}});
  areas.addArea(Ring{{0, 10}, {40, 10}, {40, 10.001}, {0, 10.001}, {0, 10}});
  areas.addArea(Ring{{0, 20}, {0.1, 20}, {0.1, 20.1}, {0, 20.1}, {0, 20}});
  EXPECT_THAT(slivers(areas), ElementsAre(4U)) << "the small square is no sliver";
}

TEST(LongitudesTest, APlaceAcrossThe180thMeridianIsOnePiece) {
  std::vector<Point> points = {{179.9, -16.5}, {-179.8, -16.9}, {-179.9, -16.6}};
  EXPECT_NEAR(lonLatBox(points).width(), 0.3, 1e-9);
  EXPECT_TRUE(joinAtAntimeridian(points));
  EXPECT_DOUBLE_EQ(points[1].x, 180.2);
  EXPECT_DOUBLE_EQ(nearBox({-179.95, -16.5}, lonLatBox(points)).x, 180.05);
  EXPECT_DOUBLE_EQ(plainLongitude(180.2), -179.8);
  std::vector<Point> world = {{-170, 0}, {-60, 0}, {10, 0}, {100, 0}, {175, 0}};
  EXPECT_FALSE(joinAtAntimeridian(world)) << "a layer of the whole world stays";
  std::vector<Point> town = {{-84.6, 39.4}, {-84.5, 39.5}};
  EXPECT_FALSE(joinAtAntimeridian(town));
}

}  // namespace
}  // namespace leeward
