// Simplifying areas that share edges: outlines are cut into chains at the corners where three or more areas (or the outside)
// meet, and each chain is simplified the same way whichever ring it is met in.
#include <algorithm>
#include <bit>
#include <unordered_map>

#include "shared/geo/overlay.h"
#include "shared/geo/ring.h"

namespace leeward {
namespace {

struct PointHash {
  std::size_t operator()(Point p) const {
    const auto mix = [](std::uint64_t h) { return (h ^ (h >> 29U)) * 0xBF58476D1CE4E5B9ULL; };
    return mix(std::bit_cast<std::uint64_t>(p.x + 0.0) + 0x9E3779B97F4A7C15ULL * mix(std::bit_cast<std::uint64_t>(p.y + 0.0)));
  }
};

bool before(Point a, Point b) { return a.x != b.x ? a.x < b.x : a.y < b.y; }

/// The two neighbours that a corner has in every ring through it; a corner with more is a node.
struct Corner {
  Point first;
  Point second;
  int neighbours = 0;
  void meet(Point p) {
    if ((neighbours > 0 && first == p) || (neighbours > 1 && second == p)) return;
    if (neighbours == 0) first = p;
    if (neighbours == 1) second = p;
    ++neighbours;
  }
  bool isNode() const { return neighbours != 2; }
};
using Corners = std::unordered_map<Point, Corner, PointHash>;

/// Douglas & Peucker 1973 between two kept ends, without recursion.
void markKept(std::span<const Point> path, double tolerance, std::vector<bool>& kept) {
  std::vector<std::pair<std::size_t, std::size_t>> open = {{0, path.size() - 1}};
  while (!open.empty()) {
    const auto [from, to] = open.back();
    open.pop_back();
    double worst = tolerance;
    std::size_t farthest = 0;
    for (std::size_t i = from + 1; i < to; ++i) {
      if (const double d = distanceToSegment(path[from], path[to], path[i]); d > worst) worst = d, farthest = i;
    }
    if (farthest == 0) continue;
    kept[farthest] = true;
    open.emplace_back(from, farthest);
    open.emplace_back(farthest, to);
  }
}

/// The chain simplified in one direction only, so that both rings along it get the same corners. Appends all but the last vertex.
void appendChain(std::vector<Point> chain, double tolerance, std::vector<Point>& out) {
  const bool closed = chain.front() == chain.back();
  const bool backwards = closed ? before(chain[chain.size() - 2], chain[1]) : before(chain.back(), chain.front());
  if (backwards) std::ranges::reverse(chain);
  std::vector<bool> kept(chain.size());
  kept.front() = kept.back() = true;
  if (closed) {  // its ends are one corner: the corner farthest from it stands too
    const auto far = std::ranges::max_element(chain, {}, [&](Point p) { return std::hypot(p.x - chain[0].x, p.y - chain[0].y); });
    const auto middle = static_cast<std::size_t>(far - chain.begin());
    kept[middle] = true;
    std::vector<bool> part(middle + 1);
    markKept(std::span(chain).first(middle + 1), tolerance, part);
    for (std::size_t i = 0; i <= middle; ++i) kept[i] = kept[i] || part[i];
    part.assign(chain.size() - middle, false);
    markKept(std::span(chain).subspan(middle), tolerance, part);
    for (std::size_t i = middle; i < chain.size(); ++i) kept[i] = kept[i] || part[i - middle];
  } else {
    markKept(chain, tolerance, kept);
  }
  std::vector<Point> simple;
  for (std::size_t i = 0; i < chain.size(); ++i) {
    if (kept[i]) simple.push_back(chain[i]);
  }
  if (backwards) std::ranges::reverse(simple);
  out.insert(out.end(), simple.begin(), simple.end() - 1);
}

/// A closed ring without its last vertex and without repeated ones, begun at a node, or at its first corner in order if it has none.
std::vector<Point> fromNode(std::span<const Point> ring, const Corners& corners) {
  std::vector<Point> open;
  for (const Point p : ring) {
    if (open.empty() || open.back() != p) open.push_back(p);
  }
  if (open.size() > 1 && open.front() == open.back()) open.pop_back();
  auto start = std::ranges::find_if(open, [&](Point p) { return corners.at(p).isNode(); });
  if (start == open.end()) start = std::ranges::min_element(open, before);
  std::ranges::rotate(open, start);
  return open;
}

std::vector<Point> simplifiedRing(std::span<const Point> ring, const Corners& corners, double tolerance) {
  std::vector<Point> open = fromNode(ring, corners);
  open.push_back(open.front());
  std::vector<Point> out;
  for (std::size_t begin = 0; begin + 1 < open.size();) {
    std::size_t end = begin + 1;
    while (end + 1 < open.size() && !corners.at(open[end]).isNode()) ++end;
    appendChain({open.begin() + static_cast<std::ptrdiff_t>(begin), open.begin() + static_cast<std::ptrdiff_t>(end) + 1}, tolerance, out);
    begin = end;
  }
  if (out.size() >= 3) out.push_back(out.front());
  return out;
}

}  // namespace

Geometries simplifiedCoverage(const Geometries& areas, double tolerance) {
  Corners corners;
  corners.reserve(areas.vertices().size());
  for (std::size_t row = 0; row < areas.size(); ++row) {
    for (std::size_t i = 0; areas.kind(row) == GeometryKind::Areas && i < areas.paths(row); ++i) {
      const auto ring = areas.path(row, i);
      for (std::size_t j = 0; j < ring.size(); ++j) {
        Corner& corner = corners[ring[j]];
        if (j > 0 && ring[j - 1] != ring[j]) corner.meet(ring[j - 1]);
        if (j + 1 < ring.size() && ring[j + 1] != ring[j]) corner.meet(ring[j + 1]);
      }
    }
  }
  Geometries simple;
  simple.reserve(areas.size(), areas.vertices().size() / 2);
  for (std::size_t row = 0; row < areas.size(); ++row) {
    if (areas.kind(row) != GeometryKind::Areas) {
      simple.addCopy(areas, row);
      continue;
    }
    simple.startRow(GeometryKind::Areas);
    bool outer_kept = true;
    for (std::size_t i = 0; i < areas.paths(row); ++i) {
      const auto ring = areas.path(row, i);
      const bool hole = areas.isHole(row, i);
      if (ring.size() < 4 || (hole && !outer_kept)) continue;
      const std::vector<Point> path = simplifiedRing(ring, corners, tolerance);
      const bool collapsed = path.size() < 4;
      if (!hole) outer_kept = !collapsed;
      if (!collapsed) simple.addRing(path, hole);
      else if (!hole) simple.addRing(ring, false);  // a row must stay visible, however small
    }
  }
  return simple;
}

}  // namespace leeward
