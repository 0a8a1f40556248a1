#pragma once
/// A k-d tree over points in a plane: its points lie in the tree's own order, so that a node is a range of them.
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// Halves by rank along the longer side of each node's box (Bentley 1975); repeated points are no trouble. Immutable, safe from several threads.
class PointTree {
 public:
  struct Node {
    Bbox box;                     ///< of its points
    std::uint32_t begin = 0, end = 0;  ///< in the tree's order
    std::uint32_t right = 0;      ///< index of the second child (the first is the next node); 0 = a leaf
  };

  /// Points must be finite and fewer than 2^32.
  explicit PointTree(std::span<const Point> points);

  const std::vector<Node>& nodes() const { return nodes_; }  ///< children after their parent; none without points
  const std::vector<Point>& points() const { return points_; }  ///< in the tree's order
  std::uint32_t row(std::size_t place) const { return rows_[place]; }  ///< of the input, by place in the tree's order

  static double distance2(Point a, Point b) { return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y); }
  static double distance2(const Bbox& box, Point p) {
    const double dx = p.x < box.min_x ? box.min_x - p.x : p.x > box.max_x ? p.x - box.max_x : 0;
    const double dy = p.y < box.min_y ? box.min_y - p.y : p.y > box.max_y ? p.y - box.max_y : 0;
    return dx * dx + dy * dy;
  }

  /// Squared distance to the k-th nearest point, the point at `p` itself counted if it is one of the tree's; infinity if there are fewer.
  /// `nearest` is room to work in, kept by the caller from one call to the next.
  double kthDistance2(Point p, std::size_t k, std::vector<double>& nearest) const;

  /// Calls visit(row, squared distance) for all points within a squared distance.
  template <class Visit>
  void eachWithin(Point p, double radius2, const Visit& visit) const {
    std::vector<std::uint32_t> open;
    if (!nodes_.empty()) open.push_back(0);
    while (!open.empty()) {
      const auto index = open.back();
      open.pop_back();
      const Node& node = nodes_[index];
      if (distance2(node.box, p) > radius2) continue;
      if (node.right != 0) {
        open.push_back(node.right), open.push_back(index + 1);
        continue;
      }
      for (auto i = node.begin; i < node.end; ++i) {
        const double d2 = distance2(points_[i], p);
        if (d2 <= radius2) visit(rows_[i], d2);
      }
    }
  }

 private:
  std::uint32_t build(std::uint32_t begin, std::uint32_t end);
  void gather(std::uint32_t index, Point p, std::size_t k, std::vector<double>& nearest) const;

  std::vector<Node> nodes_;
  std::vector<Point> points_;
  std::vector<std::uint32_t> rows_;
};

}  // namespace leeward::analysis
