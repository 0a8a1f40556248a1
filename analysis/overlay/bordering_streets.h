#pragma once
/// The streets that a block lies between: how people name a block that has only a number.
#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct BorderingRequest {
  double step_m = 10;         ///< > 0: how far apart a street is sampled
  double beside_m = 15;       ///< > 0: how far to its sides the blocks are looked for; over half of a right of way
  double least_share = 0.08;  ///< 0..1: names with less of a block's border are left out
  std::size_t most = 4;       ///< names a block
};

/// The names of the streets along each area, the `most` longest ones, clockwise from the north of its box; none where no named
/// street runs beside it. A street inside an area (both its sides lie in it) names the area only if nothing else does.
/// Shapes:  one entry an area; `names` one a row of `streets`, "" = no name. Equal names are one street.
/// Units:   both in one plane, metres, true to scale.
/// Edges:   streets shorter than a step are sampled once, in their middle; rows that are no lines and areas that are none are passed over.
/// Errors:  InvalidArgument: names of another length, a request out of its range. Cancelled.
Result<std::vector<std::vector<std::string>>> borderingStreets(const Geometries& areas, const Geometries& streets, std::span<const std::string> names,
                                                               const BorderingRequest& request, Progress& progress);

}  // namespace leeward::analysis
