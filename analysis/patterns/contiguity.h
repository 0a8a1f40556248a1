#pragma once
/// Areas that touch.
#include "analysis/rates/neighbours.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

enum class Touch : std::uint8_t {
  Queen,  ///< at a point is enough
  Rook,   ///< along a length
};

struct ContiguityRequest {
  Touch touch = Touch::Queen;
  /// Borders this close count as touching, in the coordinates' unit; 0: only what touches up to the rounding of coordinates.
  double tolerance = 0;
  double wrap = 0;  ///< 360 for longitudes: the layer's western and eastern ends are one meridian if they lie so far apart; 0 = a plane
};

struct Contiguity {
  Neighbours neighbours;
  std::size_t pairs = 0;               ///< of areas that touch
  std::size_t pairs_by_tolerance = 0;  ///< of them, those with a gap (rook: without a length in common) that only the tolerance closed
};

/// Which areas touch: for the question "who is next to whom" of Moran and others, after the moves of two pieces on a chess board.
///
/// Queen: two borders come within the tolerance of each other somewhere. Rook: they have an edge in common end for end; or one border
/// runs along the other, within the tolerance, for more than ten times the tolerance (the same with the rounding of coordinates, 64
/// units in the last place, instead of the tolerance). A corner may lie in the middle of a neighbour's edge; slivers between two
/// borders, gaps or overlaps, don't matter up to the tolerance.
/// Shapes:  one entry a row; rows that aren't areas have no neighbour. Layers need not be clean.
/// Units:   any plane, longitude and latitude as well: lines are straight in these coordinates. Compare in the coordinates that the
///          file came in: a corner in the middle of a long edge leaves it when both are reprojected.
/// Edges:   rows of one and the same outline (flats in one house) are each other's neighbours and have the same others. An area inside
///          another's interior, without touching its border, is not its neighbour. Of areas that lie over each other, pairs of which
///          both borders are met end for end by third ones can be missed (two coverages in one file).
/// Errors:  InvalidArgument: a tolerance or wrap that is negative or not finite. Cancelled; ResourceExhausted beyond 2^32 - 2 corners.
/// Cost:    a hash table of edges; what is left over (outer borders, corners where three or more meet) through a table of cells.
/// Source:  Cliff & Ord 1981, Spatial Processes; lengths and tolerance as said here are our own.
Result<Contiguity> contiguity(const Geometries& areas, const ContiguityRequest& request, Progress& progress);

}  // namespace leeward::analysis
