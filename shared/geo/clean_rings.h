#pragma once
/// What can be mended on a ring alone, without a look at the whole area.
#include <cstddef>
#include <span>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward {

struct RingCleaning {
  std::size_t repeats = 0;  ///< corners that stood twice in a row
  std::size_t spikes = 0;   ///< corners where the outline ran out and back over itself
};

/// A closed ring without repeated corners and without spikes of no width, which enclose nothing: its area stays the same. A spike is a
/// corner whose two sides run over each other to within 10^-9 of their length. A ring that is nothing but a spike comes out with fewer
/// than four vertices.
std::vector<Point> cleanedRing(std::span<const Point> ring, RingCleaning& cleaning);

}  // namespace leeward
