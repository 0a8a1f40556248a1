#include "analysis/sightings/reach_tree.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <memory>
#include <numeric>
#include <tuple>

#include "analysis/sightings/point_tree.h"

namespace leeward::analysis {
namespace {

constexpr double kFar = std::numeric_limits<double>::infinity();
constexpr std::uint32_t kNone = 0xFFFFFFFFU;
constexpr std::size_t kPointsPerBatch = 2048;

/// Boruvka's rounds: each component finds its shortest way out, all at once. Everything is by place in the tree's order and in squares.
class Joining {
 public:
  Joining(const PointTree& tree, const std::vector<double>& core2)
      : tree_(tree), core2_(core2), nodes_(tree.nodes().size()), component_(core2.size()), target_(core2.size(), kNone),
        least2_(core2.size(), 0), limit_(std::make_unique<std::atomic<double>[]>(core2.size())) {
    std::iota(component_.begin(), component_.end(), 0U);
    for (std::size_t i = nodes_.size(); i-- > 0;) {
      const auto& node = tree_.nodes()[i];
      nodes_[i].core2 = kFar;
      if (node.right == 0) {
        for (auto p = node.begin; p < node.end; ++p) nodes_[i].core2 = std::min(nodes_[i].core2, core2_[p]);
      } else {
        nodes_[i].core2 = std::min(nodes_[i + 1].core2, nodes_[node.right].core2);
      }
    }
    joinRepeated();
  }

  Result<std::vector<ReachEdge>> run(Progress& progress) {
    const std::size_t wanted = component_.size() - 1;
    while (edges_.size() < wanted) {
      relabel();
      LEEWARD_TRY(searchAll(progress));
      joinBest();
      progress.report(static_cast<double>(edges_.size()) / static_cast<double>(wanted));
    }
    return std::move(edges_);
  }

 private:
  struct State {
    double core2 = 0;                 ///< least of its points
    std::uint32_t component = kNone;  ///< that all its points are of
  };

  /// Points at one spot reach each other as soon as anything can reach them.
  void joinRepeated() {
    const auto& points = tree_.points();
    std::vector<std::uint32_t> order(points.size());
    std::iota(order.begin(), order.end(), 0U);
    std::sort(order.begin(), order.end(), [&](auto a, auto b) { return std::tie(points[a].x, points[a].y, a) < std::tie(points[b].x, points[b].y, b); });
    repeated_.assign(points.size(), false);
    for (std::size_t i = 1; i < order.size(); ++i) {
      if (!(points[order[i]] == points[order[i - 1]])) continue;
      repeated_[order[i]] = true;
      join(order[i - 1], order[i], core2_[order[i]]);
    }
  }

  std::uint32_t root(std::uint32_t i) {
    while (component_[i] != i) i = component_[i] = component_[component_[i]];
    return i;
  }

  void join(std::uint32_t a, std::uint32_t b, double length2) {
    const auto root_a = root(a), root_b = root(b);
    if (root_a == root_b) return;
    component_[std::max(root_a, root_b)] = std::min(root_a, root_b);
    const auto row_a = tree_.row(a), row_b = tree_.row(b);
    edges_.push_back({std::sqrt(length2), std::min(row_a, row_b), std::max(row_a, row_b)});
  }

  void relabel() {
    for (std::uint32_t i = 0; i < component_.size(); ++i) component_[i] = component_[component_[i]];  // roots come first
    for (std::size_t i = nodes_.size(); i-- > 0;) {
      const auto& node = tree_.nodes()[i];
      auto one = component_[node.begin];
      if (node.right == 0) {
        for (auto p = node.begin; p < node.end; ++p) one = component_[p] == one ? one : kNone;
      } else if (nodes_[i + 1].component != nodes_[node.right].component) {
        one = kNone;
      } else {
        one = nodes_[node.right].component;
      }
      nodes_[i].component = one;
    }
  }

  Result<void> searchAll(Progress& progress) {
    for (std::size_t i = 0; i < component_.size(); ++i) limit_[i].store(kFar, std::memory_order_relaxed);
    for (std::uint32_t i = 0; i < component_.size(); ++i) {
      if (target_[i] == kNone) continue;
      if (component_[target_[i]] == component_[i]) target_[i] = kNone;  // least2_ stays true as a lower bound
      else lower(limit_[component_[i]], least2_[i]);
    }
    Progress quiet = progress.quiet();
    return quiet.parallelFor(component_.size(), kPointsPerBatch, [&](std::size_t begin, std::size_t end) {
      for (std::size_t i = begin; i < end; ++i) {
        if (target_[i] == kNone && !repeated_[i]) search(static_cast<std::uint32_t>(i));
      }
    });
  }

