// Neighbours and local patterns of 2,400 and 24,000 areas: LEEWARD_THREADS says how many threads (all cores without it).
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <thread>

#include "analysis/patterns/contiguity.h"
#include "analysis/patterns/local_patterns.h"
#include "shared/base/random.h"
#include "tests/bench/invented.h"

namespace {

using namespace leeward;

double fastest(const std::function<void()>& work) {
  double best = 1e9;
  for (int i = 0; i < 5; ++i) {
    const auto start = std::chrono::steady_clock::now();
    work();
    best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  return best;
}

}  // namespace

int main() {
  using namespace leeward::analysis;
  const char* given = std::getenv("LEEWARD_THREADS");
  Progress progress(Progress::Sink{}, {}, given != nullptr ? static_cast<unsigned>(std::atoi(given)) : std::thread::hardware_concurrency());
  for (const std::size_t width : {49UL, 155UL}) {
    const Geometries areas = bench::blocks(width, false), broken = bench::blocks(width, true);
    Neighbours neighbours;
    const auto touching = [&](const Geometries& of, Touch touch) {
      return fastest([&] { neighbours = contiguity(of, {.touch = touch, .tolerance = 0.2}, progress)->neighbours; });
    };
    std::printf("%zu areas, %zu corners\n", areas.size(), areas.vertices().size());
    std::printf("  rook                    %.4f s\n", touching(areas, Touch::Rook));
    std::printf("  queen, one border in 7 with other corners on its other side %.4f s\n", touching(broken, Touch::Queen));
    std::printf("  queen                   %.4f s\n", touching(areas, Touch::Queen));
    Random random(3);
    std::vector<double> values;
    for (std::size_t i = 0; i < areas.size(); ++i) values.push_back(random.gamma(2, 1));
    std::printf("  local Moran, Gi, Gi* with 999 permutations %.4f s (%zu links)\n",
                fastest([&] { (void)localPatterns(values, neighbours, {.permutations = 999}, progress)->p.size(); }), neighbours.links());
  }
}
