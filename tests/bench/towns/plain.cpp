#include "tests/bench/towns/plain.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace leeward::bench {

namespace {

constexpr double kAssumedRate = 0.05, kAssumedShape = 2;

using Row = std::array<double, 5>;  // 1 and the four published figures

Row rowOf(const Town& town, std::size_t block) {
  return {1, town.covariates[0][block], town.covariates[1][block], town.covariates[2][block], town.covariates[3][block]};
}

double dot(const Row& a, const Row& b) { return std::inner_product(a.begin(), a.end(), b.begin(), 0.0); }

/// Elimination; small, symmetric, positive definite.
Row solved(std::array<Row, 5> matrix, Row right) {
  for (std::size_t i = 0; i < right.size(); ++i)
    for (std::size_t j = i + 1; j < right.size(); ++j) {
      const double factor = matrix[j][i] / matrix[i][i];
      for (std::size_t k = i; k < right.size(); ++k) matrix[j][k] -= factor * matrix[i][k];
      right[j] -= factor * right[i];
    }
  for (std::size_t i = right.size(); i-- > 0;) {
    for (std::size_t k = i + 1; k < right.size(); ++k) right[i] -= matrix[i][k] * right[k];
    right[i] /= matrix[i][i];
  }
  return right;
}

std::vector<double> fitted(const Town& town, const analysis::Effort& effort, bool covariates) {
  const std::size_t blocks = town.blocks();
  const double found = std::accumulate(effort.found_doors.begin(), effort.found_doors.end(), 0.0) + 1;
  const double looked = std::accumulate(effort.effective_doors.begin(), effort.effective_doors.end(), 0.0) + 1 / kAssumedRate;
  Row beta{std::log(found / looked)};
  for (int step = 0; step < 25 && covariates; ++step) {
    Row gradient{};
    std::array<Row, 5> information{};
    for (std::size_t i = 0; i < beta.size(); ++i) {
      gradient[i] = i == 0 ? 0 : -beta[i];
      information[i][i] = i == 0 ? 1e-6 : 1;
    }
    for (std::size_t b = 0; b < blocks; ++b) {
      const Row row = rowOf(town, b);
      const double mean = effort.effective_doors[b] * std::exp(std::clamp(dot(row, beta), -20.0, 3.0));
      for (std::size_t i = 0; i < row.size(); ++i) {
        gradient[i] += row[i] * (effort.found_doors[b] - mean);
        for (std::size_t j = 0; j < row.size(); ++j) information[i][j] += mean * row[i] * row[j];
      }
    }
    const Row change = solved(information, gradient);
    const double size = std::sqrt(dot(change, change));
    for (std::size_t i = 0; i < beta.size(); ++i) beta[i] += change[i] * std::min(1.0, 2 / std::max(size, 1e-12));
    if (size < 1e-8) break;
  }
  std::vector<double> rate(blocks);
  for (std::size_t b = 0; b < blocks; ++b) rate[b] = std::min(std::exp(covariates ? dot(rowOf(town, b), beta) : beta[0]), 1.0);
  return rate;
}

}  // namespace

PlainRates plainRates(const Town& town, const analysis::Record& record, const analysis::Effort& effort, bool covariates) {
  const double looked = std::accumulate(effort.effective_doors.begin(), effort.effective_doors.end(), 0.0);
  PlainRates plain;
  plain.rate = looked > 0 ? fitted(town, effort, covariates) : std::vector<double>(town.blocks(), kAssumedRate);
  for (std::size_t b = 0; b < town.blocks(); ++b)
    plain.rate[b] = (kAssumedShape + effort.found_doors[b]) / (kAssumedShape / plain.rate[b] + effort.effective_doors[b]);
  double checks = 2, critical = 1;
  for (const analysis::Known found : record.animals.critical_first_found) {
    checks += found != analysis::Known::Unknown ? 1 : 0;
    critical += found == analysis::Known::Yes ? 1 : 0;
  }
  plain.share_in_need = critical / checks;
  return plain;
}

}  // namespace leeward::bench
