// Exact-coverage statistics. Small grid: R terra 1.7.3 extract(exact = TRUE) and GEOS intersections, which agree; tolerance
// 1e-9 relative. Luxembourg: terra on its example raster, coordinates of the areas rounded to 9 decimals, 1e-6 relative.
#include "analysis/overlay/zonal.h"

#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

/// 4 rows of 6 cells of 10 x 10, left bottom corner at (0, 0), values 1 to 24 row by row from the top left.
Raster grid() {
  Raster raster;
  raster.columns = 6;
  raster.rows = 4;
  raster.top = 40;
  raster.cell_x = raster.cell_y = 10;
  for (int i = 1; i <= 24; ++i) raster.values.push_back(static_cast<float>(i));
  return raster;
}

Geometries zones() {
  Geometries areas;
  areas.addArea(std::vector<Point>{{5, 5}, {35, 5}, {35, 25}, {5, 25}});
  areas.addArea(std::vector<Point>{{0, 0}, {60, 0}, {60, 40}});
  areas.addArea(std::vector<Point>{{12, 12}, {18, 12}, {18, 18}, {12, 18}});
  areas.startRow(GeometryKind::Areas);
  areas.addRing(std::vector<Point>{{10, 0}, {50, 0}, {50, 40}, {10, 40}}, false);
  areas.addRing(std::vector<Point>{{20, 10}, {40, 10}, {40, 30}, {20, 30}}, true);
  areas.addArea(std::vector<Point>{{50, 30}, {80, 30}, {80, 60}, {50, 60}});
  return areas;
}

struct Expected {
  double cells, mean, min, max, variance;
};

TEST(ZonalReference, StatisticsOfFiveZonesAreThoseOfTwoOtherLibraries) {
  Progress progress;
  const auto found = zonalStatistics(zones(), grid(), {}, progress);
  ASSERT_OK(found);
  const std::vector<Expected> expected = {{6, 14.5, 7, 22, 18.9166666666667},
                                          {12, 17.2222222222222, 5, 24, 25.6172839506173},
                                          {0.36, 14, 14, 14, 0},
                                          {12, 12.5, 2, 23, 58.5833333333333},
                                          {1, 6, 6, 6, 0}};
  for (std::size_t i = 0; i < expected.size(); ++i) {
    SCOPED_TRACE(i);
    expectClose(found->covered_cells[i], expected[i].cells, 1e-9);
    expectClose(found->mean[i], expected[i].mean, 1e-9);
    EXPECT_EQ(found->min[i], expected[i].min);
    EXPECT_EQ(found->max[i], expected[i].max);
    expectClose(found->sd[i] * found->sd[i], expected[i].variance, 1e-9);
    EXPECT_NEAR(found->missing_share[i], 0, 1e-12);
  }
}

TEST(ZonalReference, ACellWithoutAValueLeavesBothSums) {
  auto raster = grid();
  raster.values[1 * 6 + 2] = std::numeric_limits<float>::quiet_NaN();
  Progress progress;
  const auto found = zonalStatistics(zones(), raster, {}, progress);
  ASSERT_OK(found);
  expectClose(found->mean[0], 15, 1e-9);
  expectClose(found->covered_cells[0], 5.5, 1e-9);
  expectClose(1 - found->missing_share[0], 0.916666666666667, 1e-9);
}

// Luxembourg's cantons on an elevation raster in degrees (weights are shares of cells, as there). The inputs are another
// package's (GPL) and stay outside; R terra 1.7.3 extract(exact = TRUE), cells without a value dropped.
TEST(ZonalReference, MeanElevationsOfCantonsAreThoseOfAnotherLibrary) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto expected = test::checkCase(folder / "11_zonal.json", "lux_elev").at("expected");
  Progress progress;
  LayerRequest request;
  request.source = (folder / "data/lux.geojson").string();
  const auto cantons = readLayer(request, progress);
  ASSERT_OK(cantons);
  const auto raster = readRaster(folder / "data/lux_elev.tif", progress);
  ASSERT_OK(raster);
  const auto found = zonalStatistics(cantons->geometry, *raster, {}, progress);
  ASSERT_OK(found);
  const auto mean = test::numbers(expected.at("mean"));
  const auto cells = test::numbers(expected.at("covered_cells"));
  ASSERT_EQ(found->mean.size(), mean.size());
  for (std::size_t i = 0; i < mean.size(); ++i) {
    expectClose(found->mean[i], mean[i], 1e-6, "canton " + std::to_string(i));
    expectClose(found->covered_cells[i], cells[i], 1e-6, "canton " + std::to_string(i));
  }
}

}  // namespace
}  // namespace leeward::analysis
