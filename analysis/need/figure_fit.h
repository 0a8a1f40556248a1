#pragma once
/// Coefficients of figures in block rates, shrunk. For block_rates.cpp alone.
#include <string>
#include <vector>

#include "analysis/need/block_rates.h"

namespace leeward::analysis {

/// Figures that can be used, scaled; blocks x figures, row-major.
struct FigureDesign {
  std::vector<double> x;
  std::vector<std::string> label;
  std::vector<double> assumed;  ///< prior mean of each coefficient
  std::vector<std::string> remarks;
  std::size_t count() const { return label.size(); }
  const double* row(std::size_t block) const { return x.data() + block * count(); }
};
FigureDesign figureDesign(const BlockRateRequest& request);

struct FigureFit {
  double intercept = 0;
  std::vector<double> coefficient;
  double expected(const FigureDesign& design, std::size_t block) const;  ///< doors with dogs per door
};

/// The penalised negative-binomial likelihood's peak by Newton's steps (concave, halved where they overshoot); `width`: sd of the coefficients' prior,
/// 0: they stand at their assumed values; `used`: per block, whether its record counts.
FigureFit fitFigures(const BlockRateRequest& request, const FigureDesign& design, double width, double shape, const std::vector<std::uint8_t>& used);

}  // namespace leeward::analysis
