// Degenerate input, method by method: no rows, all at one place, one area, islands, no exposure, no events, constants, missing values, areas without
// size. What must come out is said by the definitions (the headers), not by what the code happens to do.
#include <cmath>

#include "analysis/overlay/apportion.h"
#include "analysis/overlay/locate.h"
#include "analysis/overlay/zonal.h"
#include "analysis/patterns/adjusted_p.h"
#include "analysis/patterns/contiguity.h"
#include "analysis/patterns/distance_neighbours.h"
#include "analysis/patterns/global_patterns.h"
#include "analysis/patterns/local_patterns.h"
#include "analysis/rates/classes.h"
#include "analysis/rates/compare.h"
#include "analysis/rates/empirical_bayes.h"
#include "analysis/rates/intervals.h"
#include "analysis/regression/count_regression.h"
#include "analysis/scans/scan.h"
#include "analysis/sightings/clusters.h"
#include "analysis/sightings/hierarchy.h"
#include "analysis/surfaces/bandwidth.h"
#include "analysis/surfaces/density.h"
#include "shared/base/missing.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

const std::vector<Point> kNowhereAtAll = {};
const std::vector<Point> kOneSpot(12, Point{500, 500});
const std::vector<Point> kLost(6, Point{kNan, kNan});

Neighbours chainOf(std::size_t rows) {
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  for (std::size_t i = 0; i + 1 < rows; ++i) pairs.emplace_back(static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(i + 1));
  return Neighbours::fromPairs(rows, pairs);
}
Neighbours islands(std::size_t rows) { return Neighbours::fromPairs(rows, {}); }

bool allNan(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isnan(value); });
}

/// A square, or with side 0 a ring without size.
void addSizedSquare(Geometries& areas, double x, double y, double side) { areas.addArea(std::vector<Point>{{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}, {x, y}}); }

TEST(Degenerate, ClustersByDensity) {
  Progress progress;
  const ClusterRequest request{.radius_m = 50, .at_least = 5, .days = {}};
  const auto none = findClusters(kNowhereAtAll, {}, request, progress);
  ASSERT_OK(none);
  EXPECT_TRUE(none->cluster.empty() && none->summary.empty());
  const auto spot = findClusters(kOneSpot, {}, request, progress);  // each has twelve within reach, itself counted: one cluster of cores
  ASSERT_OK(spot);
  ASSERT_EQ(spot->summary.size(), 1U);
  EXPECT_EQ(spot->summary[0].cores, 12U);
  const auto lost = findClusters(kLost, {}, request, progress);
  ASSERT_OK(lost);
  EXPECT_TRUE(lost->summary.empty());
  for (const auto role : lost->role) EXPECT_EQ(role, ClusterRole::Alone);
  const auto one = findClusters(std::vector<Point>{{1, 1}}, {}, {.radius_m = 1, .at_least = 1, .days = {}}, progress);  // N = 1 counts the point itself
  ASSERT_OK(one);
  EXPECT_EQ(one->summary.size(), 1U);
}

TEST(Degenerate, ClustersByHierarchy) {
  Progress progress;
  for (const auto& points : {kNowhereAtAll, kLost, std::vector<Point>{{1, 1}}}) {
    const auto found = findHierarchy(points, 5, progress);
    ASSERT_OK(found);
    EXPECT_EQ(found->cluster.size(), points.size());
    for (const auto cluster : found->cluster) EXPECT_EQ(cluster, -1);
  }
  const auto spot = findHierarchy(kOneSpot, 5, progress);  // infinitely dense: the one case in which all points are a cluster
  ASSERT_OK(spot);
  for (const auto cluster : spot->cluster) EXPECT_EQ(cluster, 0);
}

