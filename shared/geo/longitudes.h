#pragma once
/// Longitudes across the 180th meridian.
#include <span>

#include "shared/geo/geometry.h"

namespace leeward {

/// Moves western longitudes by 360 where the points (longitude, latitude) lie on both sides of the 180th meridian: if they are spread
/// over more than 180 degrees as they stand and over less that way, so that a study there lies in one piece. True if moved.
bool joinAtAntimeridian(std::span<Point> lon_lat);

/// The box of points given as longitude and latitude; one across the 180th meridian has max_x over 180.
Bbox lonLatBox(std::span<const Point> lon_lat);

/// The longitude (p.x plus or minus 360) that lies nearest to the box's middle.
Point nearBox(Point lon_lat, const Bbox& box);

/// A longitude from -180 to 180.
double plainLongitude(double lon);

}  // namespace leeward
