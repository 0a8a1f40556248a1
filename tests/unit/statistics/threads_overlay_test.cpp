// The same bits for one thread and for several, of methods that draw nothing but share their work out: overlays, neighbours, classes, clusters in time.
#include <bit>

#include "analysis/overlay/apportion.h"
#include "analysis/overlay/locate.h"
#include "analysis/overlay/zonal.h"
#include "analysis/patterns/distance_neighbours.h"
#include "analysis/rates/classes.h"
#include "analysis/scans/scan.h"
#include "analysis/sightings/clusters.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

/// What `work` gives on one thread and on five.
template <class Work>
auto onceAndMany(const Work& work) {
  Progress one(Progress::Sink{}, std::stop_token{}, 1), many(Progress::Sink{}, std::stop_token{}, 5);
  return std::pair{work(one), work(many)};
}

std::vector<std::uint64_t> bitsOf(const std::vector<double>& values) {
  std::vector<std::uint64_t> bits;
  for (const double value : values) bits.push_back(std::bit_cast<std::uint64_t>(value));
  return bits;
}

/// side x side slanted tiles of `size` metres.
Geometries slantedTiles(std::size_t side, double size, double slant) {
  Geometries areas;
  for (std::size_t i = 0; i < side * side; ++i) {
    const double x = size * static_cast<double>(i % side), y = size * static_cast<double>(i / side);
    const auto at = [&](double dx, double dy) { return Point{x + dx + slant * (y + dy), y + dy}; };
    areas.addArea(std::vector<Point>{at(0, 0), at(size, 0), at(size, size), at(0, size), at(0, 0)});
  }
  return areas;
}

std::vector<Point> scattered(std::size_t count, double extent) {
  Random random(12);
  std::vector<Point> points;
  for (std::size_t i = 0; i < count; ++i) points.push_back({extent * random.uniform() * random.uniform(), extent * random.uniform()});
  return points;
}

TEST(ThreadsOverlay, SharesOfAreas) {
  const auto from = slantedTiles(20, 57, 0.1), to = slantedTiles(15, 71, -0.05);
  const auto points = scattered(3000, 1100);
  std::vector<double> weights;
  for (std::size_t i = 0; i < points.size(); ++i) weights.push_back(static_cast<double>(i % 7) + 0.1);
  const auto values = [](const AreaShares& shares) {
    std::vector<double> all;
    for (const auto& one : shares.shares) all.insert(all.end(), {static_cast<double>(one.from), static_cast<double>(one.to), one.of_source, one.area, one.weight});
    all.insert(all.end(), shares.source_uncovered.begin(), shares.source_uncovered.end());
    all.insert(all.end(), shares.target_covered.begin(), shares.target_covered.end());
    return bitsOf(all);
  };
  const auto [one, many] = onceAndMany([&](Progress& progress) { return values(*sharesByArea(from, to, progress)); });
  EXPECT_EQ(one, many);
  const auto [by_one, by_many] = onceAndMany([&](Progress& progress) { return values(sharesByPoints(from, to, points, progress, weights)->shares); });
  EXPECT_EQ(by_one, by_many);
}

TEST(ThreadsOverlay, PointsInAreas) {
  const auto areas = slantedTiles(20, 57, 0.1);
  const auto points = scattered(4000, 1100);
  std::vector<double> off;
  for (std::size_t i = 0; i < points.size(); ++i) off.push_back(i % 3 == 0 ? 0 : 10 + static_cast<double>(i % 40));
  const auto [one, many] = onceAndMany([&](Progress& progress) {
    const auto found = *locate(points, off, areas, progress);
    std::vector<double> all;
    for (const auto& located : found) all.insert(all.end(), {static_cast<double>(located.area), located.chance, static_cast<double>(located.second), located.second_chance});
    return bitsOf(all);
  });
  EXPECT_EQ(one, many);
}

TEST(ThreadsOverlay, StatisticsOfCells) {
  Raster raster;
  raster.columns = raster.rows = 300, raster.cell_x = raster.cell_y = 4, raster.top = 1200;
  Random random(13);
  for (std::size_t i = 0; i < 90'000; ++i) raster.values.push_back(i % 50 == 0 ? std::numeric_limits<float>::quiet_NaN() : static_cast<float>(random.normal()));
  const auto areas = slantedTiles(20, 57, 0.1);
  const auto [one, many] = onceAndMany([&](Progress& progress) {
    const auto found = *zonalStatistics(areas, raster, {.quantiles = {0.1, 0.9}, .share_above = {0.5}}, progress);
    std::vector<double> all;
    for (const auto* list : {&found.mean, &found.min, &found.max, &found.sd, &found.median, &found.quantiles[0], &found.quantiles[1], &found.share_above[0], &found.covered_cells, &found.missing_share}) all.insert(all.end(), list->begin(), list->end());
    return bitsOf(all);
  });
  EXPECT_EQ(one, many);
}

TEST(ThreadsOverlay, NeighboursByDistance) {
  auto points = scattered(3000, 1000);
  for (std::size_t i = 0; i < 500; ++i) points.push_back({10.0 * static_cast<double>(i % 25), 10.0 * static_cast<double>(i / 25)});  // a lattice, for ties
  const auto lists = [](const Neighbours& neighbours) {
    std::vector<std::vector<std::uint32_t>> all;
    for (std::size_t i = 0; i < neighbours.size(); ++i) all.emplace_back(neighbours.of(i).begin(), neighbours.of(i).end());
    return all;
  };
  const auto [one, many] = onceAndMany([&](Progress& progress) { return lists(*nearestNeighbours(points, 6, progress)); });
  EXPECT_EQ(one, many);
  const auto [within_one, within_many] = onceAndMany([&](Progress& progress) { return lists(*neighboursWithin(points, 20, progress)); });
  EXPECT_EQ(within_one, within_many);
}

TEST(ThreadsOverlay, Classes) {
  Random random(14);
  std::vector<double> values;
  for (std::size_t i = 0; i < 5000; ++i) values.push_back(random.gamma(2, 3));
  for (const auto by : {ClassesBy::Quantile, ClassesBy::Equal, ClassesBy::Natural}) {
    const auto [one, many] = onceAndMany([&](Progress& progress) {
      auto found = *classLimits(values, 6, by, progress);
      found.limits.push_back(found.goodness_of_variance_fit);
      return bitsOf(found.limits);
    });
    EXPECT_EQ(one, many);
  }
}

TEST(ThreadsOverlay, ClustersInSpaceAndTime) {
  const auto points = scattered(4000, 1500);
  std::vector<double> days;
  for (std::size_t i = 0; i < points.size(); ++i) days.push_back(static_cast<double>(i * 7919 % 365));
  const auto [one, many] = onceAndMany([&](Progress& progress) { return std::pair{findClusters(points, days, {.radius_m = 40, .at_least = 4, .days = 30}, progress)->cluster, findClusters(points, {}, {.radius_m = 20, .at_least = 5, .days = {}}, progress)->cluster}; });
  EXPECT_EQ(one, many);
}

TEST(ThreadsOverlay, ScansForLowRates) {
  Random random(15);
  ScanAreas areas;
  for (const Point p : scattered(300, 1000)) {
    areas.places.push_back(p);
    areas.exposure.push_back(5 + random.below(30));
    areas.events.push_back(random.poisson(0.2 * areas.exposure.back()));
  }
  const auto [one, many] = onceAndMany([&](Progress& progress) { return bitsOf(scanAreas(areas, {.rates = ScanRates::Low, .replicates = 199}, progress)->maxima); });
  EXPECT_EQ(one, many);
}

}  // namespace
}  // namespace leeward::analysis
