#pragma once
/// The rows and columns of a count regression, ready to fit, and whether they can be fitted. For analysis/regression/*.cpp only.
#include <string>
#include <vector>

#include "analysis/regression/count_regression.h"

namespace leeward::analysis {

/// Usable rows; columns scaled to mean 0 and standard deviation 1, after a column of ones.
struct CountDesign {
  std::vector<std::size_t> row;             ///< of the request
  std::vector<double> events, log_exposure;
  std::vector<double> x;                    ///< rows x terms, row-major
  std::vector<std::string> names;           ///< of the columns of x
  std::vector<double> mean, sd;             ///< of the columns as given; 0 and 1 for the ones

  std::size_t rows() const { return row.size(); }
  std::size_t terms() const { return names.size(); }
};

/// All errors of countRegression() but Cancelled and not converging.
Result<CountDesign> countDesign(const CountRegressionRequest& request);

}  // namespace leeward::analysis
