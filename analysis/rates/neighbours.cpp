#include "analysis/rates/neighbours.h"

#include <algorithm>

namespace leeward::analysis {

Result<Neighbours> Neighbours::fromEdges(std::size_t rows, std::span<const std::pair<std::size_t, std::size_t>> edges) {
  std::vector<std::pair<std::size_t, std::size_t>> sorted;
  sorted.reserve(edges.size());
  for (const auto& [from, to] : edges) {
    if (from >= rows || to >= rows) {
      return Problem{ProblemCode::InvalidArgument, "a pair of neighbours names a row that does not exist",
                     fmt::format("pair {} - {} (from 1)", from + 1, to + 1), fmt::format("There are {} rows", rows)};
    }
    if (from != to) sorted.emplace_back(from, to);
  }
  std::sort(sorted.begin(), sorted.end());
  sorted.erase(std::unique(sorted.begin(), sorted.end()), sorted.end());
  Neighbours neighbours;
  neighbours.starts_.assign(rows + 1, 0);
  for (const auto& [from, to] : sorted) {
    ++neighbours.starts_[from + 1];
    neighbours.to_.push_back(static_cast<std::uint32_t>(to));
  }
  for (std::size_t row = 0; row < rows; ++row) neighbours.starts_[row + 1] += neighbours.starts_[row];
  return neighbours;
}

}  // namespace leeward::analysis
