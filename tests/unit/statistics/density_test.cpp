#include "analysis/surfaces/density.h"

#include "analysis/surfaces/bandwidth.h"
#include "shared/base/missing.h"
#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

std::vector<Point> spreadPoints(std::size_t count, std::uint64_t seed) {
  Random random(seed);
  std::vector<Point> points;
  for (std::size_t i = 0; i < count; ++i) points.push_back({1000 * random.uniform(), 600 * random.uniform()});
  return points;
}

Raster gridOf(double cell) {
  return {.columns = static_cast<std::size_t>(1000 / cell), .rows = static_cast<std::size_t>(600 / cell), .left = 0, .top = 600, .cell_x = cell, .cell_y = cell};
}

const Bbox kField{0, 0, 1000, 600};
const std::vector<Kernel> kKernels = {Kernel(KernelForm::Gaussian, 60), Kernel(KernelForm::Quartic, 150)};

Raster filled(const std::vector<Point>& points, const DensityRequest& request, double cell, const Geometries* areas = nullptr, unsigned threads = 2) {
  Raster raster = gridOf(cell);
  Progress progress(Progress::Sink{}, std::stop_token{}, threads);
  EXPECT_OK(fillDensity(points, request, {kField, areas}, raster, progress));
  return raster;
}

double volumeOf(const Raster& raster) {
  double sum = 0;
  for (const float value : raster.values) sum += std::isnan(value) ? 0 : value;
  return sum * raster.cell_x * raster.cell_y;
}

TEST(Density, AKernelsVolumeIsOneAndHalvesAreHalves) {
  for (const auto& kernel : kKernels) {
    EXPECT_NEAR(kernel.massOver({-1e4, -1e4, 1e4, 1e4}, {0, 0}), 1, 1e-12);
    EXPECT_NEAR(kernel.massOver({0, -1e4, 1e4, 1e4}, {0, 0}), 0.5, 1e-12);
    EXPECT_NEAR(kernel.massOver({0, -1e4, 1e4, 0}, {0, 0}), 0.25, 1e-12);
    EXPECT_EQ(kernel.massOver({1e5, 1e5, 2e5, 2e5}, {0, 0}), 0);
    // Parts add up.
    EXPECT_NEAR(kernel.massOver({-40, -10, 20, 70}, {0, 0}) + kernel.massOver({20, -10, 90, 70}, {0, 0}), kernel.massOver({-40, -10, 90, 70}, {0, 0}), 1e-12);
  }
}

TEST(Density, WithThePointsCorrectionEachPointCountsOne) {
  const auto points = spreadPoints(300, 2);
  for (const auto& kernel : kKernels) {
    EXPECT_NEAR(volumeOf(filled(points, {kernel, EdgeCorrection::Point}, 5)), 300, 0.1);
    EXPECT_LT(volumeOf(filled(points, {kernel, EdgeCorrection::None}, 5)), 290);
  }
}

TEST(Density, AreasAsWindowAgreeWithTheRectangleThatTheyFill) {
  Geometries halves;
  halves.addArea(std::vector<Point>{{0, 0}, {400, 0}, {400, 600}, {0, 600}});
  halves.addArea(std::vector<Point>{{400, 0}, {1000, 0}, {1000, 600}, {400, 600}});
  const auto points = spreadPoints(200, 3);
  for (const auto& kernel : kKernels) {
    for (const auto edge : {EdgeCorrection::Place, EdgeCorrection::Point}) {
      const auto exact = filled(points, {kernel, edge}, 10), summed = filled(points, {kernel, edge}, 10, &halves);
      for (std::size_t i = 0; i < exact.values.size(); ++i) ASSERT_NEAR(summed.values[i], exact.values[i], 2e-3 * exact.values[i] + 1e-9) << i;
    }
  }
}

TEST(Density, OutsideTheAreasThereIsNothing) {
  Geometries half;
  half.addArea(std::vector<Point>{{0, 0}, {500, 0}, {500, 600}, {0, 600}});
  const auto raster = filled(spreadPoints(50, 4), {kKernels[0], EdgeCorrection::Place}, 50, &half);
  EXPECT_FALSE(std::isnan(raster.at(3, 9)));
  EXPECT_TRUE(std::isnan(raster.at(3, 10)));
}

TEST(Density, NeitherThreadsNorOrderNorPlacelessPointsChangeAnything) {
  auto points = spreadPoints(2000, 5);
  const auto one = filled(points, {kKernels[0], EdgeCorrection::Place}, 4, nullptr, 1);
  EXPECT_EQ(one.values, filled(points, {kKernels[0], EdgeCorrection::Place}, 4, nullptr, 4).values);
  std::ranges::reverse(points);
  points.push_back({kNan, 5});
  EXPECT_EQ(one.values, filled(points, {kKernels[0], EdgeCorrection::Place}, 4).values);
}

TEST(Density, AShareIsOfThoseWhoWereThere) {
  const std::vector<Point> looks(40, Point{300, 300}), finds(10, Point{300, 300});
  auto above = filled(finds, {kKernels[1]}, 10);
  divideDensity(above, filled(looks, {kKernels[1]}, 10), kKernels[1], 1);
  EXPECT_NEAR(above.at(30, 30), 0.25, 1e-6);
  EXPECT_TRUE(std::isnan(above.at(5, 90)));
}

TEST(Density, NothingAndOnePointAreNoCrash) {
  EXPECT_EQ(volumeOf(filled({}, {kKernels[0]}, 10)), 0);
  EXPECT_NEAR(volumeOf(filled({{500, 300}}, {Kernel(KernelForm::Gaussian, 20)}, 5)), 1, 1e-6);
  Raster none;
  Progress progress;
  EXPECT_EQ(fillDensity({}, {kKernels[0]}, {kField}, none, progress).problem().code, ProblemCode::InvalidArgument);
  Raster raster = gridOf(10);
  EXPECT_EQ(fillDensity({}, {Kernel(KernelForm::Gaussian, 0)}, {kField}, raster, progress).problem().code, ProblemCode::InvalidArgument);
}

TEST(Density, ALikelyBandwidthIsThatOfTheHeapsAndIgnoresRepeatedReports) {
  // Points normal about twenty spots by 10 m: a bandwidth of that size foretells them best, not the spots' spread.
  Random random(6);
  std::vector<Point> points;
  for (int i = 0; i < 600; ++i) points.push_back({200.0 * (i % 5) + 10 * random.normal(), 200.0 * (i / 5 % 4) + 10 * random.normal()});
  Progress progress(Progress::Sink{}, std::stop_token{}, 2);
  const auto plain = likelihoodBandwidth(points, 1, progress);
  ASSERT_OK(plain);
  EXPECT_GT(*plain, 3);
  EXPECT_LT(*plain, 10);
  auto repeated = points;
  repeated.insert(repeated.end(), points.begin(), points.end());
  const auto twice = likelihoodBandwidth(repeated, 1, progress);
  ASSERT_OK(twice);
  EXPECT_NEAR(*twice, *plain, 0.02 * *plain);
  EXPECT_EQ(likelihoodBandwidth(std::vector<Point>(9, Point{1, 1}), 1, progress).problem().code, ProblemCode::BadData);
  EXPECT_EQ(bermanDiggleBandwidth(points, {0, 0, 0, 5}, 1, progress).problem().code, ProblemCode::BadData);
}

}  // namespace
}  // namespace leeward::analysis
