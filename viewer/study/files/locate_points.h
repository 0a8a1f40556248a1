#pragma once
/// `locate`: which area each point is in, and how sure that is.
#include <optional>
#include <string>

#include "viewer/study/files/input.h"

namespace leeward::study {

struct LocatePointsRequest {
  LayerRequest points;
  LayerRequest areas;
  std::string id;           ///< column of the areas; rows of one id are one area
  std::string uncertainty;  ///< column of the points, metres
  /// Share of true places within the uncertainty, 0..1; not given: the uncertainty is the standard deviation on each axis (39 % within
  /// it, 86 % within twice it), but for a column uncertainty_m beside placed_by, as `place` writes it, 0.95.
  std::optional<double> holds;
};

struct LocatedPoints {
  FileAnswer answer;  ///< the points' columns, then area_id, area_chance, second_id, second_chance
  std::size_t inside = 0, outside = 0;
};

/// The area of each point. Without `uncertainty`: the area that holds it, chance 1; a point on a border belongs to the first of
/// the areas that meet there (in the file's order), and so does one in overlapping areas. With it: the likeliest and the next likely
/// area with the chance of each (analysis/overlay/locate.h); a row whose uncertainty is empty gets its area and no chance, since
/// "not known" is not "exact"; 0 is exact. Outside all areas: all four empty. Geometry as read.
/// Errors: those of reading; InvalidArgument (`holds` not between 0 and 1); BadData (no point, no area, an area without id), CrsMismatch. Rows without a point, or with an
/// uncertainty that is no number or negative, are refused.
Result<LocatedPoints> locatePoints(const LocatePointsRequest& request, Progress& progress);

}  // namespace leeward::study
