#pragma once
/// Weights between neighbouring areas, and the sums of them that the moments of global statistics need.
#include "analysis/rates/neighbours.h"

namespace leeward::analysis {

enum class WeightStyle : std::uint8_t {
  Share,  ///< the weights of an area's neighbours are scaled to sum to one
  Equal,  ///< the neighbours' weights as they are: one each, unless the list has weights of its own
};

/// The weights that an area gives to its neighbours, in the order of Neighbours::of.
class RowWeights {
 public:
  RowWeights(const Neighbours& neighbours, std::size_t row, WeightStyle style) : given_(neighbours.weightsOf(row)) {
    if (style == WeightStyle::Equal) return;
    double sum = given_.empty() ? static_cast<double>(neighbours.of(row).size()) : 0;
    for (const double weight : given_) sum += weight;
    scale_ = sum > 0 ? 1 / sum : 0;
  }
  double operator[](std::size_t k) const { return given_.empty() ? scale_ : given_[k] * scale_; }

 private:
  std::span<const double> given_;
  double scale_ = 1;
};

/// Sum of weight x value over the neighbours.
double lagOf(std::span<const double> values, const Neighbours& neighbours, std::size_t row, WeightStyle style);

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
