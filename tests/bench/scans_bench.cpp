/// How long clusters, scans and densities take on invented places, with the most memory held so far.
///   leeward-scans-bench [THREADS=2] [WORD]: with a word only what has it in its name
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <iostream>
#include <string>

#include <sys/resource.h>

#include "analysis/scans/scan.h"
#include "analysis/sightings/hierarchy.h"
#include "analysis/surfaces/density.h"
#include "shared/base/heap.h"
#include "tests/bench/invented.h"

using namespace leeward;

namespace {

std::string only;  ///< what is asked for

template <class Work>
void time(const std::string& what, const Work& work) {
  if (what.find(only) == std::string::npos) return;
  const auto start = std::chrono::steady_clock::now();
  const auto cpu = std::clock();
  if (!work()) std::cout << "failed: ";
  std::cout << what << ": " << std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count() << " s, of processors "
            << static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC << " s";
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  std::cout << ", at most " << used.ru_maxrss / 1024 << " MB" << std::endl;
}

}  // namespace

int main(int argc, char** argv) {
  useLargePages();
  Progress progress(Progress::Sink{}, std::stop_token{}, argc > 1 ? static_cast<unsigned>(std::atoi(argv[1])) : 2);
  if (argc > 2) only = argv[2];
  for (const std::size_t count : {50'000, 500'000}) {
    const auto points = bench::reports(count);
    time("hierarchy, " + std::to_string(count) + " points, N = 10", [&] { return analysis::findHierarchy(points, 10, progress).ok(); });
    Raster raster{.columns = 4000, .rows = 4000, .left = 0, .top = 40'000, .cell_x = 10, .cell_y = 10};
    time("density, " + std::to_string(count) + " points, 16 M cells of 10 m, gaussian of 100 m", [&] {
      return analysis::fillDensity(points, {analysis::Kernel(analysis::KernelForm::Gaussian, 100), analysis::EdgeCorrection::Place}, {{0, 0, 40'000, 40'000}}, raster, progress).ok();
    });
  }
  for (const std::size_t count : {2'400, 24'000}) {
    const auto areas = bench::scanBlocks(count);
    time("scan, " + std::to_string(count) + " areas, circles, 999 replicates", [&] { return analysis::scanAreas(areas, {}, progress).ok(); });
  }
  const auto areas = bench::scanBlocks(2'400);
  time("scan, 2400 areas, 47 ellipses, 999 replicates", [&] { return analysis::scanAreas(areas, {.ellipses = true}, progress).ok(); });
  return 0;
}
