// What is odd between or about areas and yet no reason to change them.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "shared/geo/overlay.h"

namespace leeward {

Result<std::vector<OverlapPair>> overlappingNeighbours(const Geometries& areas, double share, Progress& progress) {
  auto pairs = overlaps(areas, areas, progress);
  if (!pairs) return std::move(pairs).problem();
  std::vector<double> size(areas.size());
  for (std::size_t row = 0; row < areas.size(); ++row) size[row] = areaOf(areas, row);
  std::erase_if(*pairs, [&](const OverlapPair& pair) { return pair.from >= pair.to || !(pair.area > share * std::min(size[pair.from], size[pair.to])); });
  return pairs;
}

std::vector<std::size_t> slivers(const Geometries& areas) {
  std::vector<double> sizes;
  for (std::size_t row = 0; row < areas.size(); ++row) {
    if (const double area = areaOf(areas, row); area > 0) sizes.push_back(area);
  }
  std::vector<std::size_t> found;
  if (sizes.size() < 3) return found;
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::ranges::nth_element(sizes, middle);
  for (std::size_t row = 0; row < areas.size(); ++row) {
    const double area = areaOf(areas, row);
    if (!(area > 0) || area > *middle / 100) continue;
    double outline = 0;
    for (std::size_t i = 0; i < areas.paths(row); ++i) {
      const auto ring = areas.path(row, i);
      for (std::size_t j = 1; j < ring.size(); ++j) outline += std::hypot(ring[j].x - ring[j - 1].x, ring[j].y - ring[j - 1].y);
    }
    if (4 * std::numbers::pi * area < 0.01 * outline * outline) found.push_back(row);
  }
  return found;
}

}  // namespace leeward
