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

namespace {

using namespace leeward;

/// A crooked line between two corners, the same whichever area it is drawn for.
std::vector<Point> side(Point from, Point to, std::uint64_t id) {
  constexpr int kSteps = 10;
  Random random(7, id);
  std::vector<Point> line = {from};
  for (int i = 1; i < kSteps; ++i) {
    const double share = static_cast<double>(i) / kSteps;
    line.push_back({from.x + share * (to.x - from.x) + 6 * random.uniform(), from.y + share * (to.y - from.y) + 6 * random.uniform()});
  }
  return line;
}

/// width x width blocks of 100 m with borders of ten pieces; with_breaks: every seventh border has its corners elsewhere on its other side.
Geometries blocks(std::size_t width, bool with_breaks) {
  Geometries areas;
  const auto corner = [](std::size_t x, std::size_t y) {
    Random random(11, y * 100'000 + x);
    return Point{650'000 + 100.0 * static_cast<double>(x) + 15 * random.uniform(), 4'200'000 + 100.0 * static_cast<double>(y) + 15 * random.uniform()};
  };
  for (std::size_t y = 0; y < width; ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      std::vector<Point> ring;
      const auto add = [&](std::vector<Point> line, bool backwards, Point end, bool other, std::uint64_t id) {
        if (with_breaks && other && id % 7 == 0) line = {line.front()};
        if (backwards) {
          line.push_back(end);
          std::reverse(line.begin(), line.end());
          line.pop_back();
        }
        ring.insert(ring.end(), line.begin(), line.end());
      };
      const std::uint64_t below = 2 * (y * 100'000 + x), above = 2 * ((y + 1) * 100'000 + x), left = below + 1, right = 2 * (y * 100'000 + x + 1) + 1;
      add(side(corner(x, y), corner(x + 1, y), below), false, {}, false, below);
      add(side(corner(x + 1, y), corner(x + 1, y + 1), right), false, {}, false, right);
      add(side(corner(x, y + 1), corner(x + 1, y + 1), above), true, corner(x + 1, y + 1), true, above);
      add(side(corner(x, y), corner(x, y + 1), left), true, corner(x, y + 1), true, left);
      areas.addArea(ring);
    }
  }
  return areas;
}

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
    const Geometries areas = blocks(width, false), broken = blocks(width, true);
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
