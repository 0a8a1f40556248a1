#include "analysis/regression/count_regression.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "analysis/regression/design.h"
#include "analysis/regression/dispersion.h"
#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr std::size_t kRowsABatch = 2048;
constexpr double kInfinite = std::numeric_limits<double>::infinity();

/// Sums over rows at some coefficients.
struct Sums {
  double log_likelihood = 0;
  VectorXd score;        ///< of the coefficients
  MatrixXd information;  ///< Fisher's
};

/// The fit of one design: coefficients of the scaled columns, means, theta.
class Fit {
 public:
  Fit(const CountDesign& design, std::size_t terms, Progress& progress) : design_(design), terms_(static_cast<Index>(terms)), progress_(progress), mean_(design.rows()) {
    // The constant alone at first: its rate is that of all rows together.
    double events = 0, exposure = 0;
    for (std::size_t i = 0; i < design.rows(); ++i) events += design.events[i], exposure += std::exp(design.log_exposure[i]);
    beta_ = VectorXd::Zero(terms_);
    beta_[0] = std::log(events / exposure);
  }

  /// Scoring at a theta from where the coefficients stand.
  Result<void> climb(double theta) {
    constexpr int kMostSteps = 100;
    theta_ = theta;
    LEEWARD_ASSIGN(here, sumsAt(beta_));
    sums_ = std::move(here);
    VectorXd step;
    for (int i = 0; i < kMostSteps; ++i, ++steps_) {
      const Eigen::LLT<MatrixXd> factor(sums_.information);
      if (factor.info() != Eigen::Success) return endless(step);
      step = factor.solve(sums_.score);
      if (!step.allFinite()) return endless(step);
      if (step.cwiseAbs().maxCoeff() <= 1e-11 * (1 + beta_.cwiseAbs().maxCoeff())) return {};
      LEEWARD_TRY(advance(step));
    }
    return endless(step);
  }

  const VectorXd& beta() const { return beta_; }
  const std::vector<double>& mean() const { return mean_; }
  const MatrixXd& information() const { return sums_.information; }
  double logLikelihood() const { return sums_.log_likelihood; }
  double theta() const { return theta_; }
  int steps() const { return steps_; }
  double variance(std::size_t i) const { return mean_[i] * spread(i); }
  /// What a row's score is times its column's value.
  double scoreOf(std::size_t i) const { return (design_.events[i] - mean_[i]) / spread(i); }
  double weight(std::size_t i) const { return mean_[i] / spread(i); }
  double deviance() const {
    double sum = 0;
    for (std::size_t i = 0; i < mean_.size(); ++i) sum += countDeviance(design_.events[i], mean_[i], theta_);
    return sum;
  }
  auto rowOf(std::size_t i) const { return Eigen::Map<const VectorXd>(design_.x.data() + i * design_.terms(), terms_); }

 private:
  double spread(std::size_t i) const { return 1 + mean_[i] / theta_; }  // theta infinite: 1

  /// Sums of a batch each, added up in order, so that threads change nothing.
  Result<Sums> sumsAt(const VectorXd& beta) {
    const std::size_t rows = design_.rows();
    std::vector<Sums> parts((rows + kRowsABatch - 1) / kRowsABatch);
    LEEWARD_TRY(progress_.parallelFor(rows, kRowsABatch, [&](std::size_t begin, std::size_t end) {
      Sums& part = parts[begin / kRowsABatch];
      part.score = VectorXd::Zero(terms_), part.information = MatrixXd::Zero(terms_, terms_);
      for (std::size_t i = begin; i < end; ++i) {
        const auto x = rowOf(i);
        mean_[i] = std::exp(std::min(x.dot(beta) + design_.log_exposure[i], 700.0));
        part.log_likelihood += countLogLikelihood(design_.events[i], mean_[i], theta_);
        part.score += scoreOf(i) * x;
        part.information.selfadjointView<Eigen::Lower>().rankUpdate(x, weight(i));
      }
    }));
    Sums all = std::move(parts.front());
    for (std::size_t k = 1; k < parts.size(); ++k) {
      all.log_likelihood += parts[k].log_likelihood, all.score += parts[k].score, all.information += parts[k].information;
    }
    all.information = MatrixXd(all.information.selfadjointView<Eigen::Lower>());
    return all;
  }

  /// A step, halved until the likelihood doesn't fall by more than rounding.
  Result<void> advance(const VectorXd& step) {
    constexpr int kMostHalvings = 40;
    VectorXd taken = step;
    for (int halving = 0;; ++halving) {
      LEEWARD_ASSIGN(there, sumsAt(beta_ + taken));
      const bool rises = there.log_likelihood >= sums_.log_likelihood - 1e-10 * (1 + std::abs(sums_.log_likelihood));
      if (rises || halving == kMostHalvings) {
        beta_ += taken;
        sums_ = std::move(there);
        return {};
      }
      taken /= 2;
    }
  }

  /// The likelihood has no top within reach: the column that is still moving most.
  Problem endless(const VectorXd& step) const {
    Index most = 0;
    for (Index j = 1; j < step.size(); ++j) {
      if (most == 0 || std::abs(step[j]) > std::abs(step[most])) most = j;
    }
    const std::string& name = design_.names[static_cast<std::size_t>(most)];
    return {ProblemCode::BadData, fmt::format("the share of \"{}\" has no end: the rows that differ in it from those with events have none", name), "",
            "Leave the column out, or put its rare values together"};
  }

  const CountDesign& design_;
  Index terms_;
  Progress& progress_;
  VectorXd beta_;
  std::vector<double> mean_;
  Sums sums_;
  double theta_ = kInfinite;
  int steps_ = 0;
};

