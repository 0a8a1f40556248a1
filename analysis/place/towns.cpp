/// Which towns lie beside each other, by where their doors and lines are.
#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "analysis/place/index_data.h"

namespace leeward::analysis {
namespace {

constexpr double kBesideM = 400;  ///< side of the cells; towns in cells that touch are neighbours

std::int64_t cellOf(std::int64_t x, std::int64_t y) { return x * 0x100000000LL + y; }

}  // namespace

void findNeighbours(IndexData& index) {
  const std::size_t towns = index.places.size();
  index.neighbours.assign(towns, {});
  if (towns <= 2) return;
  std::unordered_map<std::int64_t, std::vector<std::uint32_t>> in_cell;
  std::vector<std::pair<std::int64_t, std::int64_t>> cells;
  const auto add = [&](Point at, std::uint32_t town) {
    if (town == 0 || !std::isfinite(at.x) || !std::isfinite(at.y)) return;
    const auto x = static_cast<std::int64_t>(std::floor(at.x / kBesideM)), y = static_cast<std::int64_t>(std::floor(at.y / kBesideM));
    std::vector<std::uint32_t>& held = in_cell[cellOf(x, y)];
    if (held.empty()) cells.emplace_back(x, y);
    if (std::find(held.begin(), held.end(), town) == held.end()) held.push_back(town);
  };
  for (const Street& street : index.streets) {
    for (const NumberedPoint& p : street.points) add(index.points.position[p.row], street.place);
    for (const std::uint32_t row : street.lines) {
      for (const Point vertex : index.ranges.lines.path(row, 0)) add(vertex, street.place);
    }
  }
  for (const auto& [x, y] : cells) {
    for (std::int64_t to_x = x - 1; to_x <= x + 1; ++to_x) {
      for (std::int64_t to_y = y - 1; to_y <= y + 1; ++to_y) {
        const auto near = in_cell.find(cellOf(to_x, to_y));
        if (near == in_cell.end()) continue;
        for (const std::uint32_t town : in_cell[cellOf(x, y)]) {
          for (const std::uint32_t other : near->second) {
            if (other != town) index.neighbours[town].push_back(other);
          }
        }
      }
    }
    for (const std::uint32_t town : in_cell[cellOf(x, y)]) {
      std::vector<std::uint32_t>& beside = index.neighbours[town];
      std::sort(beside.begin(), beside.end());
      beside.erase(std::unique(beside.begin(), beside.end()), beside.end());
    }
  }
}

}  // namespace leeward::analysis
