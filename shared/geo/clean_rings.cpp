#include "shared/geo/clean_rings.h"

#include <cmath>

namespace leeward {
namespace {

bool isSpike(Point before, Point tip, Point after) {
  const double ax = before.x - tip.x, ay = before.y - tip.y;
  const double bx = after.x - tip.x, by = after.y - tip.y;
  const double along = ax * bx + ay * by;
  return along > 0 && std::abs(ax * by - ay * bx) <= 1e-9 * std::hypot(ax, ay) * std::hypot(bx, by);
}

/// Takes off the last corners as long as they repeat each other or the one before the last is a spike's tip.
void settleEnd(std::vector<Point>& path, RingCleaning& cleaning) {
  while (path.size() >= 2) {
    const std::size_t n = path.size();
    if (path[n - 1] == path[n - 2]) {
      path.pop_back();
      ++cleaning.repeats;
    } else if (n >= 3 && isSpike(path[n - 3], path[n - 2], path[n - 1])) {
      path.erase(path.end() - 2);
      ++cleaning.spikes;
      if (path[n - 2] == path[n - 3]) path.pop_back();  // the spike's two ends were one corner
    } else {
      return;
    }
  }
}

}  // namespace

std::vector<Point> cleanedRing(std::span<const Point> ring, RingCleaning& cleaning) {
  std::vector<Point> open;
  open.reserve(ring.size());
  const bool closed = ring.size() > 1 && ring.front() == ring.back();
  for (const Point p : closed ? ring.first(ring.size() - 1) : ring) {
    open.push_back(p);
    settleEnd(open, cleaning);
  }
  // Where the ring closes, its end meets its beginning.
  bool changed = true;
  while (changed && open.size() >= 3) {
    changed = true;
    if (open.back() == open.front()) {
      open.pop_back();
      ++cleaning.repeats;
    } else if (isSpike(open[open.size() - 2], open.back(), open.front())) {
      open.pop_back();
      ++cleaning.spikes;
      if (open.back() == open.front()) open.pop_back();  // here too the spike's two ends were one corner
    } else if (isSpike(open.back(), open.front(), open[1])) {
      open.erase(open.begin());
      ++cleaning.spikes;
      if (open.back() == open.front()) open.pop_back();
    } else {
      changed = false;
    }
  }
  if (!open.empty()) open.push_back(open.front());
  return open;
}

}  // namespace leeward
