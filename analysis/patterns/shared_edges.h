#pragma once
/// Edges that two areas have in common, end for end: how the borders of a clean layer meet.
#include <cstdint>
#include <utility>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// One entry a vertex of the layer; edge i runs from vertex i to the next one of its ring.
struct SharedEdges {
  static constexpr std::uint32_t kNone = 0xFFFFFFFFU;

  std::vector<std::uint32_t> row;      ///< the edge's row; kNone where none begins: a ring's last vertex, no length, not finite, no area
  std::vector<std::uint32_t> partner;  ///< an edge of another row with the same ends, in either direction; kNone = there is none
  std::vector<std::uint8_t> several;   ///< more than one other row has the edge (areas that lie over each other)
  std::vector<std::pair<std::uint32_t, std::uint32_t>> further;  ///< pairs of rows beyond those of `partner`
};

/// Ends are the same if both coordinates are, bit for bit (-0 is 0). `seam`: an x that is the same place as seam + wrap (wrap 0: none).
/// Cost: each edge once through a hash table; parallel. Errors: Cancelled; ResourceExhausted beyond 2^32 - 2 vertices.
Result<SharedEdges> sharedEdges(const Geometries& areas, double seam, double wrap, Progress& progress);

}  // namespace leeward::analysis
