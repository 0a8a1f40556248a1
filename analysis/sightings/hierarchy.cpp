#include "analysis/sightings/hierarchy.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "analysis/sightings/point_tree.h"
#include "analysis/sightings/reach_tree.h"
#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

constexpr double kBeyond = 1e100;  // squares of distances must stay finite
constexpr std::uint32_t kNoCluster = 0xFFFFFFFFU;

/// What joins at which distance: places 0..n-1 are points, above them the n-1 joinings in order of length.
struct Dendrogram {
  struct Join {
    std::uint32_t left = 0, right = 0;
    std::uint32_t points = 0;
    double length = 0;
    double least = 0;  ///< shortest joining in it
  };
  std::size_t points = 0;
  std::vector<Join> joins;

  Dendrogram(std::size_t count, const std::vector<ReachEdge>& edges) : points(count) {
    std::vector<std::uint32_t> parent(count), top(count);
    std::iota(parent.begin(), parent.end(), 0U);
    std::iota(top.begin(), top.end(), 0U);
    const auto root = [&](std::uint32_t i) {
      while (parent[i] != i) i = parent[i] = parent[parent[i]];
      return i;
    };
    joins.reserve(edges.size());
    for (const auto& edge : edges) {
      auto a = root(edge.a), b = root(edge.b);
      const auto leastOf = [&](std::uint32_t node) { return isPoint(node) ? edge.length : join(node).least; };
      joins.push_back({top[a], top[b], sizeOf(top[a]) + sizeOf(top[b]), edge.length, std::min(leastOf(top[a]), leastOf(top[b]))});
      if (sizeOf(top[a]) < sizeOf(top[b])) std::swap(a, b);
      parent[b] = a;
      top[a] = static_cast<std::uint32_t>(count + joins.size() - 1);
    }
  }

  bool isPoint(std::uint32_t node) const { return node < points; }
  const Join& join(std::uint32_t node) const { return joins[node - points]; }
  std::uint32_t sizeOf(std::uint32_t node) const { return isPoint(node) ? 1 : join(node).points; }
  /// What is left of a joining when all edges of its length are taken out at once.
  void parts(std::uint32_t node, std::vector<std::uint32_t>& into) const {
    const double length = join(node).length;
    std::vector<std::uint32_t> open = {join(node).right, join(node).left};
    into.clear();
    while (!open.empty()) {
      const auto one = open.back();
      open.pop_back();
      if (isPoint(one) || join(one).length < length) into.push_back(one);
      else open.push_back(join(one).right), open.push_back(join(one).left);
    }
  }
};

/// A cluster of the condensed hierarchy: it appears, loses points, and splits or dissolves.
struct Candidate {
  std::uint32_t parent = kNoCluster;
  double appears = 0;    ///< distance below which it is a cluster of its own; infinity for all points together
  double densest = 0;    ///< shortest joining in it
  std::uint32_t points = 0;  ///< when it appears
  double stability = 0;
  double best = 0;       ///< stability of the best choice among it and its descendants
  bool is_chosen = false;
};

class Condensing {
 public:
  Condensing(const Dendrogram& tree, std::size_t at_least)
      : tree_(tree), at_least_(at_least), left_from_(tree.points, kNoCluster) {}

