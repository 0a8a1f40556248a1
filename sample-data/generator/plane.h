#pragma once
/// Plane geometry for drawing a town, and the frame it is drawn in.
///
/// The plane is metres east and north of the town's zero point, along the axes of UTM zone 24 north (WGS 84, EPSG:32624).
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward::town {

using Line = std::vector<Point>;

inline Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
inline Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }
inline Point operator*(Point a, double k) { return {a.x * k, a.y * k}; }
inline double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
inline double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
double length(Point a);
double distance(Point a, Point b);
Point turned(Point a, double angle_deg);
Point unit(Point a);

double length(const Line& line);
Point along(const Line& line, double distance_m);
/// Direction (unit vector) of travel at a distance along the line.
Point heading(const Line& line, double distance_m);
double distanceToSegment(Point p, Point a, Point b);
double distanceToLine(Point p, const Line& line);
/// Parameters along a->b and c->d of a proper crossing or touch.
struct Crossing {
  double t = 0;
  double u = 0;
};
std::optional<Crossing> crossing(Point a, Point b, Point c, Point d);

/// A smooth curve through the given points (centripetal-free Catmull-Rom), a vertex about every `step_m`.
Line curve(const Line& through, double step_m);
/// The line moved to its left by `offset_m` (negative: right), vertex by vertex.
Line offset(const Line& line, double offset_m);
/// Whether p is inside a ring (closed or not).
bool inside(const Line& ring, Point p);
double signedArea(const Line& ring);
/// A point well inside a ring.
Point innerPoint(const Line& ring);
/// The parts of a line inside a ring, with end points on the ring.
std::vector<Line> clipped(const Line& line, const Line& ring);

/// Easting and northing of the zero point in EPSG:32624.
inline constexpr Point kZeroUtm{650000, 4596000};
/// Degrees (WGS 84) of a point of the plane: inverse transverse Mercator by Krueger's series (Karney 2011,
/// "Transverse Mercator with an accuracy of a few nanometers", J. Geodesy 85, eqs. 12-36, here to third order in n).
Point lonLat(Point p);

}  // namespace leeward::town
