#include "analysis/overlay/coverage.h"

#include "analysis/overlay/zonal.h"
#include "shared/base/random.h"
#include "shared/geo/overlay.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

Raster emptyGrid(std::size_t rows, std::size_t columns) {
  Raster raster;
  raster.rows = rows;
  raster.columns = columns;
  raster.left = -3;
  raster.top = 21;
  raster.cell_x = 2;
  raster.cell_y = 1.5;
  raster.values.assign(rows * columns, 1);
  return raster;
}

/// A star-shaped area with a hole of the same shape at half its size.
Geometries star(Random& random, Point center, double radius) {
  std::vector<Point> outer, inner;
  for (int i = 0; i < 23; ++i) {
    const double angle = 2 * M_PI * i / 23;
    const double r = radius * (0.5 + random.uniform());
    outer.push_back({center.x + r * std::cos(angle), center.y + r * std::sin(angle)});
    inner.push_back({center.x + r / 2 * std::cos(angle), center.y + r / 2 * std::sin(angle)});
  }
  std::reverse(inner.begin(), inner.end());
  Geometries areas;
  areas.startRow(GeometryKind::Areas);
  areas.addRing(outer, false);
  areas.addRing(inner, true);
  return areas;
}

Geometries cellsOf(const Raster& raster) {
  Geometries cells;
  for (std::size_t r = 0; r < raster.rows; ++r) {
    for (std::size_t c = 0; c < raster.columns; ++c) {
      const double x = raster.left + raster.cell_x * static_cast<double>(c);
      const double y = raster.top - raster.cell_y * static_cast<double>(r);
      cells.addArea(
          std::vector<Point>{{x, y - raster.cell_y}, {x + raster.cell_x, y - raster.cell_y}, {x + raster.cell_x, y}, {x, y}});
    }
  }
  return cells;
}

TEST(CoverageTest, FractionsAreThoseOfIntersectingEveryCell) {
  const auto raster = emptyGrid(14, 11);
  const auto cells = cellsOf(raster);
  Random random(5);
  for (int turn = 0; turn < 20; ++turn) {
    SCOPED_TRACE(turn);
    const auto area = star(random, {random.uniform() * 22 - 3, random.uniform() * 21}, 1 + 8 * random.uniform());
    Progress progress;
    const auto pairs = overlaps(area, cells, progress);
    ASSERT_OK(pairs);
    std::vector<double> expected(raster.values.size(), 0);
    for (const auto& pair : *pairs) expected[pair.to] = pair.area / (raster.cell_x * raster.cell_y);

    const CellCoverage coverage(area, 0, raster);
    const auto& window = coverage.window();
    std::vector<double> found(raster.values.size(), 0);
    for (std::size_t r = 0; r < window.rows; r += 3) {  // in strips, as large rasters are
      const auto rows = std::min<std::size_t>(3, window.rows - r);
      const auto covered = coverage.rowsFrom(r, rows);
      for (std::size_t i = 0; i < covered.size(); ++i) {
        found[(window.first_row + r + i / window.columns) * raster.columns + window.first_column + i % window.columns] =
            covered[i];
      }
    }
    for (std::size_t i = 0; i < found.size(); ++i) EXPECT_NEAR(found[i], expected[i], 1e-9) << "cell " << i;
  }
}

TEST(CoverageTest, AnAreaOffTheRasterHasNoCells) {
  Geometries areas;
  areas.addArea(std::vector<Point>{{100, 100}, {110, 100}, {110, 110}});
  areas.addNone();
  Progress progress;
  const auto found = zonalStatistics(areas, emptyGrid(4, 4), {}, progress);
  ASSERT_OK(found);
  EXPECT_TRUE(std::isnan(found->mean[0]));
  EXPECT_EQ(found->covered_cells[1], 0);
  EXPECT_TRUE(std::isnan(found->missing_share[1]));
}

/// By hand: four cells 1, 2, 3, 4 in a row, of which the area covers 1, 1, 1 and a half.
TEST(CoverageTest, QuantilesAndSharesFollowTheWeights) {
  Raster raster;
  raster.columns = 4;
  raster.rows = 1;
  raster.top = 1;
  raster.values = {1, 2, 3, 4};
  Geometries areas;
  areas.addArea(std::vector<Point>{{0, 0}, {3.5, 0}, {3.5, 1}, {0, 1}});
  areas.addArea(std::vector<Point>{{0, 0}, {4, 0}, {4, 1}, {0, 1}});
  Progress progress;
  const auto found = zonalStatistics(areas, raster, {.quantiles = {0, 0.9, 1}, .share_above = {2, 4}}, progress);
  ASSERT_OK(found);
  EXPECT_EQ(found->median[0], 2) << "1.75 of 3.5 is reached within the second cell";
  EXPECT_EQ(found->median[1], 2.5) << "2 of 4 is reached exactly at the end of the second";
  EXPECT_EQ(found->quantiles[0][0], 1);
  EXPECT_EQ(found->quantiles[1][0], 4);
  EXPECT_EQ(found->quantiles[2][0], 4);
  EXPECT_NEAR(found->share_above[0][0], 1.5 / 3.5, 1e-12);
  EXPECT_EQ(found->share_above[1][0], 0);
}

TEST(CoverageTest, ThreadsDoNotChangeAResultAndBadCallsAreRefused) {
  Random random(8);
  Geometries areas;
  for (int i = 0; i < 40; ++i) areas.addCopy(star(random, {random.uniform() * 20, random.uniform() * 20}, 4), 0);
  auto raster = emptyGrid(14, 11);
  for (auto& value : raster.values) value = static_cast<float>(random.normal());
  Progress one;
  Progress three(Progress::Sink(), std::stop_token(), 3);
  const auto a = zonalStatistics(areas, raster, {}, one);
  const auto b = zonalStatistics(areas, raster, {}, three);
  ASSERT_OK(a);
  ASSERT_OK(b);
  EXPECT_EQ(a->sd, b->sd);
  EXPECT_EQ(a->median, b->median);
  EXPECT_FALSE(zonalStatistics(areas, raster, {.quantiles = {1.5}, .share_above = {}}, one).ok());
  EXPECT_FALSE(zonalStatistics(areas, Raster{}, {}, one).ok());
}

}  // namespace
}  // namespace leeward::analysis
