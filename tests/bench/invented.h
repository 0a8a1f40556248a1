#pragma once
/// Invented places that the benchmarks share.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "analysis/scans/scan.h"
#include "shared/base/random.h"
#include "shared/geo/geometry.h"

namespace leeward::bench {

/// A fifth spread over 40 km, the rest normal about 2,000 spots.
inline std::vector<Point> reports(std::size_t count) {
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
inline analysis::ScanAreas scanBlocks(std::size_t count) {
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

/// A crooked line between two corners, the same whichever area it is drawn for.
inline std::vector<Point> side(Point from, Point to, std::uint64_t id) {
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
inline Geometries blocks(std::size_t width, bool with_breaks) {
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

}  // namespace leeward::bench
