#include "shared/layer/features.h"

#include <algorithm>

#include <ogr_geometry.h>

#include "shared/geo/ring.h"

namespace leeward::gdal {
namespace {

static_assert(sizeof(Point) == sizeof(OGRRawPoint), "vertices are copied as they lie in memory");

const OGRRawPoint* raw(std::span<const Point> path) { return reinterpret_cast<const OGRRawPoint*>(path.data()); }

std::unique_ptr<OGRGeometry> pointsOf(const Geometries& geometry, std::size_t row, bool multi) {
  if (!multi) {
    const Point p = geometry.point(row);
    return std::make_unique<OGRPoint>(p.x, p.y);
  }
  auto points = std::make_unique<OGRMultiPoint>();
  for (std::size_t i = 0; i < geometry.paths(row); ++i) {
    for (const Point p : geometry.path(row, i)) points->addGeometryDirectly(new OGRPoint(p.x, p.y));
  }
  return points;
}

std::unique_ptr<OGRGeometry> linesOf(const Geometries& geometry, std::size_t row, bool multi) {
  auto lines = std::make_unique<OGRMultiLineString>();
  for (std::size_t i = 0; i < geometry.paths(row); ++i) {
    auto line = std::make_unique<OGRLineString>();
    const auto path = geometry.path(row, i);
    line->setPoints(static_cast<int>(path.size()), raw(path));
    if (!multi) return line;
    lines->addGeometryDirectly(line.release());
  }
  return lines;
}

std::unique_ptr<OGRGeometry> areasOf(const Geometries& geometry, std::size_t row, bool multi) {
  auto areas = std::make_unique<OGRMultiPolygon>();
  std::unique_ptr<OGRPolygon> polygon;
  for (std::size_t i = 0; i < geometry.paths(row); ++i) {
    if (!geometry.isHole(row, i) || !polygon) {
      if (polygon) areas->addGeometryDirectly(polygon.release());
      polygon = std::make_unique<OGRPolygon>();
    }
    auto ring = std::make_unique<OGRLinearRing>();
    const auto path = geometry.path(row, i);
    ring->setPoints(static_cast<int>(path.size()), raw(path));
    polygon->addRingDirectly(ring.release());
  }
  if (!multi && polygon) return polygon;
  if (polygon) areas->addGeometryDirectly(polygon.release());
  return areas;
}

bool isMulti(const Geometries& geometry, std::size_t row) {
  std::size_t parts = 0;
  for (std::size_t i = 0; i < geometry.paths(row); ++i) {
    if (geometry.kind(row) == GeometryKind::Points) parts += geometry.path(row, i).size();
    else if (!geometry.isHole(row, i)) ++parts;
  }
  return parts != 1;
}

}  // namespace

template <class Line>
void GeometryReader::copy(const Line& line) {
  buffer_.resize(static_cast<std::size_t>(line.getNumPoints()));
  if (!buffer_.empty()) line.getPoints(reinterpret_cast<OGRRawPoint*>(buffer_.data()));
}

void GeometryReader::gather(const OGRGeometry* geometry) {
  if (geometry == nullptr || geometry->IsEmpty()) return;
  const auto type = wkbFlatten(geometry->getGeometryType());
  if (type == wkbPoint) {
    points_.push_back(geometry);
  } else if (type == wkbLineString) {
    lines_.push_back(geometry);
  } else if (type == wkbPolygon) {
    areas_.push_back(geometry);
  } else if (OGR_GT_IsNonLinear(type)) {
    straightened_.emplace_back(geometry->getLinearGeometry());
    gather(straightened_.back().get());
  } else if (OGR_GT_IsSubClassOf(type, wkbGeometryCollection)) {
    for (const OGRGeometry* part : *geometry->toGeometryCollection()) gather(part);
  } else {
    ++strange_;
  }
}

void GeometryReader::appendAreas() {
  const std::size_t row = to_.size();
  bool is_closed = true, is_wound = true;
  to_.startRow(GeometryKind::Areas);
  for (const OGRGeometry* part : areas_) {
    bool hole = false;
    for (const OGRLinearRing* ring : *part->toPolygon()) {
      copy(*ring);
      if (!buffer_.empty() && buffer_.front() != buffer_.back()) {
        is_closed = false;
        buffer_.push_back(buffer_.front());
      }
      is_wound = is_wound && (ringArea(buffer_) < 0) == hole;
      windRing(buffer_, hole);
      to_.addRing(buffer_, hole);
      hole = true;
    }
  }
  if (!is_closed) unclosed_.add(row);
  if (!is_wound) turned_.add(row);
  if (areas_.size() > 1) several_.add(row);
}

void GeometryReader::append(const OGRGeometry* geometry) {
  for (auto* parts : {&points_, &lines_, &areas_}) parts->clear();
  straightened_.clear();
  gather(geometry);
  const int dimensions = (points_.empty() ? 0 : 1) + (lines_.empty() ? 0 : 1) + (areas_.empty() ? 0 : 1);
  if (dimensions > 1) ++mixed_;
  if (geometry != nullptr && (geometry->Is3D() != 0 || geometry->IsMeasured() != 0)) heights_.add(to_.size());
  if (!areas_.empty()) {
    appendAreas();
  } else if (!lines_.empty()) {
    to_.startRow(GeometryKind::Lines);
    for (const OGRGeometry* part : lines_) {
      copy(*part->toLineString());
      to_.startPath();
      for (const Point p : buffer_) to_.addVertex(p);
    }
  } else if (!points_.empty()) {
    to_.startRow(GeometryKind::Points);
    to_.startPath();
    for (const OGRGeometry* part : points_) to_.addVertex({part->toPoint()->getX(), part->toPoint()->getY()});
  } else {
    to_.addNone();
  }
}

int commonType(const Geometries& geometry) {
  if (geometry.empty()) return wkbNone;
  OGRwkbGeometryType common = wkbNone;
  for (std::size_t row = 0; row < geometry.size(); ++row) {
    if (geometry.kind(row) == GeometryKind::None) continue;
    const auto kind = geometry.kind(row);
    const OGRwkbGeometryType single = kind == GeometryKind::Points ? wkbPoint : kind == GeometryKind::Lines ? wkbLineString : wkbPolygon;
    if (common != wkbNone && common != single && common != OGR_GT_GetCollection(single)) return wkbUnknown;
    if (common == wkbNone) common = single;
    if (isMulti(geometry, row)) common = OGR_GT_GetCollection(single);
  }
  return common == wkbNone ? wkbUnknown : common;
}

std::unique_ptr<OGRGeometry> toGeometry(const Geometries& geometry, std::size_t row, int type) {
  const bool multi = type == wkbUnknown ? isMulti(geometry, row) : OGR_GT_IsSubClassOf(static_cast<OGRwkbGeometryType>(type), wkbGeometryCollection);
  switch (geometry.kind(row)) {
    case GeometryKind::None:
      return nullptr;
    case GeometryKind::Points:
      return geometry.hasVertex(row) ? pointsOf(geometry, row, multi) : nullptr;
    case GeometryKind::Lines:
      return linesOf(geometry, row, multi);
    case GeometryKind::Areas:
      return areasOf(geometry, row, multi);
  }
  return nullptr;
}

}  // namespace leeward::gdal
