#pragma once
/// Points, boxes and a columnar store of geometries.
///
/// Axis order is x = easting or longitude, y = northing or latitude, everywhere.
#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace leeward {

struct Point {
  double x = 0;
  double y = 0;
  bool operator==(const Point&) const = default;
};

struct Bbox {
  double min_x = std::numeric_limits<double>::infinity();
  double min_y = std::numeric_limits<double>::infinity();
  double max_x = -std::numeric_limits<double>::infinity();
  double max_y = -std::numeric_limits<double>::infinity();

  bool isEmpty() const { return !(min_x <= max_x); }
  double width() const { return isEmpty() ? 0 : max_x - min_x; }
  double height() const { return isEmpty() ? 0 : max_y - min_y; }
  Point center() const { return {(min_x + max_x) / 2, (min_y + max_y) / 2}; }
  bool contains(Point p) const { return p.x >= min_x && p.x <= max_x && p.y >= min_y && p.y <= max_y; }
  bool meets(const Bbox& o) const { return min_x <= o.max_x && o.min_x <= max_x && min_y <= o.max_y && o.min_y <= max_y; }
  void add(Point p);
  void add(const Bbox& other);
  Bbox grownBy(double margin) const;
};

enum class GeometryKind : std::uint8_t { None, Points, Lines, Areas };

/// One geometry a row, all in a few arrays: row -> paths -> vertices.
///
/// A path is a point set, a line, or a ring. Rings are closed (first vertex repeated at the end) and follow
/// the order outer, its holes, next outer, its holes; outer rings run counter-clockwise, holes clockwise
/// (RFC 7946). A row of kind None has no path. Rows can only be appended.
class Geometries {
 public:
  std::size_t size() const { return kinds_.size(); }
  bool empty() const { return kinds_.empty(); }
  void reserve(std::size_t rows, std::size_t vertices);
  /// From whole arrays: a kind and a number of paths a row, a hole mark and a number of vertices a path. Nothing if they
  /// don't fit each other.
  static std::optional<Geometries> fromArrays(std::vector<GeometryKind> kinds, const std::vector<std::uint32_t>& paths_of_row,
                                              std::vector<std::uint8_t> holes, const std::vector<std::uint32_t>& vertices_of_path,
                                              std::vector<Point> vertices);

  // Building: startRow, then startPath + addVertex any number of times, then the next row.
  void startRow(GeometryKind kind);
  void startPath(bool hole = false);
  void addVertex(Point p) { vertices_.push_back(p); ++path_ends_.back(); }
  void addNone() { startRow(GeometryKind::None); }
  void addPoint(Point p);
  void addLine(std::span<const Point> line);
  /// Closes the ring if it isn't; does not change its direction.
  void addRing(std::span<const Point> ring, bool hole);
  /// A row of one polygon without holes.
  void addArea(std::span<const Point> outer);
  /// Copies a row of another store.
  void addCopy(const Geometries& from, std::size_t row);

  GeometryKind kind(std::size_t row) const { return kinds_[row]; }
  std::size_t paths(std::size_t row) const { return row_ends_[row] - firstPath(row); }
  std::span<const Point> path(std::size_t row, std::size_t index) const;
  bool isHole(std::size_t row, std::size_t index) const { return holes_[firstPath(row) + index] != 0; }
  /// The first vertex; only for rows that have one (use for single points).
  Point point(std::size_t row) const { return path(row, 0).front(); }
  bool hasVertex(std::size_t row) const { return paths(row) > 0 && !path(row, 0).empty(); }
  Bbox bbox(std::size_t row) const;
  Bbox bbox() const;

  /// Turns rings so that they run as said above; for after coordinates were mirrored.
  void windRings();
  /// All vertices, row after row: for reprojection in place.
  std::span<Point> vertices() { return vertices_; }
  std::span<const Point> vertices() const { return vertices_; }

 private:
  std::size_t firstPath(std::size_t row) const { return row == 0 ? 0 : row_ends_[row - 1]; }
  std::size_t firstVertex(std::size_t path) const { return path == 0 ? 0 : path_ends_[path - 1]; }

  std::vector<GeometryKind> kinds_;
  std::vector<std::size_t> row_ends_;   ///< paths before and in the row
  std::vector<std::size_t> path_ends_;  ///< vertices before and in the path
  std::vector<std::uint8_t> holes_;
  std::vector<Point> vertices_;
};

}  // namespace leeward
