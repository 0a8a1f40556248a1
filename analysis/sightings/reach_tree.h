#pragma once
/// The shortest tree that joins points by mutual reachability distance: what a hierarchy of density clusters is read from.
#include <cstdint>
#include <span>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/geometry.h"

namespace leeward::analysis {

struct ReachEdge {
  double length = 0;  ///< max(core distance of a, core distance of b, distance between them)
  std::uint32_t a = 0, b = 0;  ///< rows, a < b
};

struct ReachTree {
  std::vector<double> core_distance;  ///< per point: to its `at_least`-th nearest point, itself counted
  std::vector<ReachEdge> edges;       ///< points - 1 of them, by length, then a, then b
};

/// Minimum spanning tree of the mutual reachability distances. Where lengths tie several trees are shortest and any of them may come out;
/// the sets that lengths up to a limit join are the same in all of them.
/// Shapes:  points finite, fewer than 2^32. Fewer points than `at_least`: every core distance is that of the farthest point.
/// Errors:  Cancelled.
/// Cost:    about n log^2 n where points are spread; 500,000 points in seconds; parallel.
/// Source:  Campello, Moulavi, Zimek & Sander 2015 (ACM TKDD 10(1), 5); Boruvka's rounds over a k-d tree that skips nodes within one
///          component after March, Ram & Gray 2010 (KDD '10, 603-612).
Result<ReachTree> reachTree(std::span<const Point> points, std::size_t at_least, Progress& progress);

}  // namespace leeward::analysis