  Result<void> run(Progress& progress) {
    struct Open {
      std::uint32_t node, cluster;
    };
    const auto top = static_cast<std::uint32_t>(tree_.points + tree_.joins.size() - 1);
    candidates_.push_back({kNoCluster, std::numeric_limits<double>::infinity(), tree_.join(top).least, tree_.sizeOf(top)});
    std::vector<Open> open = {{top, 0}};
    std::vector<std::uint32_t> parts;
    for (std::size_t steps = 0; !open.empty(); ++steps) {
      if (steps % 4096 == 0) LEEWARD_TRY(progress.checkStop());
      auto [node, cluster] = open.back();
      open.pop_back();
      const double length = tree_.join(node).length;
      tree_.parts(node, parts);
      const auto isLarge = [&](std::uint32_t part) { return tree_.sizeOf(part) >= at_least_; };
      const auto large = std::count_if(parts.begin(), parts.end(), isLarge);
      std::size_t leaving = 0;
      for (const auto part : parts) {
        if (large == 1 && isLarge(part)) {
          open.push_back({part, cluster});
          continue;
        }
        leaving += tree_.sizeOf(part);
        if (isLarge(part)) {
          candidates_.push_back({cluster, length, tree_.join(part).least, tree_.sizeOf(part)});
          open.push_back({part, static_cast<std::uint32_t>(candidates_.size() - 1)});
        } else {
          leave(part, cluster, large >= 2 ? length : kNan);
        }
      }
      auto& here = candidates_[cluster];
      // A spot that appears and dissolves at distance 0 has no span to count (and 1/0 - 1/0 is no number).
      if (length < here.appears && leaving > 0) here.stability += static_cast<double>(leaving) * (1 / length - 1 / here.appears);
    }
    return {};
  }

  /// Bottom up: a cluster stands for itself if it is at least as stable as the best of what it splits into.
  void choose(bool all_at_one_spot) {
    std::vector<double> below(candidates_.size(), 0);
    std::vector<bool> splits(candidates_.size(), false);
    for (std::size_t c = candidates_.size(); c-- > 0;) {
      auto& here = candidates_[c];
      const bool may_be = c != 0 || all_at_one_spot;
      here.is_chosen = may_be && (!splits[c] || here.stability >= below[c]);
      here.best = here.is_chosen ? here.stability : below[c];
      if (c == 0) continue;
      splits[here.parent] = true;
      below[here.parent] += here.best;
    }
  }

  /// Per candidate: the uppermost chosen one among it and its ancestors.
  std::vector<std::uint32_t> chosenAbove() const {
    std::vector<std::uint32_t> chosen(candidates_.size(), kNoCluster);
    for (std::uint32_t c = 0; c < candidates_.size(); ++c) {
      if (c > 0) chosen[c] = chosen[candidates_[c].parent];
      if (chosen[c] == kNoCluster && candidates_[c].is_chosen) chosen[c] = c;
    }
    return chosen;
  }

  const std::vector<Candidate>& candidates() const { return candidates_; }
  const std::vector<std::uint32_t>& last() const { return left_from_; }

  /// Points that leave at the very distance at which their cluster splits: they hold its parts together and belong to none of them.
  struct Between {
    std::uint32_t point;
    double length;
  };
  const std::vector<Between>& between() const { return between_; }

 private:
  void leave(std::uint32_t part, std::uint32_t cluster, double split_at) {
    std::vector<std::uint32_t> open = {part};
    while (!open.empty()) {
      const auto one = open.back();
      open.pop_back();
      if (tree_.isPoint(one)) {
        left_from_[one] = cluster;
        if (!std::isnan(split_at)) between_.push_back({one, split_at});
        continue;
      }
      open.push_back(tree_.join(one).left), open.push_back(tree_.join(one).right);
    }
  }

  const Dendrogram& tree_;
  std::size_t at_least_;
  std::vector<Candidate> candidates_;  ///< parents before children; the first is all points together
  std::vector<std::uint32_t> left_from_;  ///< per point: the last cluster it was in
  std::vector<Between> between_;
};

