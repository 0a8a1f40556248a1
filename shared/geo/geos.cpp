#include "shared/geo/geos.h"

#include <algorithm>
#include <cmath>

#include "shared/geo/ring.h"

namespace leeward::geos {
namespace {

static_assert(sizeof(Point) == 2 * sizeof(double), "rings are copied to and from GEOS as they lie in memory");

struct Context {
  GEOSContextHandle_t raw = GEOS_init_r();
  std::string message;
  Context() {
    GEOSContext_setErrorMessageHandler_r(raw, [](const char* text, void* self) { static_cast<Context*>(self)->message = text; }, this);
  }
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;
  ~Context() { GEOS_finish_r(raw); }
};

Context& context() {
  static thread_local Context mine;
  return mine;
}

Geometry ringOf(std::span<const Point> path) {
  std::vector<Point> closed;
  if (!path.empty() && path.front() != path.back()) {
    closed.assign(path.begin(), path.end());
    closed.push_back(path.front());
    path = closed;
  }
  const bool has_place = std::ranges::all_of(path, [](Point p) { return std::isfinite(p.x) && std::isfinite(p.y); });
  if (path.size() < 4 || !has_place) return nullptr;
  GEOSCoordSequence* sequence = GEOSCoordSeq_copyFromBuffer_r(handle(), &path.front().x, static_cast<unsigned>(path.size()), 0, 0);
  return Geometry(sequence == nullptr ? nullptr : GEOSGeom_createLinearRing_r(handle(), sequence));
}

void appendRing(Geometries& to, const GEOSGeometry* ring, bool hole) {
  const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq_r(handle(), ring);
  unsigned size = 0;
  GEOSCoordSeq_getSize_r(handle(), sequence, &size);
  std::vector<Point> path(size);
  if (size == 0 || GEOSCoordSeq_copyToBuffer_r(handle(), sequence, &path.front().x, 0, 0) == 0) return;
  windRing(path, hole);
  to.addRing(path, hole);
}

}  // namespace

GEOSContextHandle_t handle() { return context().raw; }
const std::string& lastMessage() { return context().message; }

Geometry collect(int type, std::vector<Geometry> parts) {
  std::vector<GEOSGeometry*> raw;
  for (auto& part : parts) raw.push_back(part.release());
  return Geometry(GEOSGeom_createCollection_r(handle(), type, raw.data(), static_cast<unsigned>(raw.size())));
}

Geometry fromRow(const Geometries& areas, std::size_t row) {
  std::vector<Geometry> polygons;
  const std::size_t paths = areas.kind(row) == GeometryKind::Areas ? areas.paths(row) : 0;
  for (std::size_t i = 0; i < paths;) {
    Geometry outer = areas.isHole(row, i) ? nullptr : ringOf(areas.path(row, i));
    std::vector<GEOSGeometry*> holes;
    for (++i; i < paths && areas.isHole(row, i); ++i) {
      if (!outer) continue;
      if (Geometry hole = ringOf(areas.path(row, i))) holes.push_back(hole.release());
    }
    if (!outer) continue;
    polygons.emplace_back(GEOSGeom_createPolygon_r(handle(), outer.release(), holes.data(), static_cast<unsigned>(holes.size())));
  }
  if (polygons.size() == 1) return std::move(polygons.front());
  return polygons.empty() ? Geometry(GEOSGeom_createEmptyPolygon_r(handle())) : collect(GEOS_MULTIPOLYGON, std::move(polygons));
}

void appendRow(Geometries& to, const GEOSGeometry* geometry) {
  std::vector<const GEOSGeometry*> polygons;
  const auto gather = [&polygons](auto& self, const GEOSGeometry* part) -> void {
    if (part == nullptr || GEOSisEmpty_r(handle(), part) != 0) return;
    const int type = GEOSGeomTypeId_r(handle(), part);
    if (type == GEOS_POLYGON) polygons.push_back(part);
    if (type != GEOS_MULTIPOLYGON && type != GEOS_GEOMETRYCOLLECTION) return;
    for (int i = 0; i < GEOSGetNumGeometries_r(handle(), part); ++i) self(self, GEOSGetGeometryN_r(handle(), part, i));
  };
  gather(gather, geometry);
  to.startRow(polygons.empty() ? GeometryKind::None : GeometryKind::Areas);
  for (const GEOSGeometry* polygon : polygons) {
    appendRing(to, GEOSGetExteriorRing_r(handle(), polygon), false);
    for (int i = 0; i < GEOSGetNumInteriorRings_r(handle(), polygon); ++i) {
      appendRing(to, GEOSGetInteriorRingN_r(handle(), polygon, i), true);
    }
  }
}

}  // namespace leeward::geos
