#pragma once
/// Clusters of points by density: where sightings lie close together, in space or in space and time.
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct ClusterRequest {
  double radius_m = 0;         ///< > 0; two points are neighbours at this distance or less
  std::size_t at_least = 0;    ///< >= 1; a point with so many neighbours, itself counted, is a core
  std::optional<double> days;  ///< >= 0; neighbours must also be so few days apart or fewer
};

enum class ClusterRole : std::uint8_t { Alone, Edge, Core };

struct ClusterSummary {
  std::size_t points = 0;
  std::size_t cores = 0;
  double first_day = std::numeric_limits<double>::quiet_NaN();  ///< nan where no member has a time
  double last_day = std::numeric_limits<double>::quiet_NaN();
};

struct Clusters {
  std::vector<std::int32_t> cluster;    ///< per point: 0-based, in order of each cluster's first row; -1 = none
  std::vector<ClusterRole> role;        ///< per point
  std::vector<ClusterSummary> summary;  ///< per cluster
  Geometries hulls;                     ///< per cluster: convex hull of its members; a line or point where degenerate
};

/// DBSCAN, or ST-DBSCAN with two radii where `request.days` is set.
///
/// Cores within reach of each other share a cluster. A point within reach of a core that is none itself is an
/// edge and goes to its nearest core (in space; tie: the core of the lowest row). Everything else is alone.
/// Shapes:  one result row a point, in order. `days`: empty, or one a point (any origin, in days).
/// Units:   points in metres in a plane that is true to scale.
/// Edges:   a point with a coordinate (or, with request.days, a time) that is no finite number is alone and nobody's neighbour;
///          duplicates each count; no points give no clusters. A hull has its corners at members: crew only.
/// Errors:  InvalidArgument: radius, at_least or days out of range, or request.days without times. Cancelled.
/// Cost:    a grid of radius-sized cells; about n log n where points are spread, in the worst case the neighbour pairs;
///          parallel.
/// Source:  Ester, Kriegel, Sander & Xu 1996 (KDD-96, 226-231); Birant & Kut 2007 (Data Knowl. Eng. 60, 208-221) without its
///          value threshold; exact grid form after Gunawan 2013 (TU Eindhoven).
/// Accuracy: exact, checked in tests/reference/statistics/clusters_test.cpp.
Result<Clusters> findClusters(std::span<const Point> points, std::span<const double> days, const ClusterRequest& request,
                              Progress& progress);

}  // namespace leeward::analysis