TEST(Degenerate, Neighbours) {
  Progress progress;
  const auto nobody = contiguity(Geometries{}, {}, progress);
  ASSERT_OK(nobody);
  EXPECT_EQ(nobody->neighbours.size(), 0U);
  Geometries areas;
  addSizedSquare(areas, 0, 0, 10), addSizedSquare(areas, 10, 0, 10), addSizedSquare(areas, 5, 5, 0), addSizedSquare(areas, 100, 100, 10);
  for (const auto touch : {Touch::Queen, Touch::Rook}) {
    const auto found = contiguity(areas, {.touch = touch}, progress);
    ASSERT_OK(found);
    EXPECT_TRUE(std::ranges::equal(found->neighbours.of(0), std::vector<std::uint32_t>{1}));
    EXPECT_TRUE(std::ranges::any_of(islandsOf(found->neighbours), [](std::size_t row) { return row == 3; }));
    EXPECT_TRUE(touch == Touch::Queen || found->neighbours.of(2).empty()) << "what has no size shares no length";
  }
  const auto alone = nearestNeighbours(std::vector<Point>{{0, 0}}, 3, progress);
  ASSERT_OK(alone);
  EXPECT_EQ(alone->links(), 0U);
  const auto spot = nearestNeighbours(kOneSpot, 2, progress);  // at one place the lowest rows are nearest
  ASSERT_OK(spot);
  EXPECT_TRUE(std::ranges::equal(spot->of(5), std::vector<std::uint32_t>{0, 1}));
  const auto lost = neighboursWithin(kLost, 10, progress);
  ASSERT_OK(lost);
  EXPECT_EQ(lost->links(), 0U);
}

TEST(Degenerate, PatternsSayWhyThereIsNothingToSay) {
  Progress progress;
  struct Case {
    const char* what;
    std::vector<double> values;
    analysis::Neighbours neighbours;
  };
  const std::vector<Case> cases = {{"no areas", {}, islands(0)},
                                   {"one area", {3}, islands(1)},
                                   {"islands alone", {1, 2, 3, 4, 5, 6}, islands(6)},
                                   {"no value", std::vector<double>(6, kNan), chainOf(6)},
                                   {"all zero", std::vector<double>(6, 0), chainOf(6)},
                                   {"one constant", std::vector<double>(6, 0.1), chainOf(6)}};
  for (const auto& one : cases) {
    SCOPED_TRACE(one.what);
    for (const auto& found : {moran(one.values, one.neighbours), geary(one.values, one.neighbours), generalG(one.values, one.neighbours)}) {
      ASSERT_OK(found);
      EXPECT_FALSE(found->undefined.empty());
      EXPECT_TRUE(std::isnan(found->statistic) && std::isnan(found->variance) && std::isnan(found->z) && std::isnan(found->p));
    }
    const auto local = localPatterns(one.values, one.neighbours, {.permutations = 99}, progress);
    ASSERT_OK(local);
    EXPECT_EQ(local->p.size(), one.values.size());
    EXPECT_TRUE(allNan(local->moran) && allNan(local->gi) && allNan(local->gstar) && allNan(local->p));
  }
  EXPECT_TRUE(allNan(adjustedP(std::vector<double>{kNan, kNan})));
  EXPECT_TRUE(adjustedP({}).empty());
}

TEST(Degenerate, RatesOnOneFooting) {
  const auto nothing = standardisedRates(std::vector<double>{1, 2}, std::vector<double>{0, 0});
  ASSERT_OK(nothing);
  EXPECT_TRUE(allNan(*nothing));
  const auto no_event = standardisedRates(std::vector<double>{0, 0}, std::vector<double>{5, 9});  // all alike, and no spread to measure by
  ASSERT_OK(no_event);
  EXPECT_TRUE(allNan(*no_event));
  const auto found = standardisedRates(std::vector<double>{1, 2, kNan, 5}, std::vector<double>{10, 0, 10, 40});
  ASSERT_OK(found);
  EXPECT_TRUE(std::isfinite((*found)[0]) && std::isnan((*found)[1]) && std::isnan((*found)[2]) && std::isfinite((*found)[3]));
}

