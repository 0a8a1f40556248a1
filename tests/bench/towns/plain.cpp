#include "tests/bench/towns/plain.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>

namespace leeward::bench {

namespace {

constexpr double kAssumedRate = 0.05, kAssumedShape = 2;

std::vector<double> fitted(const Town& town, const analysis::Effort& effort, bool covariates) {
  const std::size_t blocks = town.blocks();
  const std::size_t terms = covariates ? town.covariates.size() : 0;
  Eigen::MatrixXd x(blocks, terms + 1);
  for (std::size_t b = 0; b < blocks; ++b) {
    x(static_cast<Eigen::Index>(b), 0) = 1;
    for (std::size_t c = 0; c < terms; ++c) x(static_cast<Eigen::Index>(b), static_cast<Eigen::Index>(c) + 1) = town.covariates[c][b];
  }
  const double found = std::accumulate(effort.found_doors.begin(), effort.found_doors.end(), 0.0) + 1;
  const double looked = std::accumulate(effort.effective_doors.begin(), effort.effective_doors.end(), 0.0) + 1 / kAssumedRate;
  Eigen::VectorXd beta = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(terms) + 1);
  beta[0] = std::log(found / looked);
  for (int step = 0; step < 25 && terms > 0; ++step) {
    Eigen::VectorXd gradient = -beta;
    Eigen::MatrixXd information = Eigen::MatrixXd::Identity(beta.size(), beta.size());
    gradient[0] = 0;
    information(0, 0) = 1e-6;
    for (std::size_t b = 0; b < blocks; ++b) {
      const Eigen::VectorXd row = x.row(static_cast<Eigen::Index>(b));
      const double mean = effort.effective_doors[b] * std::exp(std::clamp(row.dot(beta), -20.0, 3.0));
      gradient += row * (effort.found_doors[b] - mean);
      information += mean * row * row.transpose();
    }
    const Eigen::VectorXd change = information.ldlt().solve(gradient);
    beta += change * std::min(1.0, 2 / std::max(change.norm(), 1e-12));
    if (change.norm() < 1e-8) break;
  }
  std::vector<double> rate(blocks);
  for (std::size_t b = 0; b < blocks; ++b) rate[b] = std::min(std::exp(x.row(static_cast<Eigen::Index>(b)).dot(beta)), 1.0);
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
