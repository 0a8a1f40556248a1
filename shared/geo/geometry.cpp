#include "shared/geo/geometry.h"

#include <algorithm>

#include "shared/geo/ring.h"

namespace leeward {

void Bbox::add(Point p) {
  min_x = std::min(min_x, p.x);
  min_y = std::min(min_y, p.y);
  max_x = std::max(max_x, p.x);
  max_y = std::max(max_y, p.y);
}

void Bbox::add(const Bbox& other) {
  if (other.isEmpty()) return;
  add(Point{other.min_x, other.min_y});
  add(Point{other.max_x, other.max_y});
}

Bbox Bbox::grownBy(double margin) const { return {min_x - margin, min_y - margin, max_x + margin, max_y + margin}; }

std::optional<Geometries> Geometries::fromArrays(std::vector<GeometryKind> kinds, const std::vector<std::uint32_t>& paths_of_row,
                                                 std::vector<std::uint8_t> holes,
                                                 const std::vector<std::uint32_t>& vertices_of_path, std::vector<Point> vertices) {
  if (kinds.size() != paths_of_row.size() || holes.size() != vertices_of_path.size()) return std::nullopt;
  Geometries made;
  const auto ends = [](const std::vector<std::uint32_t>& counts) {
    std::vector<std::size_t> sums(counts.size());
    std::size_t sum = 0;
    for (std::size_t i = 0; i < counts.size(); ++i) sums[i] = sum += counts[i];
    return sums;
  };
  made.row_ends_ = ends(paths_of_row);
  made.path_ends_ = ends(vertices_of_path);
  const std::size_t paths = made.row_ends_.empty() ? 0 : made.row_ends_.back();
  const std::size_t points = made.path_ends_.empty() ? 0 : made.path_ends_.back();
  if (paths != holes.size() || points != vertices.size()) return std::nullopt;
  if (std::ranges::any_of(kinds, [](GeometryKind kind) { return kind > GeometryKind::Areas; })) return std::nullopt;
  made.kinds_ = std::move(kinds);
  made.holes_ = std::move(holes);
  made.vertices_ = std::move(vertices);
  return made;
}

void Geometries::reserve(std::size_t rows, std::size_t vertices) {
  kinds_.reserve(rows);
  row_ends_.reserve(rows);
  path_ends_.reserve(rows);
  holes_.reserve(rows);
  vertices_.reserve(vertices);
}

void Geometries::startRow(GeometryKind kind) {
  kinds_.push_back(kind);
  row_ends_.push_back(path_ends_.size());
}

void Geometries::startPath(bool hole) {
  path_ends_.push_back(vertices_.size());
  holes_.push_back(hole ? 1 : 0);
  ++row_ends_.back();
}

void Geometries::addPoint(Point p) {
  startRow(GeometryKind::Points);
  startPath();
  addVertex(p);
}

void Geometries::addLine(std::span<const Point> line) {
  startRow(GeometryKind::Lines);
  startPath();
  for (const Point p : line) addVertex(p);
}

void Geometries::addRing(std::span<const Point> ring, bool hole) {
  startPath(hole);
  for (const Point p : ring) addVertex(p);
  if (!ring.empty() && ring.front() != ring.back()) addVertex(ring.front());
}

void Geometries::addArea(std::span<const Point> outer) {
  startRow(GeometryKind::Areas);
  addRing(outer, false);
}

void Geometries::addCopy(const Geometries& from, std::size_t row) {
  startRow(from.kind(row));
  for (std::size_t i = 0; i < from.paths(row); ++i) {
    startPath(from.isHole(row, i));
    for (const Point p : from.path(row, i)) addVertex(p);
  }
}

std::span<const Point> Geometries::path(std::size_t row, std::size_t index) const {
  const std::size_t path = firstPath(row) + index;
  return std::span(vertices_).subspan(firstVertex(path), path_ends_[path] - firstVertex(path));
}

void Geometries::windRings() {
  for (std::size_t row = 0; row < size(); ++row) {
    if (kinds_[row] != GeometryKind::Areas) continue;
    for (std::size_t i = firstPath(row); i < row_ends_[row]; ++i) {
      const auto ring = std::span(vertices_).subspan(firstVertex(i), path_ends_[i] - firstVertex(i));
      if ((ringArea(ring) < 0) != (holes_[i] != 0)) std::ranges::reverse(ring);
    }
  }
}

Bbox Geometries::bbox(std::size_t row) const {
  Bbox box;
  for (std::size_t i = 0; i < paths(row); ++i) {
    for (const Point p : path(row, i)) box.add(p);
  }
  return box;
}

Bbox Geometries::bbox() const {
  Bbox box;
  for (const Point p : vertices_) box.add(p);
  return box;
}

}  // namespace leeward