TEST(Degenerate, Scans) {
  Progress progress;
  ScanRequest request;
  request.replicates = 19;
  const auto scan = [&](std::size_t places, std::vector<double> events, std::vector<double> exposure, Point at = {0, 0}) {
    ScanAreas areas;
    for (std::size_t i = 0; i < places; ++i) areas.places.push_back({at.x + 100 * static_cast<double>(i), at.y});
    areas.events = std::move(events), areas.exposure = std::move(exposure);
    return scanAreas(areas, request, progress);
  };
  EXPECT_EQ(scan(3, {0, 0, 0}, {0, 0, 0}).problem().code, ProblemCode::BadData);
  EXPECT_EQ(scan(3, {1, 0, 0}, {0, 5, 5}).problem().code, ProblemCode::BadData) << "an event where nothing was exposed";
  EXPECT_FALSE(scan(3, {kNan, 0, 0}, {5, 5, 5}).ok());
  EXPECT_FALSE(scan(3, {1, 0, 0}, {5, 5, 5}, {kNan, 0}).ok());
  for (const auto& found : {scan(0, {}, {}), scan(1, {4}, {5}), scan(3, {0, 0, 0}, {5, 5, 5}), scan(4, {2, 2, 2, 2}, {5, 5, 5, 5})}) {  // no place; one place; no event; one rate everywhere
    ASSERT_OK(found);
    EXPECT_TRUE(found->clusters.empty());
  }
  ScanAreas spot;  // all at one place: no window ends before it holds all, so none is small enough
  spot.places.assign(4, {7, 7}), spot.events = {5, 0, 0, 0}, spot.exposure = {5, 5, 5, 5};
  const auto found = scanAreas(spot, request, progress);
  ASSERT_OK(found);
  EXPECT_TRUE(found->clusters.empty());
}

TEST(Degenerate, RatesAndIntervals) {
  const std::vector<double> none = {0, 0, 0}, exposure = {10, 20, 0}, nothing = {0, 0, 0};
  EXPECT_EQ(marshallGlobal(none, nothing).problem().code, ProblemCode::BadData);
  const auto smooth = marshallGlobal(none, exposure);
  ASSERT_OK(smooth);
  EXPECT_EQ(smooth->smoothed, (std::vector<double>{0, 0, 0}));
  EXPECT_TRUE(std::isnan(smooth->raw[2]));
  const auto local = marshallLocal(std::vector<double>{1, 2, 0}, exposure, islands(3));  // an island knows itself alone, an island without exposure nothing
  ASSERT_OK(local);
  EXPECT_NEAR(local->smoothed[0], 0.1, 1e-15);
  EXPECT_TRUE(std::isnan(local->smoothed[2]));
  const auto gamma = gammaPoisson(none, exposure, GammaFit::Moments, 0.9);
  ASSERT_OK(gamma);
  EXPECT_EQ(gamma->low[0], 0);
  EXPECT_NEAR(gamma->high[0], -std::log(0.05) / 30, 1e-12) << "Garwood's upper limit of no event in an exposure of 30";
  EXPECT_EQ(garwood(0, 0.95).low, 0);
  EXPECT_NEAR(garwood(0, 0.95).high, -std::log(0.025), 1e-12);
  EXPECT_EQ(wilson(0, 10, 0.95).low, 0);
  EXPECT_EQ(wilson(10, 10, 0.95).high, 1);
  EXPECT_TRUE(std::isnan(wilson(0, 0, 0.95).high));
}

TEST(Degenerate, Regression) {
  Progress progress;
  const auto fit = [&](std::vector<double> events, std::vector<double> exposure, std::vector<double> column) {
    const std::vector<ExplainingColumn> columns = {{"x", std::move(column)}};
    return countRegression({.events = events, .exposure = exposure, .columns = columns}, progress);
  };
  const std::vector<double> x = {1, 2, 3, 4};
  EXPECT_EQ(fit({}, {}, {}).problem().code, ProblemCode::BadData);
  EXPECT_EQ(fit({0, 0, 0, 0}, {1, 1, 1, 1}, x).problem().code, ProblemCode::BadData) << "no event at all";
  EXPECT_EQ(fit({1, 2, 3, 4}, {1, 1, 1, 1}, {5, 5, 5, 5}).problem().code, ProblemCode::BadData) << "a constant";
  EXPECT_EQ(fit({1, 2, 3, 4}, {0, 1, 1, 1}, x).problem().code, ProblemCode::BadData) << "an event without exposure";
  EXPECT_EQ(fit({1, 2, 3, 4}, {1, 1, 1, 1}, {kNan, kNan, kNan, 1}).problem().code, ProblemCode::BadData) << "one row for two terms";
}

