#pragma once
/// Counts explained by columns: generalised linear models with a log link and the exposure as offset.
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "shared/base/progress.h"

namespace leeward::analysis {

enum class CountKind : std::uint8_t {
  Poisson,           ///< variance = mean
  NegativeBinomial,  ///< variance = mean + mean^2 / theta, theta by maximum likelihood
};

struct ExplainingColumn {
  std::string name;
  std::vector<double> values;  ///< one a row, nan = missing
};

struct CountRegressionRequest {
  std::span<const double> events;
  std::span<const double> exposure;            ///< > 0; empty = 1 everywhere
  std::span<const ExplainingColumn> columns;   ///< without the constant, which is always there; may be empty
  CountKind kind = CountKind::Poisson;
};

/// A constant or a column, on the scale of log(rate).
struct CountTerm {
  std::string name;  ///< "(Intercept)", then the columns' names in order
  double coefficient = 0;
  double standard_error = 0;  ///< of the model: inverse Fisher information, theta taken as known
  double robust_hc0 = 0;      ///< right also where the variance is not the model's (White 1980; Huber 1967)
  double robust_hc1 = 0;      ///< the same times sqrt(n / (n - terms)) (MacKinnon & White 1985)
  double z = 0;               ///< coefficient / standard_error
  double p = 1;               ///< two-sided, normal
};

struct CountRegression {
  CountKind kind = CountKind::Poisson;
  std::vector<CountTerm> terms;
  std::vector<double> covariance;  ///< of the coefficients by the model, terms x terms, row-major
  std::size_t rows = 0;            ///< that took part
  std::size_t df_residual = 0;     ///< rows - terms
  double deviance = 0, null_deviance = 0;  ///< null: the constant and the exposure alone, at the same theta
  double log_likelihood = 0;
  double aic = 0;          ///< 2 x (terms + 1 for a theta) - 2 x log_likelihood
  double pearson = 0;      ///< sum of squared Pearson residuals
  double dispersion = 0;   ///< pearson / df_residual: about 1 where the kind of model fits
  double theta = 0;        ///< nan for Poisson; infinite where the counts spread no more than Poisson's: the fit is then Poisson's
  double theta_se = 0;     ///< nan for Poisson and where theta is infinite
  int steps = 0;           ///< of the fit, all together
  /// One a row of the request, nan for rows left out.
  std::vector<double> expected;  ///< events by the model
  std::vector<double> residual;  ///< Pearson's: (events - expected) / sd by the model
  std::vector<double> leverage;  ///< 0..1, sums to the number of terms

  /// Expected events for one value a column, in order.
  double expectedFor(std::span<const double> values, double exposure) const;
};

/// Maximum likelihood.
///
/// Fisher's scoring on columns brought to mean 0 and standard deviation 1 (iteratively reweighted least squares: Nelder & Wedderburn 1972),
/// steps halved where they would lower the likelihood; theta in alternation, by Newton's steps on its score (Venables & Ripley 2002, Modern
/// Applied Statistics with S, 7.4). Converged when no coefficient moves by 1e-11 standard deviations of its column, nor theta by 1e-10 of it.
/// Shapes:  one entry a row. Rows with nan in any column, or with exposure 0 and no event, tell nothing and are left out.
/// Errors:  InvalidArgument: unequal lengths, two columns of one name. BadData, naming the column: a count that is negative or not whole, an event without exposure,
///          negative exposure; no event at all; not more rows than terms; a column of one value; a column that follows from others; separation: a
///          column (or several together) by which all rows on one side have no event, so that its coefficient has no end (Santos Silva &
///          Tenreyro 2010, Economics Letters 107, 310-312; of several such columns at once some are only noticed by not converging). Cancelled.
/// Cost:    rows x terms^2 a step; parallel over rows, the same bits whatever the number of threads.
/// Source:  McCullagh & Nelder 1989, Generalized Linear Models, 6; Hilbe 2011, Negative Binomial Regression.
/// Checked: tests/reference/statistics/regression_test.cpp, against MASS and glm of R: 1e-7 to 1e-8 relative, theta 1e-6.
Result<CountRegression> countRegression(const CountRegressionRequest& request, Progress& progress);

}  // namespace leeward::analysis
