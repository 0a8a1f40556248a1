#include "analysis/patterns/spatial_weights.h"

#include <algorithm>

namespace leeward::analysis {

double lagOf(std::span<const double> values, const Neighbours& neighbours, std::size_t row, WeightStyle style) {
  const auto list = neighbours.of(row);
  const RowWeights weights(neighbours, row, style);
  double lag = 0;
  for (std::size_t k = 0; k < list.size(); ++k) lag += weights[k] * values[list[k]];
  return lag;
}

WeightSums weightSums(const Neighbours& neighbours, WeightStyle style) {
  WeightSums sums;
  std::vector<double> row_and_column(neighbours.size(), 0.0);
  for (std::size_t i = 0; i < neighbours.size(); ++i) {
    const auto list = neighbours.of(i);
    const RowWeights weights(neighbours, i, style);
    for (std::size_t k = 0; k < list.size(); ++k) {
      const auto back_list = neighbours.of(list[k]);
      const auto found = std::ranges::lower_bound(back_list, static_cast<std::uint32_t>(i));
      const bool mutual = found != back_list.end() && *found == i;
      const double forth = weights[k];
      const double back = mutual ? RowWeights(neighbours, list[k], style)[static_cast<std::size_t>(found - back_list.begin())] : 0.0;
      sums.s0 += forth;
      sums.s1 += mutual ? forth * (forth + back) : forth * forth;
      row_and_column[i] += forth;
      row_and_column[list[k]] += forth;
    }
  }
  for (const double both : row_and_column) sums.s2 += both * both;
  return sums;
}

Neighbours amongKept(const Neighbours& neighbours, const std::vector<bool>& kept) {
  std::vector<std::size_t> number(kept.size());
  std::size_t count = 0;
  for (std::size_t row = 0; row < kept.size(); ++row) number[row] = kept[row] ? count++ : 0;
  if (count == kept.size()) return neighbours;
  std::vector<Neighbours::Edge> edges;
  for (std::size_t i = 0; i < neighbours.size(); ++i) {
    const auto list = neighbours.of(i);
    const auto weights = neighbours.weightsOf(i);
    for (std::size_t k = 0; k < list.size(); ++k) {
      if (kept[i] && kept[list[k]]) edges.push_back({number[i], number[list[k]], weights.empty() ? 1 : weights[k]});
    }
  }
  return *Neighbours::fromWeightedEdges(count, edges);  // numbers are below count by construction
}

}  // namespace leeward::analysis
