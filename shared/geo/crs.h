#pragma once
/// Coordinate reference systems by PROJ. The only header through which the rest meets PROJ.
///
/// Axis order is always x = east/longitude, y = north/latitude, whatever the authority says.
#include <memory>
#include <span>
#include <string>

#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward {

class Crs {
 public:
  Crs() = default;  ///< unknown
  /// "EPSG:26986", a WKT, a PROJ string, or "local" (plane metres without a place).
  static Result<Crs> parse(const std::string& text);
  static Crs wgs84();
  static Crs local();
  /// Lambert azimuthal equal-area on WGS 84, metres, centred at lon/lat rounded to 0.1 degree: the frame
  /// in which areas and distances are measured when nothing better is given.
  static Crs equalAreaAt(Point lon_lat);

  bool isUnknown() const { return definition_.empty(); }
  bool isLocal() const { return definition_ == "local"; }
  bool isGeographic() const { return geographic_; }
  /// Metres per unit of a projected CRS (0.3048006... for US survey feet); 1 for local; 0 for degrees.
  double metresPerUnit() const { return metres_per_unit_; }
  /// Projected, not Web Mercator or another Mercator of the sphere, and true to scale within 0.1 % at `lon_lat`
  /// (from PROJ's factors: areal scale and the meridional and parallel scales).
  bool isTrueToScaleAt(Point lon_lat) const;
  /// Where the system is used, longitude and latitude; empty if that is not known.
  Bbox areaOfUse() const;
  const std::string& definition() const { return definition_; }  ///< text that parse() takes back
  std::string name() const { return name_; }                     ///< for people: "NAD83 / Massachusetts Mainland (EPSG:26986)"
  std::string authority() const { return authority_; }           ///< "EPSG:26986", or "" without one
  bool operator==(const Crs& other) const { return definition_ == other.definition_; }

 private:
  std::string definition_;
  std::string name_;
  std::string authority_;
  bool geographic_ = false;
  double metres_per_unit_ = 0;
};

/// Moves points from one CRS to another. Not for several threads at once: make one per thread.
class Transform {
 public:
  /// CrsMismatch if either is unknown, one is local and the other is not, or PROJ has no way between them.
  static Result<Transform> between(const Crs& from, const Crs& to);
  Transform(Transform&&) noexcept;
  Transform& operator=(Transform&&) noexcept;
  ~Transform();

  /// In place. Points that PROJ can't place become nan, nan; the count of those is returned.
  std::size_t apply(std::span<Point> points) const;
  Point operator()(Point p) const;
  /// Metres to add to positional uncertainty: 2 where a datum shift was done without its grid, else 0.
  double addedUncertaintyM() const;

 private:
  struct Handle;
  explicit Transform(std::unique_ptr<Handle> handle);
  std::unique_ptr<Handle> handle_;
};

/// Distance along the ellipsoid, metres (Karney 2013 through PROJ's geodesic routines); WGS 84.
double geodesicDistanceM(Point from_lon_lat, Point to_lon_lat);

}  // namespace leeward
