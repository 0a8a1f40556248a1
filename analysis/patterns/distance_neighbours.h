#pragma once
/// Neighbours by distance: the nearest ones, or all within reach.
#include <span>

#include "analysis/rates/neighbours.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// The `count` nearest other points of each (fewer where there are fewer), one way: being near is not always mutual. Of equally far
/// ones the lowest rows; points at one place are each other's nearest.
/// Shapes:  one point a row; a row whose point is not finite has no neighbour and is nobody's.
/// Units:   a plane true to scale.
/// Errors:  InvalidArgument for a count of 0; ResourceExhausted for more than 20 million links. Cancelled.
Result<Neighbours> nearestNeighbours(std::span<const Point> points, std::size_t count, Progress& progress);

/// All other points up to and including `distance`. Mutual. InvalidArgument unless 0 < distance; ResourceExhausted for more than
/// 20 million links. Cancelled.
Result<Neighbours> neighboursWithin(std::span<const Point> points, double distance, Progress& progress);

}  // namespace leeward::analysis
