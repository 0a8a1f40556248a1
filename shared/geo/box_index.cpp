#include <algorithm>
#include <array>
#include <cmath>

#include "shared/geo/overlay.h"

namespace leeward {

/// A packed tree of boxes, filled by sort-tile-recursive (Leutenegger, Lopez & Edgington 1997): level 0 holds the rows' boxes
/// in packing order, each further one the boxes of kFan below.
struct BoxIndex::Tree {
  static constexpr std::size_t kFan = 16;
  std::vector<std::size_t> rows;
  std::vector<std::vector<Bbox>> levels;
};

BoxIndex::BoxIndex(BoxIndex&&) noexcept = default;
BoxIndex& BoxIndex::operator=(BoxIndex&&) noexcept = default;
BoxIndex::~BoxIndex() = default;

BoxIndex::BoxIndex(const Geometries& geometry) : tree_(std::make_unique<Tree>()) {
  struct Item {
    Bbox box;
    Point center;
    std::size_t row;
  };
  std::vector<Item> items;
  items.reserve(geometry.size());
  for (std::size_t row = 0; row < geometry.size(); ++row) {
    const Bbox box = geometry.bbox(row);
    if (!box.isEmpty() && std::isfinite(box.width()) && std::isfinite(box.height())) items.push_back({box, box.center(), row});
  }
  const auto leaves = static_cast<double>((items.size() + Tree::kFan - 1) / Tree::kFan);
  const auto strip = static_cast<std::size_t>(std::ceil(std::sqrt(std::max(leaves, 1.0)))) * Tree::kFan;
  std::ranges::sort(items, [](const Item& a, const Item& b) { return a.center.x != b.center.x ? a.center.x < b.center.x : a.row < b.row; });
  for (std::size_t begin = 0; begin < items.size(); begin += strip) {
    const auto first = items.begin() + static_cast<std::ptrdiff_t>(begin);
    const auto last = items.begin() + static_cast<std::ptrdiff_t>(std::min(items.size(), begin + strip));
    std::sort(first, last, [](const Item& a, const Item& b) { return a.center.y != b.center.y ? a.center.y < b.center.y : a.row < b.row; });
  }
  tree_->levels.emplace_back();
  for (const Item& item : items) {
    tree_->rows.push_back(item.row);
    tree_->levels.back().push_back(item.box);
  }
  while (tree_->levels.back().size() > 1) {
    const auto& below = tree_->levels.back();
    std::vector<Bbox> level((below.size() + Tree::kFan - 1) / Tree::kFan);
    for (std::size_t i = 0; i < below.size(); ++i) level[i / Tree::kFan].add(below[i]);
    tree_->levels.push_back(std::move(level));
  }
}

std::vector<std::size_t> BoxIndex::meeting(const Bbox& box) const {
  std::vector<std::size_t> found;
  if (tree_->rows.empty()) return found;
  struct Node {
    std::size_t level;
    std::size_t index;
  };
  // A node's siblings that wait: kFan a level, and sixteen levels hold more rows than there can be.
  std::array<Node, Tree::kFan * 16> open;
  std::size_t waiting = 0;
  if (tree_->levels.back()[0].meets(box)) open[waiting++] = {tree_->levels.size() - 1, 0};
  while (waiting > 0) {
    const Node node = open[--waiting];
    if (node.level == 0) {
      found.push_back(tree_->rows[node.index]);
      continue;
    }
    const auto& below = tree_->levels[node.level - 1];
    const std::size_t begin = node.index * Tree::kFan, end = std::min(begin + Tree::kFan, below.size());
    for (std::size_t i = begin; i < end; ++i) {
      if (!below[i].meets(box)) continue;
      if (node.level == 1) found.push_back(tree_->rows[i]);
      else open[waiting++] = {node.level - 1, i};
    }
  }
  std::ranges::sort(found);
  return found;
}

}  // namespace leeward
