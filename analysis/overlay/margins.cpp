#include "analysis/overlay/margins.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace leeward::analysis {

double marginOfSum(std::span<const double> estimates, std::span<const double> margins) {
  double squares = 0;
  double largest_of_zeros = 0;
  for (std::size_t i = 0; i < margins.size(); ++i) {
    if (std::isnan(margins[i])) return margins[i];
    if (estimates[i] == 0) {
      largest_of_zeros = std::max(largest_of_zeros, std::abs(margins[i]));
    } else {
      squares += margins[i] * margins[i];
    }
  }
  return std::sqrt(squares + largest_of_zeros * largest_of_zeros);
}

double marginOfProportion(double part, double part_margin, double whole, double whole_margin) {
  const double share = part / whole;
  const double radicand = part_margin * part_margin - share * share * whole_margin * whole_margin;
  if (radicand < 0) return marginOfRatio(part, part_margin, whole, whole_margin);
  return std::sqrt(radicand) / std::abs(whole);
}

double marginOfRatio(double top, double top_margin, double bottom, double bottom_margin) {
  const double ratio = top / bottom;
  return std::sqrt(top_margin * top_margin + ratio * ratio * bottom_margin * bottom_margin) / std::abs(bottom);
}

double marginOfProduct(double a, double a_margin, double b, double b_margin) {
  return std::sqrt(a * a * b_margin * b_margin + b * b * a_margin * a_margin);
}

double coefficientOfVariation(double estimate, double margin90) {
  if (estimate == 0) return std::numeric_limits<double>::infinity();
  return margin90 / kAcsZ90 / std::abs(estimate);
}

}  // namespace leeward::analysis
