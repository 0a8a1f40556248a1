#include "analysis/sightings/point_tree.h"

#include <algorithm>
#include <limits>
#include <numeric>

namespace leeward::analysis {
namespace {
constexpr std::uint32_t kLeafPoints = 12;
}

PointTree::PointTree(std::span<const Point> points) : points_(points.begin(), points.end()), rows_(points.size()) {
  std::iota(rows_.begin(), rows_.end(), 0U);
  if (points.empty()) return;
  nodes_.reserve(points.size() / (kLeafPoints / 4) + 1);
  build(0, static_cast<std::uint32_t>(points.size()));  // sorts rows_; points_ follow
  for (std::size_t place = 0; place < rows_.size(); ++place) points_[place] = points[rows_[place]];
}

std::uint32_t PointTree::build(std::uint32_t begin, std::uint32_t end) {
  const auto index = static_cast<std::uint32_t>(nodes_.size());
  nodes_.push_back({Bbox(), begin, end, 0});
  Bbox box;
  for (auto i = begin; i < end; ++i) box.add(points_[rows_[i]]);
  nodes_[index].box = box;
  if (end - begin <= kLeafPoints) return index;
  const auto middle = begin + (end - begin) / 2;
  const bool by_x = box.width() >= box.height();
  std::nth_element(rows_.begin() + begin, rows_.begin() + middle, rows_.begin() + end, [&](std::uint32_t a, std::uint32_t b) {
    const double left = by_x ? points_[a].x : points_[a].y, right = by_x ? points_[b].x : points_[b].y;
    return left != right ? left < right : a < b;
  });
  build(begin, middle);
  const auto right = build(middle, end);  // nodes_ may move meanwhile
  nodes_[index].right = right;
  return index;
}

void PointTree::gather(std::uint32_t index, Point p, std::size_t k, std::vector<double>& nearest) const {
  const Node& node = nodes_[index];
  if (node.right == 0) {
    for (auto i = node.begin; i < node.end; ++i) {
      const double d2 = distance2(points_[i], p);
      if (nearest.size() == k && !(d2 < nearest.front())) continue;
      if (nearest.size() == k) std::pop_heap(nearest.begin(), nearest.end()), nearest.pop_back();
      nearest.push_back(d2);
      std::push_heap(nearest.begin(), nearest.end());
    }
    return;
  }
  std::uint32_t near = index + 1, far = node.right;
  double near2 = distance2(nodes_[near].box, p), far2 = distance2(nodes_[far].box, p);
  if (far2 < near2) std::swap(near, far), std::swap(near2, far2);
  if (nearest.size() < k || near2 < nearest.front()) gather(near, p, k, nearest);
  if (nearest.size() < k || far2 < nearest.front()) gather(far, p, k, nearest);
}

double PointTree::kthDistance2(Point p, std::size_t k, std::vector<double>& nearest) const {
  nearest.clear();
  if (k == 0 || points_.size() < k) return std::numeric_limits<double>::infinity();
  gather(0, p, k, nearest);
  return nearest.front();
}

}  // namespace leeward::analysis
