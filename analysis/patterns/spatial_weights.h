#pragma once
/// Weights between neighbouring areas, and the sums of them that the moments of global statistics need.
#include "analysis/rates/neighbours.h"

namespace leeward::analysis {

enum class WeightStyle : std::uint8_t {
  Share,  ///< the weights of an area's neighbours sum to one
  Equal,  ///< every neighbour has the weight one
};

/// The weight that an area gives to each of its neighbours; 0 for an island.
double weightOfNeighbour(const Neighbours& neighbours, std::size_t row, WeightStyle style);

/// S0, S1 and S2 of Cliff & Ord 1981, Spatial Processes: sums over all pairs, pairs with self excluded.
struct WeightSums {
  double s0 = 0;  ///< of w(i,j)
  double s1 = 0;  ///< of (w(i,j) + w(j,i))^2, halved
  double s2 = 0;  ///< of (row sum + column sum)^2
};
WeightSums weightSums(const Neighbours& neighbours, WeightStyle style);

/// Neighbours among the rows that are kept, numbered anew in their order: those that are left out are nobody's neighbours.
Neighbours amongKept(const Neighbours& neighbours, const std::vector<bool>& kept);

}  // namespace leeward::analysis
