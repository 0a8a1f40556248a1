/// How long clusters of differing density, scans and densities take on invented places.
///   leeward-scans-bench [THREADS=2]
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <string>

#include "analysis/scans/scan.h"
#include "analysis/sightings/hierarchy.h"
#include "analysis/surfaces/density.h"
#include "shared/base/heap.h"
#include "shared/base/random.h"

using namespace leeward;

namespace {

/// A fifth spread over 40 km, the rest normal about 2,000 spots.
std::vector<Point> reports(std::size_t count) {
  Random random(4);
  struct Spot {
    Point p;
    double deviation;
  };
  std::vector<Spot> spots;
  for (int i = 0; i < 2000; ++i) spots.push_back({{40'000 * random.uniform(), 40'000 * random.uniform()}, 30.0 * (1 + random.below(12))});
  std::vector<Point> points;
  for (std::size_t i = 0; i < count; ++i) {
    const auto& spot = spots[random.below(2000)];
    if (i % 5 == 0) points.push_back({40'000 * random.uniform(), 40'000 * random.uniform()});
    else points.push_back({spot.p.x + spot.deviation * random.normal(), spot.p.y + spot.deviation * random.normal()});
  }
  return points;
}

/// Blocks of about 100 m with 5 to 120 doors and a find at one door in a hundred, twice as many about one corner.
analysis::ScanAreas blocks(std::size_t count) {
  Random random(1);
  analysis::ScanAreas areas;
  const auto side = static_cast<std::size_t>(std::sqrt(static_cast<double>(count))) + 1;
  for (std::size_t i = 0; i < count; ++i) {
    const Point p{100.0 * static_cast<double>(i % side) + 80 * random.uniform(), 100.0 * static_cast<double>(i / side) + 80 * random.uniform()};
    const double doors = 5 + random.below(116), rate = p.x < 1500 && p.y < 1500 ? 0.02 : 0.01;
    areas.places.push_back(p);
    areas.exposure.push_back(doors);
    areas.events.push_back(random.poisson(doors * rate));
  }
  return areas;
}

template <class Work>
void time(const std::string& what, const Work& work) {
  const auto start = std::chrono::steady_clock::now();
  const auto cpu = std::clock();
  if (!work()) std::cout << "failed: ";
  std::cout << what << ": " << std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count() << " s, of processors "
            << static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC << " s\n";
}

}  // namespace

int main(int argc, char** argv) {
  useLargePages();
  Progress progress(Progress::Sink{}, std::stop_token{}, argc > 1 ? static_cast<unsigned>(std::atoi(argv[1])) : 2);
  for (const std::size_t count : {50'000, 500'000}) {
    const auto points = reports(count);
    time("hierarchy, " + std::to_string(count) + " points, N = 10", [&] { return analysis::findHierarchy(points, 10, progress).ok(); });
    Raster raster{.columns = 4000, .rows = 4000, .left = 0, .top = 40'000, .cell_x = 10, .cell_y = 10};
    time("density, " + std::to_string(count) + " points, 16 M cells of 10 m, gaussian of 100 m", [&] {
      return analysis::fillDensity(points, {analysis::Kernel(analysis::KernelForm::Gaussian, 100), analysis::EdgeCorrection::Place}, {{0, 0, 40'000, 40'000}}, raster, progress).ok();
    });
  }
  for (const std::size_t count : {2'400, 24'000}) {
    const auto areas = blocks(count);
    time("scan, " + std::to_string(count) + " areas, circles, 999 replicates", [&] { return analysis::scanAreas(areas, {}, progress).ok(); });
  }
  const auto areas = blocks(2'400);
  time("scan, 2400 areas, 47 ellipses, 999 replicates", [&] { return analysis::scanAreas(areas, {.ellipses = true}, progress).ok(); });
  return 0;
}
