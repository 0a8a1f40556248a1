#include "shared/geo/overlay.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include <fmt/format.h>

#include "shared/geo/clean_rings.h"
#include "shared/geo/geos.h"
#include "shared/geo/ring.h"

namespace leeward {
namespace {

using geos::Geometry;
using geos::handle;
using geos::Prepared;

/// What is wrong with an area in a person's words.
std::string inWords(std::string_view reason) {
  const auto has = [&](std::string_view part) { return reason.find(part) != std::string_view::npos; };
  if (has("Ring Self-intersection")) return "the outline touches itself";
  if (has("Self-intersection")) return "the outline crosses itself";
  if (has("Hole lies outside")) return "a hole lies outside its outline";
  if (has("Nested") || has("Holes are nested")) return "one outline lies inside another";
  if (has("Interior is disconnected")) return "holes cut the area apart";
  if (has("Duplicate Rings")) return "an outline is there twice";
  return "the outline is not valid";
}

Geometry madeValid(const GEOSGeometry* geometry) {
  GEOSMakeValidParams* parameters = GEOSMakeValidParams_create_r(handle());
  GEOSMakeValidParams_setMethod_r(handle(), parameters, GEOS_MAKE_VALID_STRUCTURE);
  GEOSMakeValidParams_setKeepCollapsed_r(handle(), parameters, 0);
  Geometry valid(GEOSMakeValidWithParams_r(handle(), geometry, parameters));
  GEOSMakeValidParams_destroy_r(handle(), parameters);
  return valid;
}

/// What the rings themselves lack, before any library looks at the whole; "" if nothing.
std::string ringTrouble(const Geometries& areas, std::size_t row) {
  for (std::size_t i = 0; i < areas.paths(row); ++i) {
    const auto ring = areas.path(row, i);
    if (!std::ranges::all_of(ring, [](Point p) { return std::isfinite(p.x) && std::isfinite(p.y); })) return "a corner has no place";
    if (ring.empty() || (i == 0 && areas.isHole(row, i))) return "the outline is missing";
    if (ring.front() != ring.back()) return "a ring is not closed";
    if (ring.size() < 4) return "a ring has fewer than three corners";
  }
  return areas.paths(row) == 0 ? "empty" : "";
}

/// A row as a valid GEOS area (perhaps empty); `what` says what had to be changed, if anything.
Geometry validRow(const Geometries& areas, std::size_t row, std::string& what) {
  what = ringTrouble(areas, row);
  Geometry geometry = geos::fromRow(areas, row);
  if (!geometry) return nullptr;
  if (GEOSisValid_r(handle(), geometry.get()) == 1) return geometry;
  char* reason = GEOSisValidReason_r(handle(), geometry.get());
  if (what.empty()) what = inWords(reason == nullptr ? "" : reason);
  GEOSFree_r(handle(), reason);
  return madeValid(geometry.get());
}

/// A row with its rings cleaned; rings that aren't closed are left for ringTrouble() to say so.
Geometries cleanedRow(const Geometries& areas, std::size_t row, RingCleaning& cleaning) {
  Geometries clean;
  clean.startRow(GeometryKind::Areas);
  for (std::size_t i = 0; i < areas.paths(row); ++i) {
    const auto ring = areas.path(row, i);
    const bool closed = ring.size() > 1 && ring.front() == ring.back();
    clean.startPath(areas.isHole(row, i));
    const std::vector<Point> cleaned = closed ? cleanedRing(ring, cleaning) : std::vector<Point>(ring.begin(), ring.end());
    for (const Point p : cleaned) clean.addVertex(p);
  }
  return clean;
}

double surfaceOf(const GEOSGeometry* geometry) {
  double area = 0;
  return geometry != nullptr && GEOSArea_r(handle(), geometry, &area) == 1 ? area : 0;
}

/// Area of what two valid areas share. Where exact overlay fails, once more on a grid of a 10^-9th of the extent.
double sharedArea(const GEOSGeometry* a, const GEOSGeometry* b, const Bbox& box) {
  Geometry both(GEOSIntersection_r(handle(), a, b));
  if (!both) both.reset(GEOSIntersectionPrec_r(handle(), a, b, 1e-9 * std::max(box.width(), box.height())));
  return surfaceOf(both.get());
}

/// Valid GEOS areas of one store's rows, made when first asked for; for one thread.
class Rows {
 public:
  explicit Rows(const Geometries& areas) : areas_(areas) {}
  struct Entry {
    Geometry area;
    Prepared prepared;
    double size = 0;
  };
  const Entry& at(std::size_t row) {
    const auto [it, is_new] = entries_.try_emplace(row);
    Entry& entry = it->second;
    if (is_new) {
      std::string ignored;
      entry.area = validRow(areas_, row, ignored);
      entry.size = surfaceOf(entry.area.get());
      if (entry.size > 0) entry.prepared.reset(GEOSPrepare_r(handle(), entry.area.get()));
    }
    return entry;
  }