  static void lower(std::atomic<double>& limit, double to) {
    double held = limit.load(std::memory_order_relaxed);
    while (to < held && !limit.compare_exchange_weak(held, to, std::memory_order_relaxed)) {
    }
  }

  /// A point's nearest in another component, as far as that is below what its component has found so far. Which point of several equally
  /// near ones is found may depend on threads, the length can't.
  void search(std::uint32_t from) {
    auto& limit = limit_[component_[from]];
    double bound = limit.load(std::memory_order_relaxed);
    least2_[from] = std::max(least2_[from], core2_[from]);
    if (!(least2_[from] < bound)) return;
    std::uint32_t found = kNone;
    visit(0, from, bound, found);
    target_[from] = found;
    least2_[from] = std::max(least2_[from], bound);
    if (found != kNone) lower(limit, bound);
  }

  void visit(std::uint32_t index, std::uint32_t from, double& bound, std::uint32_t& found) const {
    const auto& node = tree_.nodes()[index];
    const auto mine = component_[from];
    const Point p = tree_.points()[from];
    if (node.right == 0) {
      for (auto i = node.begin; i < node.end; ++i) {
        if (component_[i] == mine) continue;
        const double length2 = std::max({PointTree::distance2(p, tree_.points()[i]), core2_[from], core2_[i]});
        if (length2 < bound) bound = length2, found = i;
      }
      return;
    }
    std::uint32_t near = index + 1, far = node.right;
    double near2 = PointTree::distance2(tree_.nodes()[near].box, p), far2 = PointTree::distance2(tree_.nodes()[far].box, p);
    if (far2 < near2) std::swap(near, far), std::swap(near2, far2);
    const auto isWorth = [&](std::uint32_t child, double box2) {
      return nodes_[child].component != mine && std::max({box2, nodes_[child].core2, core2_[from]}) < bound;
    };
    if (isWorth(near, near2)) visit(near, from, bound, found);
    if (isWorth(far, far2)) visit(far, from, bound, found);
  }

  void joinBest() {
    std::vector<std::uint32_t> best(component_.size(), kNone);
    for (std::uint32_t i = 0; i < component_.size(); ++i) {
      auto& of = best[component_[i]];
      if (target_[i] != kNone && (of == kNone || least2_[i] < least2_[of])) of = i;
    }
    for (const auto from : best) {
      if (from != kNone) join(from, target_[from], least2_[from]);
    }
  }

  const PointTree& tree_;
  const std::vector<double>& core2_;
  std::vector<State> nodes_;
  std::vector<std::uint32_t> component_;
  std::vector<std::uint32_t> target_;  ///< nearest point outside, kNone where not known
  std::vector<double> least2_;         ///< length to it, or else what no way out is shorter than
  std::vector<bool> repeated_;         ///< lies where an earlier point lies, which searches for it too
  std::unique_ptr<std::atomic<double>[]> limit_;  ///< per component: its shortest way out so far
  std::vector<ReachEdge> edges_;
};

}  // namespace

Result<ReachTree> reachTree(std::span<const Point> points, std::size_t at_least, Progress& progress) {
  ReachTree result;
  result.core_distance.resize(points.size());
  if (points.empty()) return result;
  progress.report(0, "Sorting points");
  const PointTree tree(points);
  const std::size_t k = std::clamp<std::size_t>(at_least, 1, points.size());
  std::vector<double> core2(points.size());
  progress.report(0.05, "Measuring density");
  auto measuring = progress.part(0.05, 0.4);
  LEEWARD_TRY(measuring.parallelFor(points.size(), kPointsPerBatch, [&](std::size_t begin, std::size_t end) {
    std::vector<double> room;
    for (std::size_t i = begin; i < end; ++i) {
      core2[i] = tree.kthDistance2(tree.points()[i], k, room);
      result.core_distance[tree.row(i)] = std::sqrt(core2[i]);
    }
  }));
  progress.report(0.4, "Joining points");
  auto joining = progress.part(0.4, 0.95);
  LEEWARD_ASSIGN(edges, Joining(tree, core2).run(joining));
  result.edges = std::move(edges);
  std::sort(result.edges.begin(), result.edges.end(),
            [](const ReachEdge& a, const ReachEdge& b) { return std::tie(a.length, a.a, a.b) < std::tie(b.length, b.a, b.b); });
  progress.report(1.0);
  return result;
}

}  // namespace leeward::analysis