/// Gives points between the parts of a split to one of them. By mutual reachability all parts that a point holds together are equally near:
/// chosen ones come first, then the largest (tie: the one with the lowest row within reach). Changes `last` and returns the points that came into a chosen cluster by it.
std::vector<std::uint32_t> placeEdges(const std::vector<Point>& points, const Condensing& condensed, const std::vector<double>& core_distance,
                                      const std::vector<std::uint32_t>& chosen, std::vector<std::uint32_t>& last) {
  std::vector<std::uint32_t> edges;
  if (condensed.between().empty()) return edges;
  const auto before = last;
  const PointTree tree(points);
  for (const auto& [point, length] : condensed.between()) {
    const auto whole = before[point];
    std::uint32_t lowest = kNoCluster, part_of_lowest = kNoCluster;
    tree.eachWithin(points[point], length * length * (1 + 1e-12), [&](std::uint32_t other, double) {
      if (core_distance[other] > length) return;
      auto part = before[other];
      while (part > whole && condensed.candidates()[part].parent != whole) part = condensed.candidates()[part].parent;  // parents come first
      if (part <= whole) return;  // no point of a part
      const auto worth = [&](std::uint32_t one) { return std::pair(chosen[one] == one, condensed.candidates()[one].points); };
      if (lowest != kNoCluster && (worth(part) < worth(part_of_lowest) || (worth(part) == worth(part_of_lowest) && other > lowest))) return;
      lowest = other, part_of_lowest = part;
    });
    if (lowest == kNoCluster) continue;
    last[point] = part_of_lowest;
    if (chosen[part_of_lowest] == part_of_lowest) edges.push_back(point);
  }
  return edges;
}

/// GLOSH: 1 - (shortest joining in the point's last cluster) / (the point's own core distance).
double outlierScore(double densest, double core_distance) { return core_distance > densest ? 1 - densest / core_distance : 0; }

void tellClusters(const std::vector<Point>& points, const Condensing& condensed, const std::vector<double>& core_distance, const std::vector<std::size_t>& row_of,
                  HierarchyClusters& result) {
  const auto chosen = condensed.chosenAbove();
  auto last = condensed.last();
  const auto edges = placeEdges(points, condensed, core_distance, chosen, last);
  std::vector<std::int32_t> number(condensed.candidates().size(), -1);
  for (std::size_t i = 0; i < row_of.size(); ++i) {
    const auto row = row_of[i];
    result.outlier_score[row] = outlierScore(condensed.candidates()[last[i]].densest, core_distance[i]);
    const auto cluster = chosen[last[i]];
    if (cluster == kNoCluster) continue;
    if (number[cluster] < 0) {
      number[cluster] = static_cast<std::int32_t>(result.summary.size());
      result.summary.push_back({0, condensed.candidates()[cluster].stability});
    }
    result.cluster[row] = number[cluster];
    result.role[row] = ClusterRole::Core;
    ++result.summary[static_cast<std::size_t>(number[cluster])].points;
  }
  for (const auto edge : edges) result.role[row_of[edge]] = ClusterRole::Edge;
}

}  // namespace

Result<HierarchyClusters> findHierarchy(std::span<const Point> points, std::size_t at_least, Progress& progress) {
  if (at_least < 2) return Problem{ProblemCode::InvalidArgument, "a hierarchy of clusters needs at least 2 points a cluster", "", "Give 2 or more"};
  HierarchyClusters result;
  result.cluster.assign(points.size(), -1);
  result.role.assign(points.size(), ClusterRole::Alone);
  result.outlier_score.assign(points.size(), kNan);
  std::vector<Point> usable;
  std::vector<std::size_t> row_of;
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (!(std::abs(points[row].x) <= kBeyond) || !(std::abs(points[row].y) <= kBeyond)) continue;
    usable.push_back(points[row]);
    row_of.push_back(row);
  }
  if (usable.size() < at_least) {
    for (const auto row : row_of) result.outlier_score[row] = 0;
    return result;
  }
  auto joining = progress.part(0, 0.9);
  LEEWARD_ASSIGN(tree, reachTree(usable, at_least, joining));
  progress.report(0.9, "Choosing clusters");
  const Dendrogram dendrogram(usable.size(), tree.edges);
  Condensing condensed(dendrogram, at_least);
  LEEWARD_TRY(condensed.run(progress));
  condensed.choose(tree.edges.back().length == 0);
  tellClusters(usable, condensed, tree.core_distance, row_of, result);
  progress.report(1.0);
  return result;
}

}  // namespace leeward::analysis
