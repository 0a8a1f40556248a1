#pragma once
/// Statistics of a raster over areas, each cell weighted by exactly how much of it the area covers.
#include <span>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"
#include "shared/layer/layer.h"

namespace leeward::analysis {

struct ZonalRequest {
  std::vector<double> quantiles;    ///< each in 0..1
  std::vector<double> share_above;  ///< limits
  bool median = true;               ///< quantiles hold an area's cells in memory
};

/// One row an area; nan where no cell with a value is covered.
struct ZonalStatistics {
  std::vector<double> mean, min, max, sd, median;
  std::vector<std::vector<double>> quantiles;    ///< [request index][area]
  std::vector<std::vector<double>> share_above;  ///< [request index][area]: covered share of cells with value > limit, 0..1
  std::vector<double> covered_cells;             ///< sum of the covered fractions of cells with a value
  std::vector<double> missing_share;  ///< share of the area's cells (in the raster) without a value; nan if it misses the raster
};

/// Coverage-weighted statistics.
///
/// A cell's weight is the covered fraction of the cell (0..1); cells without a value leave both sums. sd has divisor
/// sum of weights. min and max take every cell that is covered by more than a billionth. Quantile q is the lowest value at which
/// the weights up to it reach q of their sum; where they reach it exactly, the mean of it and the next value.
/// Shapes:  areas and raster in the raster's plane (reproject the areas, not the raster). Any number of parts and holes.
/// Edges:   what lies off the raster has no cells. Areas should be valid (shared/geo repairAreas): where parts overlap, weights
///          stop at 1.
/// Errors:  InvalidArgument: a quantile outside 0..1, an empty raster. Cancelled.
/// Cost:    cells in the areas' boxes; strips of rows bound the memory; parallel over areas.
/// Source:  exact coverage by adding up signed areas between edges and cells along rows (Catmull 1978, SIGGRAPH 12(3), 6-11;
///          see analysis/METHODS.md); mean and sd by West 1979 (Communications of the ACM 22, 532-535).
/// Accuracy: 1e-9 relative, checked in tests/reference/statistics/zonal_test.cpp.
Result<ZonalStatistics> zonalStatistics(const Geometries& areas, const Raster& raster, const ZonalRequest& request,
                                        Progress& progress);

}  // namespace leeward::analysis
