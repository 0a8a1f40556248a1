#include "analysis/rates/neighbours.h"

#include <algorithm>
#include <cmath>

namespace leeward::analysis {
namespace {

Problem noSuchRow(std::size_t from, std::size_t to, std::size_t rows) {
  return Problem{ProblemCode::InvalidArgument, "a pair of neighbours names a row that does not exist", fmt::format("pair {} - {} (from 1)", from + 1, to + 1),
                 fmt::format("There are {} rows", rows)};
}

}  // namespace

Result<Neighbours> Neighbours::fromEdges(std::size_t rows, std::span<const std::pair<std::size_t, std::size_t>> edges) {
  std::vector<Edge> plain;
  plain.reserve(edges.size());
  for (const auto& [from, to] : edges) plain.push_back({from, to});
  return fromWeightedEdges(rows, plain);
}

Result<Neighbours> Neighbours::fromWeightedEdges(std::size_t rows, std::span<const Edge> edges) {
  Neighbours neighbours;
  std::vector<std::size_t>& starts = neighbours.starts_;
  starts.assign(rows + 2, 0);
  bool all_one = true;
  for (const Edge& edge : edges) {
    if (edge.from >= rows || edge.to >= rows) return noSuchRow(edge.from, edge.to, rows);
    if (!(edge.weight > 0) || !std::isfinite(edge.weight)) {
      return Problem{ProblemCode::InvalidArgument, "a weight between neighbours must be above 0", fmt::format("pair {} - {} (from 1)", edge.from + 1, edge.to + 1), "Leave the pair out if it should not count"};
    }
    all_one &= edge.weight == 1;
    if (edge.from != edge.to) ++starts[edge.from + 2];
  }
  // Gathered by row, then each short list is put in order.
  for (std::size_t row = 0; row < rows; ++row) starts[row + 2] += starts[row + 1];
  std::vector<std::pair<std::uint32_t, double>> gathered(starts.back());
  for (const Edge& edge : edges) {
    if (edge.from != edge.to) gathered[starts[edge.from + 1]++] = {static_cast<std::uint32_t>(edge.to), edge.weight};
  }
  starts.pop_back();  // each start has moved up to where the next row begins
  neighbours.to_.reserve(gathered.size());
  std::size_t begin = 0;
  for (std::size_t row = 0; row < rows; ++row) {
    const std::size_t end = starts[row + 1];
    std::sort(gathered.begin() + static_cast<std::ptrdiff_t>(begin), gathered.begin() + static_cast<std::ptrdiff_t>(end));
    for (std::size_t i = begin; i < end; ++i) {
      if (i == begin || gathered[i].first != gathered[i - 1].first) {
        neighbours.to_.push_back(gathered[i].first);
        if (!all_one) neighbours.weights_.push_back(gathered[i].second);
      } else if (gathered[i].second != gathered[i - 1].second) {
        return Problem{ProblemCode::InvalidArgument, "a pair of neighbours stands twice with two weights", fmt::format("pair {} - {} (from 1)", row + 1, gathered[i].first + 1), "Keep one of them"};
      }
    }
    starts[row + 1] = neighbours.to_.size();
    begin = end;
  }
  return neighbours;
}

Neighbours Neighbours::fromPairs(std::size_t rows, std::span<const std::pair<std::uint32_t, std::uint32_t>> pairs) {
  std::vector<Edge> edges;
  edges.reserve(2 * pairs.size());
  for (const auto& [a, b] : pairs) edges.push_back({a, b}), edges.push_back({b, a});
  return *fromWeightedEdges(rows, edges);  // the caller's rows are below `rows`
}

std::vector<std::size_t> islandsOf(const Neighbours& neighbours) {
  std::vector<std::size_t> islands;
  for (std::size_t row = 0; row < neighbours.size(); ++row) {
    if (neighbours.of(row).empty()) islands.push_back(row);
  }
  return islands;
}

std::size_t oneWayLinks(const Neighbours& neighbours) {
  std::size_t count = 0;
  for (std::size_t row = 0; row < neighbours.size(); ++row) {
    for (const std::uint32_t other : neighbours.of(row)) count += std::ranges::binary_search(neighbours.of(other), static_cast<std::uint32_t>(row)) ? 0 : 1;
  }
  return count;
}

}  // namespace leeward::analysis
