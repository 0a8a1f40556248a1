#pragma once
/// Small formulas on paths that several files here share.
#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward {

/// Signed area of a closed ring, positive counter-clockwise (the shoelace formula about its first vertex, so that
/// large coordinates do not cost digits).
inline double ringArea(std::span<const Point> ring) {
  if (ring.empty()) return 0;
  const Point o = ring.front();
  double twice = 0;
  for (std::size_t i = 1; i < ring.size(); ++i) {
    twice += (ring[i - 1].x - o.x) * (ring[i].y - o.y) - (ring[i].x - o.x) * (ring[i - 1].y - o.y);
  }
  return twice / 2;
}

/// Turns a ring round unless it runs as Geometries says: outer counter-clockwise, hole clockwise.
inline void windRing(std::vector<Point>& ring, bool hole) {
  if ((ringArea(ring) < 0) != hole) std::ranges::reverse(ring);
}

inline double distanceToSegment(Point a, Point b, Point p) {
  const double dx = b.x - a.x;
  const double dy = b.y - a.y;
  const double squared = dx * dx + dy * dy;
  const double t = squared > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / squared, 0.0, 1.0) : 0;
  return std::hypot(a.x + t * dx - p.x, a.y + t * dy - p.y);
}

}  // namespace leeward
