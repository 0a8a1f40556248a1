#pragma once
/// Which reference system coordinates are probably in, seen from where they should lie.
#include <span>
#include <string>
#include <vector>

#include "shared/geo/crs.h"

namespace leeward {

struct CrsGuess {
  Crs crs;
  bool swapped = false;      ///< the coordinates stand as north, east
  double distance_m = 0;     ///< of the data's middle from the study's box; 0 inside it
  double feet_doubt_m = 0;   ///< feet only: how far positions move if they are of the other foot (US survey, international)
};

/// The middle of points, by medians of x and y, so that a few strays don't move it; nan, nan without any.
Point medianPoint(std::span<const Point> points);

/// Metres from a place to a box, both in longitude and latitude (geodesic to the box's nearest point); 0 inside it.
double distanceToBoxM(Point lon_lat, const Bbox& box);

/// The systems that put the points' median into the study's box (longitude and latitude, as lonLatBox() gives it), grown by its
/// diagonal and at least 5 km: longitude and latitude, the same swapped, Web Mercator, and the registry's projected systems
/// whose area of use holds the study (UTM, State Plane in metres and feet ...). Systems that agree to 10 m there are one guess: the
/// one named by the plainest datum stands for them. In order of distance. Empty if nothing fits or the study's box is empty.
std::vector<CrsGuess> guessCrs(std::span<const Point> points, const Bbox& study_lon_lat);

/// Whether the median's coordinates can be in the system at all: degrees within +-360 and +-90, metres anywhere on the earth.
bool canBeIn(const Crs& crs, Point median);

}  // namespace leeward
