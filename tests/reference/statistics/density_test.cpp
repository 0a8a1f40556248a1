// Kernel density against closed forms, quadrature and R 4.2.2 (spatstat.explore 3.0.6) on an open point set (../shared/checks/15_kde_ripley.json).
#include "analysis/surfaces/density.h"

#include "analysis/surfaces/bandwidth.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

std::vector<Point> seedlings(const std::filesystem::path& folder) {
  const auto file = folder / "data" / "pts_redwoodfull.csv";
  const auto x = test::numbers(file, "x"), y = test::numbers(file, "y");
  std::vector<Point> points;
  for (std::size_t i = 0; i < x.size(); ++i) points.push_back({x[i], y[i]});
  return points;
}

const Bbox kUnitSquare{0, 0, 1, 1};
const std::vector<std::pair<EdgeCorrection, const char*>> kCorrections = {{EdgeCorrection::None, "none"}, {EdgeCorrection::Place, "uniform"}, {EdgeCorrection::Point, "diggle"}};

void expectDensity(const std::filesystem::path& folder, const std::string& id, const Kernel& kernel, double corrected) {
  const auto one = test::checkCase(folder / "15_kde_ripley.json", id);
  const auto at = one.at("params").at("at");
  const auto x = test::numbers(at.at("x")), y = test::numbers(at.at("y"));
  std::vector<Point> places;
  for (std::size_t i = 0; i < x.size(); ++i) places.push_back({x[i], y[i]});
  const auto points = seedlings(folder);
  for (const auto& [edge, name] : kCorrections) {
    const auto density = densityAt(points, places, {kernel, edge}, kUnitSquare);
    const auto expected = test::numbers(one.at("expected").at(name));
    for (std::size_t i = 0; i < places.size(); ++i) test::expectClose(density[i], expected[i], edge == EdgeCorrection::None ? 1e-10 : corrected, name);
  }
}

TEST(DensityReference, BothKernelsAndBothCorrectionsAtFixedPlaces) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  expectDensity(folder, "redwoodfull_gauss", Kernel(KernelForm::Gaussian, 0.05), 1e-10);
  expectDensity(folder, "redwoodfull_quartic", Kernel(KernelForm::Quartic, 0.15), 1e-6);
}

TEST(DensityReference, EachPointForetoldByTheOthers) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto expected = test::checkCase(folder / "15_kde_ripley.json", "redwoodfull_loo").at("expected");
  const auto points = seedlings(folder);
  const Kernel kernel(KernelForm::Gaussian, 0.05);
  auto density = densityAt(points, points, {kernel}, kUnitSquare);
  for (auto& one : density) one -= kernel.at(0);
  const auto first = test::numbers(expected.at("first5"));
  for (std::size_t i = 0; i < first.size(); ++i) test::expectClose(density[i], first[i], 1e-6);
  test::expectClose(std::accumulate(density.begin(), density.end(), 0.0), expected.at("sum"), 1e-6);
}

TEST(DensityReference, ARasterHoldsTheDensityAtItsCentres) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto points = seedlings(folder);
  for (const Kernel& kernel : {Kernel(KernelForm::Gaussian, 0.05), Kernel(KernelForm::Quartic, 0.15)}) {
    for (const auto& [edge, name] : kCorrections) {
      Raster raster{.columns = 40, .rows = 50, .left = 0, .top = 1, .cell_x = 0.025, .cell_y = 0.02};
      Progress progress(Progress::Sink{}, std::stop_token{}, 2);
      ASSERT_OK(fillDensity(points, {kernel, edge}, {kUnitSquare}, raster, progress));
      std::vector<Point> centres;
      for (std::size_t row = 0; row < 50; ++row) {
        for (std::size_t column = 0; column < 40; ++column) centres.push_back({(static_cast<double>(column) + 0.5) * 0.025, 1 - (static_cast<double>(row) + 0.5) * 0.02});
      }
      const auto exact = densityAt(points, centres, {kernel, edge}, kUnitSquare);
      // Single precision, and what lies beyond six bandwidths.
      for (std::size_t i = 0; i < exact.size(); ++i) EXPECT_NEAR(raster.values[i], exact[i], 2e-7 * exact[i] + 2e-5) << name << " " << i;
    }
  }
}

TEST(DensityReference, BandwidthsAreThoseOfAnotherImplementation) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  const auto expected = test::checkCase(folder / "15_kde_ripley.json", "redwoodfull_bw").at("expected");
  const auto points = seedlings(folder);
  const auto scott = scottBandwidths(points);
  test::expectClose(scott.first, expected.at("bw_scott")[0], 1e-9);
  test::expectClose(scott.second, expected.at("bw_scott")[1], 1e-9);
  Progress progress;
  const auto berman = bermanDiggleBandwidth(points, kUnitSquare, 1, progress);
  ASSERT_OK(berman);
  test::expectClose(*berman, expected.at("bw_diggle"), 0.05);
}

}  // namespace
}  // namespace leeward::analysis
