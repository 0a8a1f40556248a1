#pragma once
/// Geometries and fields of features, to our columns and back.
#include <cstddef>
#include <memory>
#include <vector>

#include "shared/geo/geometry.h"

class OGRGeometry;

namespace leeward::gdal {

/// Rows counted with the first few of them (0-based).
struct CountedRows {
  std::size_t count = 0;
  std::vector<std::size_t> first;
  void add(std::size_t row) {
    ++count;
    if (first.size() < 3) first.push_back(row);
  }
};

/// Appends a geometry a row. Heights and measures are dropped; arcs become short lines; of a mixed collection the
/// parts of the highest dimension are taken and the row is counted.
class GeometryReader {
 public:
  explicit GeometryReader(Geometries& to) : to_(to) {}
  void append(const OGRGeometry* geometry);  ///< null or empty: kind None
  std::size_t mixed() const { return mixed_; }
  std::size_t strange() const { return strange_; }  ///< of a type that has no place here (surfaces in space)
  const CountedRows& heights() const { return heights_; }    ///< had a third or fourth coordinate, which was dropped
  const CountedRows& unclosed() const { return unclosed_; }  ///< had a ring that wasn't closed and was
  /// Had an outline that ran clockwise or a hole that ran the other way, and was turned.
  const CountedRows& turned() const { return turned_; }
  const CountedRows& several() const { return several_; }    ///< areas of several parts

 private:
  void gather(const OGRGeometry* geometry);
  void appendAreas();
  template <class Line>
  void copy(const Line& line);

  Geometries& to_;
  std::vector<const OGRGeometry*> points_;
  std::vector<const OGRGeometry*> lines_;
  std::vector<const OGRGeometry*> areas_;
  std::vector<std::unique_ptr<OGRGeometry>> straightened_;
  std::vector<Point> buffer_;
  std::size_t mixed_ = 0;
  std::size_t strange_ = 0;
  CountedRows heights_, unclosed_, turned_, several_;
};

/// The one type that holds all rows of a store, as OGRwkbGeometryType.
int commonType(const Geometries& geometry);
/// A row as a geometry of that type; null for kind None.
std::unique_ptr<OGRGeometry> toGeometry(const Geometries& geometry, std::size_t row, int type);

}  // namespace leeward::gdal
