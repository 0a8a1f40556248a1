#pragma once
/// Clusters of points of differing density: no radius is given, each cluster is taken at the density at which it stands out longest.
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/sightings/clusters.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct HierarchySummary {
  std::size_t points = 0;
  /// Sum over its points of 1 / (the distance at which the point leaves it) - 1 / (the distance at which it appears); infinite where so
  /// many points as make a cluster lie at one spot.
  double stability = 0;
};

struct HierarchyClusters {
  std::vector<std::int32_t> cluster;   ///< per point: 0-based, in order of each cluster's first row; -1 = none
  std::vector<ClusterRole> role;       ///< per point; Edge: it holds the parts of a split together, see below
  std::vector<double> outlier_score;   ///< per point, GLOSH: 0 = as dense as its cluster gets, towards 1 = far out; nan without a place
  std::vector<HierarchySummary> summary;  ///< per cluster
};

/// HDBSCAN*: a hierarchy of the density clusters of all radii, cut by excess of mass.
///
/// `at_least` is both the number of points (itself counted) that the core distance reaches to and the fewest points of a cluster. Edges of
/// equal length leave the hierarchy at once, as the paper has it, so that the result is one and the same whatever the order of rows or
/// the number of threads. All points together are no cluster of their own (the paper's choice), unless all lie at one spot.
/// A point that leaves at the very distance at which its cluster splits belongs to neither part, and is by mutual
/// reachability equally near to those that it holds together: it is an edge of the largest chosen
/// one (tie: the one with the lowest row within that distance). The score is 1 - e / c: c the point's core distance, e the shortest mutual
/// reachability in the last cluster that held it, not below 0.
/// Shapes:  one result row a point, in order.
/// Units:   points in metres in a plane that is true to scale; only ratios of distances matter.
/// Edges:   a point with a coordinate that is no finite number (or beyond 1e100) is alone, has no score and counts for nothing. Fewer
///          points than `at_least`: none is in a cluster, and scores are 0. Points at one spot: so many as make a cluster are infinitely
///          dense; the spot is always in a cluster, with score 0, and points that belong to it score 1.
/// Errors:  InvalidArgument for at_least under 2. Cancelled.
/// Source:  Campello, Moulavi, Zimek & Sander 2015 (ACM TKDD 10(1), 5): HDBSCAN*, excess of mass (section 5), GLOSH (section 6).
/// Accuracy: exact, checked in tests/reference/statistics/hierarchy_test.cpp.
Result<HierarchyClusters> findHierarchy(std::span<const Point> points, std::size_t at_least, Progress& progress);

}  // namespace leeward::analysis
