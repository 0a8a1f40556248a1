#pragma once
/// Which area a point is in, and how sure that is when the point isn't.
#include <cstdint>
#include <span>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct Located {
  std::int32_t area = -1;    ///< row of the (likeliest) area; -1 = none
  double chance = 0;         ///< that the true place is in it
  std::int32_t second = -1;  ///< the next likely area; -1 = none
  double second_chance = 0;
};

/// The area of each point.
///
/// Without uncertainty (0, or an empty span) the area that contains the point, chance 1; the boundary counts as inside
/// and ties, also of overlapping areas, go to the lowest row. With uncertainty s > 0 the true place is taken as
/// circular normal about the point with standard deviation s on each axis (so 39 % within s, 86 % within 2 s): the chance
/// of each area is the normal's mass over it, and the two largest are given (tie: lowest row). Chances are not scaled to 1:
/// what is missing lies in further areas or in none. Chances below 1e-9 count as none.
/// Shapes:  one row a point. `uncertainty_m` empty or one a point; nan is taken as 0.
/// Units:   points and areas in one plane, metres, true to scale.
/// Edges:   a nan point is in no area; rows that aren't areas hold nothing.
/// Errors:  InvalidArgument: span of another length, negative uncertainty. Cancelled.
/// Source:  the mass over a polygon is a sum over its edges of angles and Owen's T function (Owen 1956, Ann. Math. Stat. 27,
///          1075-1090; derivation in analysis/METHODS.md). Exact up to rounding (1e-12), no sampling.
Result<std::vector<Located>> locate(std::span<const Point> points, std::span<const double> uncertainty_m, const Geometries& areas,
                                    Progress& progress);

/// The mass over one area of a circular normal with standard deviation sigma > 0 on each axis.
double normalMass(const Geometries& areas, std::size_t row, Point center, double sigma);

}  // namespace leeward::analysis
