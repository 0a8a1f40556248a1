#pragma once
/// GEOS through its re-entrant C interface, for the files of this folder only. One handle a thread.
#include <memory>
#include <string>
#include <vector>

#include <geos_c.h>

#include "shared/geo/geometry.h"

namespace leeward::geos {

/// This thread's handle; GEOS's own messages are kept for lastMessage().
GEOSContextHandle_t handle();
const std::string& lastMessage();

struct Delete {
  void operator()(GEOSGeometry* geometry) const { GEOSGeom_destroy_r(handle(), geometry); }
  void operator()(const GEOSPreparedGeometry* prepared) const { GEOSPreparedGeom_destroy_r(handle(), prepared); }
};
using Geometry = std::unique_ptr<GEOSGeometry, Delete>;
using Prepared = std::unique_ptr<const GEOSPreparedGeometry, Delete>;

/// The areas of a row as a polygon or multipolygon (empty if it has none). Rings of fewer than four vertices and holes
/// without an outer ring are left out; unclosed rings are closed. Null if GEOS refuses it.
Geometry fromRow(const Geometries& areas, std::size_t row);
/// Appends a row with the polygons of `geometry`, outer rings counter-clockwise, holes clockwise; kind None if there is none.
void appendRow(Geometries& to, const GEOSGeometry* geometry);
/// A multi-geometry that takes `parts` over.
Geometry collect(int type, std::vector<Geometry> parts);

}  // namespace leeward::geos
