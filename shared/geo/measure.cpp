// Measures of plane geometry by our own formulas: no library call a vertex.
#include <algorithm>
#include <cmath>
#include <limits>

#include "shared/geo/overlay.h"
#include "shared/geo/ring.h"

namespace leeward {
namespace {

double length(Point a, Point b) { return std::hypot(b.x - a.x, b.y - a.y); }

double pathLength(std::span<const Point> path) {
  double sum = 0;
  for (std::size_t i = 1; i < path.size(); ++i) sum += length(path[i - 1], path[i]);
  return sum;
}

/// Weighted sum of positions, relative to an origin near them.
struct Moments {
  Point origin;
  double weight = 0;
  double x = 0;
  double y = 0;
  void add(double w, double px, double py) {
    weight += w;
    x += w * (px - origin.x);
    y += w * (py - origin.y);
  }
  bool hasWeight() const { return weight != 0 && std::isfinite(weight); }
  Point mean() const { return {origin.x + x / weight, origin.y + y / weight}; }
};

void addRing(Moments& moments, std::span<const Point> ring, double sign) {
  for (std::size_t i = 1; i < ring.size(); ++i) {
    const double ax = ring[i - 1].x - moments.origin.x;
    const double ay = ring[i - 1].y - moments.origin.y;
    const double bx = ring[i].x - moments.origin.x;
    const double by = ring[i].y - moments.origin.y;
    moments.add(sign * (ax * by - bx * ay) / 2, moments.origin.x + (ax + bx) / 3, moments.origin.y + (ay + by) / 3);
  }
}

}  // namespace

double areaOf(const Geometries& areas, std::size_t row) {
  if (areas.kind(row) != GeometryKind::Areas) return 0;
  double sum = 0;
  for (std::size_t i = 0; i < areas.paths(row); ++i) {
    const double area = std::abs(ringArea(areas.path(row, i)));
    sum += areas.isHole(row, i) ? -area : area;
  }
  return std::max(0.0, sum);
}

double lengthOf(const Geometries& lines, std::size_t row) {
  if (lines.kind(row) != GeometryKind::Lines) return 0;
  double sum = 0;
  for (std::size_t i = 0; i < lines.paths(row); ++i) sum += pathLength(lines.path(row, i));
  return sum;
}

Point centroidOf(const Geometries& geometry, std::size_t row) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  if (!geometry.hasVertex(row)) return {nan, nan};
  Moments areas{geometry.point(row)};
  Moments lines{geometry.point(row)};
  Moments points{geometry.point(row)};
  for (std::size_t i = 0; i < geometry.paths(row); ++i) {
    const auto path = geometry.path(row, i);
    if (geometry.kind(row) == GeometryKind::Areas) {
      const double wound = ringArea(path) < 0 ? -1 : 1;
      addRing(areas, path, geometry.isHole(row, i) ? -wound : wound);
    }
    if (geometry.kind(row) != GeometryKind::Points) {
      for (std::size_t j = 1; j < path.size(); ++j) {
        lines.add(length(path[j - 1], path[j]), (path[j - 1].x + path[j].x) / 2, (path[j - 1].y + path[j].y) / 2);
      }
    }
    for (const Point p : path) points.add(1, p.x, p.y);
  }
  // An area without surface is weighed as lines, lines without length as points.
  return areas.hasWeight() ? areas.mean() : lines.hasWeight() ? lines.mean() : points.mean();
}

bool contains(const Geometries& areas, std::size_t row, Point p) {
  if (areas.kind(row) != GeometryKind::Areas || !std::isfinite(p.x) || !std::isfinite(p.y)) return false;
  bool inside = false;
  for (std::size_t i = 0; i < areas.paths(row); ++i) {
    const auto ring = areas.path(row, i);
    for (std::size_t j = 1; j < ring.size(); ++j) {
      const Point a = ring[j - 1];
      const Point b = ring[j];
      const double ay = a.y - p.y;
      const double by = b.y - p.y;
      if ((ay > 0 && by > 0) || (ay < 0 && by < 0)) continue;  // the edge does not reach the height of p
      const double ax = a.x - p.x;
      const double bx = b.x - p.x;
      const double left = ax * by;
      const double right = bx * ay;
      if (std::abs(left - right) <= 4e-16 * (std::abs(left) + std::abs(right))) {
        // p lies on the edge's line (up to rounding): on the edge itself unless it is beyond its ends
        if (std::min(ax, bx) <= 0 && std::max(ax, bx) >= 0) return true;
        if (ay == 0 && by == 0) continue;
      }
      if ((ay > 0) != (by > 0) && (left - right > 0) == (by > ay)) inside = !inside;
    }
  }
  return inside;
}

double distanceToPath(std::span<const Point> path, Point p) {
  double best = std::numeric_limits<double>::infinity();
  if (path.size() == 1) return length(path.front(), p);
  for (std::size_t i = 1; i < path.size(); ++i) best = std::min(best, distanceToSegment(path[i - 1], path[i], p));
  return best;
}

Point alongPath(std::span<const Point> path, double share, double offset) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  if (path.empty()) return {nan, nan};
  double left = std::clamp(share, 0.0, 1.0) * pathLength(path);
  Point last = path.front();
  Point direction{0, 0};
  for (std::size_t i = 1; i < path.size(); ++i) {
    const double step = length(path[i - 1], path[i]);
    if (step == 0) continue;
    direction = {(path[i].x - path[i - 1].x) / step, (path[i].y - path[i - 1].y) / step};
    if (left <= step) {
      last = {path[i - 1].x + direction.x * left, path[i - 1].y + direction.y * left};
      break;
    }
    left -= step;
    last = path[i];
  }
  return {last.x - direction.y * offset, last.y + direction.x * offset};
}

Geometries convexHull(std::span<const Point> points) {
  std::vector<Point> sorted(points.begin(), points.end());
  std::erase_if(sorted, [](Point p) { return !std::isfinite(p.x) || !std::isfinite(p.y); });
  std::ranges::sort(sorted, [](Point a, Point b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  sorted.erase(std::ranges::unique(sorted).begin(), sorted.end());
  Geometries hull;
  if (sorted.empty()) {
    hull.addNone();
    return hull;
  }
  // Andrew's monotone chain: the lower side left to right, then the upper one back, counter-clockwise.
  std::vector<Point> chain;
  const auto turnsLeft = [](Point a, Point b, Point c) { return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) > 0; };
  const auto walk = [&](auto begin, auto end) {
    const std::size_t base = chain.size();
    for (auto it = begin; it != end; ++it) {
      while (chain.size() >= base + 2 && !turnsLeft(chain[chain.size() - 2], chain.back(), *it)) chain.pop_back();
      chain.push_back(*it);
    }
    chain.pop_back();  // the first of the other side
  };
  walk(sorted.begin(), sorted.end());
  walk(sorted.rbegin(), sorted.rend());
  if (sorted.size() == 1) hull.addPoint(sorted.front());
  else if (chain.size() < 3) hull.addLine(std::vector<Point>{sorted.front(), sorted.back()});
  else hull.addArea(chain);
  return hull;
}

}  // namespace leeward
