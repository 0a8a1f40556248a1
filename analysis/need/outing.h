#pragma once
/// What an outing costs in time. Shared by the ranking of blocks and the choice of doors.
#include <optional>
#include <span>
#include <vector>

#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct Outing {
  std::optional<Point> start;     ///< metres, in the study's frame; none: driving from the start is not counted
  double hours = 4;               ///< of one crew on one outing, start to start
  double minutes_per_door = 4;    ///< at a door, waiting for an answer included
  double minutes_per_visit = 25;  ///< once permission is given
  double minutes_per_stop = 3;    ///< parking and getting under way at a block
  double walking_kmh = 4;
  double driving_kmh = 30;  ///< door to door in town
  /// Way along streets over the straight line (common practice, no published source).
  double detour = 1.3;
};

/// InvalidArgument for negative hours, a door that takes no time, speeds that aren't positive, a detour below 1.
Result<void> checkOuting(const Outing& outing);

double drivingMinutes(const Outing& outing, Point from, Point to);
double walkingMinutes(const Outing& outing, double metres_straight);

/// Metres of a walk past all points, straight lines: nearest neighbour up to 300 points; beyond, 0.7124 sqrt(n A) with A
/// the bounding box (Beardwood, Halton & Hammersley 1959, Proc. Camb. Phil. Soc. 55:299; constant: Johnson, McGeoch &
/// Rothberg 1996). 0 for fewer than two points.
double walkLengthM(std::span<const Point> points);

/// Order of a short open walk from the point nearest to `from`: nearest neighbour improved by 2-opt (Croes 1958).
std::vector<std::size_t> walkingOrder(std::span<const Point> points, Point from);

}  // namespace leeward::analysis
