#include "shared/geo/longitudes.h"

#include <cmath>
#include <vector>

namespace leeward {
namespace {

struct Spread {
  Bbox as_is, moved;
  bool isBetterMoved() const { return as_is.width() > 180 && moved.width() < 180 && as_is.min_x >= -180 && as_is.max_x <= 360; }
};

Point eastOfIt(Point p) { return {p.x < 0 ? p.x + 360 : p.x, p.y}; }

Spread spreadOf(std::span<const Point> points) {
  Spread spread;
  for (const Point p : points) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) continue;
    spread.as_is.add(p);
    spread.moved.add(eastOfIt(p));
  }
  return spread;
}

}  // namespace

bool joinAtAntimeridian(std::span<Point> points) {
  if (!spreadOf(points).isBetterMoved()) return false;
  for (Point& p : points) p = eastOfIt(p);
  return true;
}

Bbox lonLatBox(std::span<const Point> points) {
  const Spread spread = spreadOf(points);
  return spread.isBetterMoved() ? spread.moved : spread.as_is;
}

Point nearBox(Point p, const Bbox& box) {
  const double middle = box.center().x;
  return {p.x + 360 * std::round((middle - p.x) / 360), p.y};
}

double plainLongitude(double lon) { return lon >= -180 && lon <= 180 ? lon : lon - 360 * std::round(lon / 360); }

}  // namespace leeward
