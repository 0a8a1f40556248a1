#pragma once
/// `zonal`: exact-coverage statistics of a raster over areas.
#include <string>

#include "viewer/study/files/input.h"

namespace leeward::study {

struct ZonalAreasRequest {
  LayerRequest areas;
  std::string raster;
  std::string statistics = "mean";  ///< comma-separated: mean, min, max, sd, median, quantile:Q, share-above:X
};

/// The areas' columns, then one Real column a statistic, in the order asked for: mean, min, max, sd, median, quantile_Q,
/// share_above_X; missing where no cell is covered. Geometry as read. Rows without an outline are refused. InvalidArgument for an
/// unknown statistic.
Result<FileAnswer> zonalAreas(const ZonalAreasRequest& request, Progress& progress);

}  // namespace leeward::study
