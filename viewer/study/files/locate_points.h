#pragma once
/// `locate`: which area each point is in, and how sure that is.
#include <string>

#include "viewer/study/files/input.h"

namespace leeward::study {

struct LocatePointsRequest {
  LayerRequest points;
  LayerRequest areas;
  std::string id;           ///< column of the areas; rows of one id are one area
  std::string uncertainty;  ///< column of the points, metres: standard deviation on each axis (39 % within it, 86 % within twice it)
};

struct LocatedPoints {
  FileAnswer answer;  ///< the points' columns, then area_id, area_chance, second_id, second_chance
  std::size_t inside = 0, outside = 0;
};

/// The area of each point. Without `uncertainty`: the area that holds it, chance 1; a point on a border belongs to the first of
/// the areas that meet there (in the file's order), and so does one in overlapping areas. With it: the likeliest and the next likely
/// area with the chance of each (analysis/overlay/locate.h); a row whose uncertainty is empty gets its area and no chance, since
/// "not known" is not "exact"; 0 is exact. Outside all areas: all four empty. Geometry as read.
/// Errors: those of reading; BadData (no point, no area, an area without id), CrsMismatch. Rows without a point, or with an
/// uncertainty that is no number or negative, are refused.
Result<LocatedPoints> locatePoints(const LocatePointsRequest& request, Progress& progress);

}  // namespace leeward::study
