#include "analysis/patterns/spatial_weights.h"

#include <algorithm>

namespace leeward::analysis {

double weightOfNeighbour(const Neighbours& neighbours, std::size_t row, WeightStyle style) {
  const std::size_t degree = neighbours.of(row).size();
  if (degree == 0) return 0;
  return style == WeightStyle::Equal ? 1.0 : 1.0 / static_cast<double>(degree);
}

WeightSums weightSums(const Neighbours& neighbours, WeightStyle style) {
  WeightSums sums;
  std::vector<double> row_and_column(neighbours.size(), 0.0);
  for (std::size_t i = 0; i < neighbours.size(); ++i) {
    const double forth = weightOfNeighbour(neighbours, i, style);
    for (const std::uint32_t j : neighbours.of(i)) {
      const auto back_list = neighbours.of(j);
      const bool mutual = std::ranges::binary_search(back_list, static_cast<std::uint32_t>(i));
      const double back = mutual ? weightOfNeighbour(neighbours, j, style) : 0.0;
      sums.s0 += forth;
      sums.s1 += forth * (forth + back);
      row_and_column[i] += forth;
      row_and_column[j] += forth;
    }
  }
  for (const double both : row_and_column) sums.s2 += both * both;
  return sums;
}

Neighbours amongKept(const Neighbours& neighbours, const std::vector<bool>& kept) {
  std::vector<std::size_t> number(kept.size());
  std::size_t count = 0;
  for (std::size_t row = 0; row < kept.size(); ++row) number[row] = kept[row] ? count++ : 0;
  std::vector<std::pair<std::size_t, std::size_t>> edges;
  for (std::size_t i = 0; i < neighbours.size(); ++i) {
    for (const std::uint32_t j : neighbours.of(i)) {
      if (kept[i] && kept[j]) edges.emplace_back(number[i], number[j]);
    }
  }
  return *Neighbours::fromEdges(count, edges);  // numbers are below count by construction
}

}  // namespace leeward::analysis