/// Coefficients and theta in turns; gives theta's standard error.
Result<double> climbWithTheta(const CountDesign& design, Fit& fit) {
  constexpr int kMostTurns = 200;
  const Problem unsettled{ProblemCode::BadData, "the spread of the counts could not be settled", "", "Use --kind poisson, or fewer columns"};
  std::optional<double> last;
  for (int turn = 0; turn < kMostTurns; ++turn) {
    const auto theta = likeliestTheta(design.events, fit.mean(), last);
    if (!theta) return unsettled;
    if (last && (std::isinf(theta->value) || std::abs(theta->value - *last) <= 1e-10 * *last)) {
      if (std::isinf(theta->value)) LEEWARD_TRY(fit.climb(kInfinite));
      return theta->standard_error;
    }
    if (std::isinf(theta->value)) return kNan;  // Poisson's coefficients stand already
    LEEWARD_TRY(fit.climb(theta->value));
    last = theta->value;
  }
  return unsettled;
}

/// What turns coefficients of the scaled columns into those of the given ones.
MatrixXd unscaling(const CountDesign& design) {
  const auto terms = static_cast<Index>(design.terms());
  MatrixXd t = MatrixXd::Zero(terms, terms);
  for (Index j = 0; j < terms; ++j) {
    const auto at = static_cast<std::size_t>(j);
    t(j, j) = 1 / design.sd[at];
    if (j > 0) t(0, j) = -design.mean[at] / design.sd[at];
  }
  return t;
}

/// The sum of squared scores, row by row: what White's errors put between two inverse informations.
MatrixXd squaredScores(const CountDesign& design, const Fit& fit) {
  MatrixXd sum = MatrixXd::Zero(fit.beta().size(), fit.beta().size());
  for (std::size_t i = 0; i < design.rows(); ++i) sum.selfadjointView<Eigen::Lower>().rankUpdate(fit.rowOf(i), fit.scoreOf(i) * fit.scoreOf(i));
  return sum.selfadjointView<Eigen::Lower>();
}

void addTerms(const CountDesign& design, const Fit& fit, const MatrixXd& inverse, CountRegression& out) {
  const MatrixXd t = unscaling(design);
  const VectorXd beta = t * fit.beta();
  const MatrixXd covariance = t * inverse * t.transpose();
  const MatrixXd robust = t * inverse * squaredScores(design, fit) * inverse * t.transpose();
  const double n = static_cast<double>(design.rows()), wider = std::sqrt(n / (n - static_cast<double>(design.terms())));
  for (Index j = 0; j < beta.size(); ++j) {
    CountTerm term{.name = design.names[static_cast<std::size_t>(j)], .coefficient = beta[j], .standard_error = std::sqrt(covariance(j, j)), .robust_hc0 = std::sqrt(std::max(0.0, robust(j, j)))};
    term.robust_hc1 = wider * term.robust_hc0;
    term.z = term.coefficient / term.standard_error;
    term.p = std::erfc(std::abs(term.z) / std::numbers::sqrt2);
    out.terms.push_back(std::move(term));
    for (Index k = 0; k < beta.size(); ++k) out.covariance.push_back(covariance(j, k));
  }
}

void addRows(const CountDesign& design, const Fit& fit, const MatrixXd& inverse, std::size_t rows, CountRegression& out) {
  out.expected.assign(rows, kNan), out.residual.assign(rows, kNan), out.leverage.assign(rows, kNan);
  for (std::size_t i = 0; i < design.rows(); ++i) {
    const double residual = (design.events[i] - fit.mean()[i]) / std::sqrt(fit.variance(i));
    out.pearson += residual * residual;
    const std::size_t at = design.row[i];
    out.expected[at] = fit.mean()[i], out.residual[at] = residual;
    out.leverage[at] = fit.weight(i) * fit.rowOf(i).dot(inverse * fit.rowOf(i));
  }
}

}  // namespace

double CountRegression::expectedFor(std::span<const double> values, double exposure) const {
  double sum = terms.front().coefficient;
  for (std::size_t j = 0; j < std::min(values.size(), terms.size() - 1); ++j) sum += terms[j + 1].coefficient * values[j];
  return exposure * std::exp(sum);
}

Result<CountRegression> countRegression(const CountRegressionRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(design, countDesign(request));
  progress.report(0, "Fitting the counts");
  const bool is_spread = request.kind == CountKind::NegativeBinomial;
  CountRegression out{.kind = request.kind, .rows = design.rows(), .df_residual = design.rows() - design.terms(), .theta = kNan, .theta_se = kNan};
  Fit fit(design, design.terms(), progress), null(design, 1, progress);
  LEEWARD_TRY(fit.climb(kInfinite));
  if (is_spread) {
    LEEWARD_ASSIGN(error, climbWithTheta(design, fit));
    out.theta = fit.theta(), out.theta_se = error;
  }
  LEEWARD_TRY(null.climb(fit.theta()));
  const MatrixXd inverse = fit.information().llt().solve(MatrixXd::Identity(fit.beta().size(), fit.beta().size()));
  addTerms(design, fit, inverse, out);
  addRows(design, fit, inverse, request.events.size(), out);
  out.deviance = fit.deviance(), out.null_deviance = null.deviance();
  out.log_likelihood = fit.logLikelihood();
  out.aic = 2 * static_cast<double>(design.terms() + (is_spread ? 1 : 0)) - 2 * out.log_likelihood;
  out.dispersion = out.df_residual > 0 ? out.pearson / static_cast<double>(out.df_residual) : kNan;
  out.steps = fit.steps();
  progress.report(1);
  return out;
}

}  // namespace leeward::analysis
