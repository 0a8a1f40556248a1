#pragma once
/// `cluster`: clusters of points by density.
#include <cstdint>
#include <optional>
#include <string>

#include "analysis/sightings/clusters.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

enum class ClusterMethod : std::uint8_t {
  Density,    ///< DBSCAN; with days ST-DBSCAN
  Hierarchy,  ///< HDBSCAN*: no reach, no days
};

struct ClusterPointsRequest {
  LayerRequest points;
  ClusterMethod method = ClusterMethod::Density;
  std::optional<double> within_m;  ///< the reach; needed by Density alone
  std::size_t at_least = 0;
  std::optional<double> days;  ///< needs `when`
  std::string when;            ///< column with an ISO date(-time) or a number of days
};

struct ClusteredPoints {
  Layer layer;  ///< the input's columns, then cluster (Integer, 0-based; missing = none) and role (core, edge, alone); Hierarchy: outlier_score too
  std::vector<RefusedRow> refused;  ///< rows without a point or, with days, without a time: both columns stay empty
  std::size_t clusters = 0;
  std::size_t in_clusters = 0;  ///< points
  std::string frame;  ///< in what distances were measured, for people
};

/// "core", "edge", "alone".
const char* roleName(analysis::ClusterRole role);

/// One output row an input row, in order; geometry as read. InvalidArgument: options that don't fit the method. BadData: no points, a time that is neither an ISO date nor a number.
Result<ClusteredPoints> clusterPoints(const ClusterPointsRequest& request, Progress& progress);

}  // namespace leeward::study
