#pragma once
/// `cluster`: clusters of points by density.
#include <optional>
#include <string>

#include "analysis/sightings/clusters.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct ClusterPointsRequest {
  LayerRequest points;
  double within_m = 0;
  std::size_t at_least = 0;
  std::optional<double> days;  ///< needs `when`
  std::string when;            ///< column with an ISO date(-time) or a number of days
};

struct ClusteredPoints {
  Layer layer;  ///< the input's columns, then cluster (Integer, 0-based; missing = none) and role (core, edge, alone)
  std::vector<RefusedRow> refused;  ///< rows without a point or, with days, without a time: both columns stay empty
  std::size_t clusters = 0;
  std::string frame;  ///< in what distances were measured, for people
};

/// "core", "edge", "alone".
const char* roleName(analysis::ClusterRole role);

/// One output row an input row, in order; geometry as read. BadData: no points, a time that is neither an ISO date nor a number.
Result<ClusteredPoints> clusterPoints(const ClusterPointsRequest& request, Progress& progress);

}  // namespace leeward::study