TEST(Degenerate, Surfaces) {
  Progress progress;
  Raster raster;
  raster.columns = raster.rows = 8, raster.cell_x = raster.cell_y = 50, raster.top = 400;
  const DensityWindow window{.box = {.min_x = 0, .min_y = 0, .max_x = 400, .max_y = 400}};
  for (const auto& points : {kNowhereAtAll, kLost}) {
    ASSERT_OK(fillDensity(points, {.kernel = Kernel(KernelForm::Gaussian, 100)}, window, raster, progress));
    for (const float value : raster.values) EXPECT_EQ(value, 0);
  }
  EXPECT_FALSE(fillDensity(kOneSpot, {.kernel = Kernel(KernelForm::Gaussian, 0)}, window, raster, progress).ok());
  EXPECT_TRUE(std::isnan(scottBandwidths(kNowhereAtAll).first));
  EXPECT_EQ(likelihoodBandwidth(kOneSpot, 1, progress).problem().code, ProblemCode::BadData);
  EXPECT_EQ(bermanDiggleBandwidth(kOneSpot, window.box, 1, progress).ok(), bermanDiggleBandwidth(kOneSpot, window.box, 2, progress).ok());
  EXPECT_EQ(bermanDiggleBandwidth(kNowhereAtAll, window.box, 1, progress).problem().code, ProblemCode::BadData);
}

TEST(Degenerate, Overlays) {
  Progress progress;
  Geometries from, flat, to;
  addSizedSquare(from, 0, 0, 10), addSizedSquare(flat, 3, 3, 0), addSizedSquare(to, 0, 0, 10), addSizedSquare(to, 50, 50, 10);
  const auto shares = sharesByArea(from, to, progress);
  ASSERT_OK(shares);
  ApportionRequest request;
  request.counts.push_back({.name = "n", .values = {8}, .margins = {}});
  const auto found = apportion(*shares, 1, 2, request);
  ASSERT_OK(found);
  EXPECT_NEAR(found->counts[0].values[0], 8, 1e-12);
  EXPECT_TRUE(std::isnan(found->counts[0].values[1]) || found->counts[0].values[1] == 0) << "nothing lies over it";
  EXPECT_TRUE(sharesByArea(flat, to, progress).ok());
  EXPECT_TRUE(sharesByArea(Geometries{}, to, progress).ok());
  const auto lost = locate(kLost, {}, to, progress);
  ASSERT_OK(lost);

  Raster raster;
  raster.columns = raster.rows = 2, raster.cell_x = raster.cell_y = 5, raster.top = 10;
  raster.values = {1, 2, 3, std::numeric_limits<float>::quiet_NaN()};
  Geometries zones;
  addSizedSquare(zones, 0, 0, 10), addSizedSquare(zones, 500, 500, 10), addSizedSquare(zones, 2, 2, 0);
  const auto zonal = zonalStatistics(zones, raster, {}, progress);
  ASSERT_OK(zonal);
  EXPECT_NEAR(zonal->mean[0], 2, 1e-12) << "the cell without a value leaves both sums";
  EXPECT_TRUE(std::isnan(zonal->mean[1])) << "off the raster";
  EXPECT_TRUE(std::isnan(zonal->mean[2])) << "covers nothing";
}

TEST(Degenerate, Classes) {
  Progress progress;
  for (const auto by : {ClassesBy::Quantile, ClassesBy::Equal, ClassesBy::Natural}) {
    EXPECT_EQ(classLimits({}, 4, by, progress).problem().code, ProblemCode::BadData);
    EXPECT_EQ(classLimits(std::vector<double>{kNan, kNan}, 4, by, progress).problem().code, ProblemCode::BadData);
    const auto one = classLimits(std::vector<double>(9, 2.5), 4, by, progress);
    ASSERT_OK(one);
    EXPECT_EQ(one->counts, std::vector<std::size_t>{9}) << "equal values share a class";
    EXPECT_EQ(one->goodness_of_variance_fit, 1);
  }
}

}  // namespace
}  // namespace leeward::analysis