 private:
  const Geometries& areas_;
  std::unordered_map<std::size_t, Entry> entries_;
};

/// Area shared by two rows: by containment where the prepared larger one decides it, else by overlay.
double sharedArea(const Rows::Entry& a, const Rows::Entry& b, const Bbox& box) {
  if (!(a.size > 0) || !(b.size > 0)) return 0;
  const Rows::Entry& large = a.size >= b.size ? a : b;
  const Rows::Entry& small = a.size >= b.size ? b : a;
  if (GEOSPreparedIntersects_r(handle(), large.prepared.get(), small.area.get()) != 1) return 0;
  if (GEOSPreparedCovers_r(handle(), large.prepared.get(), small.area.get()) == 1) return small.size;
  return sharedArea(large.area.get(), small.area.get(), box);
}

}  // namespace

Point pointInside(const Geometries& areas, std::size_t row) {
  std::string ignored;
  const Geometry area = validRow(areas, row, ignored);
  const Geometry point(area ? GEOSPointOnSurface_r(handle(), area.get()) : nullptr);
  if (!point || GEOSisEmpty_r(handle(), point.get()) != 0) return centroidOf(areas, row);
  Point p;
  GEOSGeomGetX_r(handle(), point.get(), &p.x);
  GEOSGeomGetY_r(handle(), point.get(), &p.y);
  return p;
}

Result<std::vector<OverlapPair>> overlaps(const Geometries& from, const Geometries& to, Progress& progress) {
  constexpr std::size_t kBatch = 64;
  const BoxIndex index(to);
  std::vector<std::vector<OverlapPair>> found((from.size() + kBatch - 1) / kBatch);
  LEEWARD_TRY(progress.parallelFor(from.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    Rows from_rows(from);
    Rows to_rows(to);
    for (std::size_t row = begin; row < end; ++row) {
      const Bbox box = from.bbox(row);
      if (from.kind(row) != GeometryKind::Areas || box.isEmpty()) continue;
      for (const std::size_t other : index.meeting(box)) {
        if (to.kind(other) != GeometryKind::Areas) continue;
        const double area = sharedArea(from_rows.at(row), to_rows.at(other), box);
        if (area > 0) found[begin / kBatch].push_back({row, other, area});
      }
    }
  }));
  std::vector<OverlapPair> pairs;
  for (const auto& batch : found) pairs.insert(pairs.end(), batch.begin(), batch.end());
  return pairs;
}

Geometries repairAreas(const Geometries& areas, std::vector<RepairNote>& notes) {
  Geometries repaired;
  repaired.reserve(areas.size(), areas.vertices().size());
  for (std::size_t row = 0; row < areas.size(); ++row) {
    if (areas.kind(row) != GeometryKind::Areas) {
      repaired.addCopy(areas, row);
      continue;
    }
    RingCleaning cleaning;
    const Geometries clean = cleanedRow(areas, row, cleaning);
    std::string what;
    const Geometry valid = validRow(clean, 0, what);
    geos::appendRow(repaired, valid.get());
    if (repaired.kind(row) == GeometryKind::None && what.empty()) what = "empty";
    if (cleaning.repeats > 0) notes.push_back({row, "a corner stands twice"});
    if (cleaning.spikes > 0) notes.push_back({row, "the outline runs out and back over itself (a spike)"});
    if (!what.empty()) notes.push_back({row, what});
  }
  return repaired;
}

Geometries unionOf(const Geometries& areas, const std::vector<std::size_t>& rows) {
  std::vector<Geometry> parts;
  for (const std::size_t row : rows) {
    std::string ignored;
    Geometry part = validRow(areas, row, ignored);
    if (part && GEOSisEmpty_r(handle(), part.get()) == 0) parts.push_back(std::move(part));
  }
  const Geometry collection = geos::collect(GEOS_GEOMETRYCOLLECTION, std::move(parts));
  const Geometry merged(GEOSUnaryUnion_r(handle(), collection.get()));
  Geometries result;
  geos::appendRow(result, merged.get());
  return result;
}

}  // namespace leeward
