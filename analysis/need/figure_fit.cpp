#include "analysis/need/figure_fit.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <Eigen/Dense>
#include <fmt/format.h>

namespace leeward::analysis {

namespace {

constexpr double kMostSds = 2.5;
// Day one's tilt by need, 0.5 + need, is about exp(0.23) a standard deviation of an index made of percentiles.
constexpr double kAssumedPerSd = 0.23;
constexpr double kGoTogether = 0.9;

struct Scaled {
  std::vector<double> values;
  bool varies = false;
};

Scaled scaled(const std::vector<double>& values, const std::vector<std::uint8_t>& counts) {
  Scaled out;
  double n = 0, sum = 0, squares = 0;
  for (std::size_t b = 0; b < values.size(); ++b)
    if (counts[b] != 0 && std::isfinite(values[b])) n += 1, sum += values[b];
  const double mean = n > 0 ? sum / n : 0;
  for (std::size_t b = 0; b < values.size(); ++b)
    if (counts[b] != 0 && std::isfinite(values[b])) squares += (values[b] - mean) * (values[b] - mean);
  const double sd = n > 1 ? std::sqrt(squares / n) : 0;
  out.varies = sd > 1e-9 * (1 + std::abs(mean));
  out.values.assign(values.size(), 0);
  if (!out.varies) return out;
  for (std::size_t b = 0; b < values.size(); ++b)
    if (std::isfinite(values[b])) out.values[b] = std::clamp((values[b] - mean) / sd, -kMostSds, kMostSds);
  return out;
}

double correlation(const std::vector<double>& a, const std::vector<double>& b) {
  const double ab = std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
  return ab / std::sqrt(std::inner_product(a.begin(), a.end(), a.begin(), 0.0) * std::inner_product(b.begin(), b.end(), b.begin(), 0.0));
}

// The assumed tilt is shared by the figures with a direction, so that their sum has it by its standard deviation.
std::vector<double> assumedShares(const std::vector<std::vector<double>>& columns, const std::vector<int>& direction) {
  std::vector<double> sum(columns.empty() ? 0 : columns.front().size(), 0);
  for (std::size_t c = 0; c < columns.size(); ++c)
    for (std::size_t b = 0; b < sum.size(); ++b) sum[b] += direction[c] * columns[c][b];
  double squares = 0, blocks = 0;
  for (const double v : sum) squares += v * v, blocks += v != 0 ? 1 : 0;
  const double sd = blocks > 0 ? std::sqrt(squares / blocks) : 0;
  std::vector<double> shares(columns.size(), 0);
  for (std::size_t c = 0; c < columns.size() && sd > 0; ++c) shares[c] = direction[c] * kAssumedPerSd / sd;
  return shares;
}

}  // namespace

FigureDesign figureDesign(const BlockRateRequest& request) {
  FigureDesign design;
  const std::size_t blocks = request.found_doors.size();
  std::vector<std::uint8_t> counts(blocks);
  for (std::size_t b = 0; b < blocks; ++b) counts[b] = std::isfinite(request.centre[b].x) ? 1 : 0;
  std::vector<std::vector<double>> columns;
  std::vector<int> direction;
  for (const RateFigure& figure : request.figures) {
    Scaled column = scaled(figure.values, counts);
    if (!column.varies) {
      design.remarks.push_back(fmt::format("{} is the same everywhere or missing: it explains no differences between blocks.", figure.label));
      continue;
    }
    for (std::size_t c = 0; c < columns.size(); ++c)
      if (std::abs(correlation(columns[c], column.values)) > kGoTogether)
        design.remarks.push_back(fmt::format("{} and {} go together: what either explains can't be told apart.", design.label[c], figure.label));
    columns.push_back(std::move(column.values));
    direction.push_back(figure.assumed_direction);
    design.label.push_back(figure.label);
  }
  design.assumed = assumedShares(columns, direction);
  design.x.resize(blocks * columns.size());
  for (std::size_t c = 0; c < columns.size(); ++c)
    for (std::size_t b = 0; b < blocks; ++b) design.x[b * columns.size() + c] = columns[c][b];
  return design;
}

double FigureFit::expected(const FigureDesign& design, std::size_t block) const {
  return std::exp(std::inner_product(coefficient.begin(), coefficient.end(), design.row(block), intercept));
}

FigureFit fitFigures(const BlockRateRequest& request, const FigureDesign& design, double width, double shape, const std::vector<std::uint8_t>& used) {
  using Eigen::Index;
  const auto free = static_cast<Index>(width > 0 ? design.count() : 0);
  const double assumed_found = request.assumed_rate * request.assumed_doors;
  FigureFit fit{std::log(request.assumed_rate), design.assumed};
  // The likelihood's weights 1 / (1 + mean / shape) make it concave in the intercept and coefficients together (log link, shape held).
  for (int step = 0; step < 50; ++step) {
    Eigen::VectorXd score = Eigen::VectorXd::Zero(free + 1);
    Eigen::MatrixXd information = Eigen::MatrixXd::Zero(free + 1, free + 1);
    Eigen::VectorXd row(free + 1);
    const double assumed_mean = request.assumed_doors * std::exp(fit.intercept);
    score[0] = assumed_found - assumed_mean;
    information(0, 0) = assumed_mean;
    for (Index j = 0; j < free; ++j) {
      score[j + 1] = (design.assumed[static_cast<std::size_t>(j)] - fit.coefficient[static_cast<std::size_t>(j)]) / (width * width);
      information(j + 1, j + 1) = 1 / (width * width);
    }
    for (std::size_t b = 0; b < used.size(); ++b) {
      if (used[b] == 0 || !(request.effective_doors[b] > 0)) continue;
      const double mean = request.effective_doors[b] * fit.expected(design, b);
      const double weight = 1 / (1 + mean / shape);
      row[0] = 1;
      for (Index j = 0; j < free; ++j) row[j + 1] = design.row(b)[j];
      score += weight * (request.found_doors[b] - mean) * row;
      information.selfadjointView<Eigen::Lower>().rankUpdate(row, weight * mean);
    }
    const Eigen::VectorXd change = Eigen::MatrixXd(information.selfadjointView<Eigen::Lower>()).ldlt().solve(score);
    const double size = change.cwiseAbs().maxCoeff(), taken = std::min(1.0, 1 / std::max(size, 1e-300));
    fit.intercept += taken * change[0];
    for (Index j = 0; j < free; ++j) fit.coefficient[static_cast<std::size_t>(j)] += taken * change[j + 1];
    if (size < 1e-9) break;
  }
  return fit;
}

}  // namespace leeward::analysis
