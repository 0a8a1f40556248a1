#pragma once
/// `regress`: counts explained by columns of a table.
#include <optional>
#include <string>
#include <vector>

#include "analysis/patterns/global_patterns.h"
#include "analysis/regression/count_regression.h"
#include "viewer/study/files/input.h"
#include "viewer/study/files/neighbour_lists.h"

namespace leeward::study {

struct RegressTableRequest {
  LayerRequest table;
  std::string events, exposure;       ///< columns; exposure "" = 1
  std::string on;                     ///< "a,b,c": columns of numbers, or of words
  analysis::CountKind kind = analysis::CountKind::Poisson;
  std::optional<NeighboursRequest> neighbours{};  ///< whether what is left over lies together is asked only with them
  bool rows = false;                  ///< the answer is the table with what the model expects, not the terms
  double level = 0.90;
};

struct RegressTable {
  /// Terms, one a row: term, coefficient, standard_error, robust_hc0, robust_hc1, z, p, rate_ratio, ratio_low, ratio_high, then of the whole fit, the same in each
  /// row: deviance, null_deviance, df_residual, log_likelihood, aic, pearson, dispersion, theta, theta_se. With `rows`: the input's columns, then expected,
  /// residual, leverage.
  Layer layer;
  analysis::CountRegression fit;
  Table terms;                                            ///< the terms also with `rows`
  std::optional<analysis::PatternTest> residual_moran;    ///< of Pearson residuals, weights shared
  std::vector<RefusedRow> refused;                        ///< rows in which a value is missing: left out
};

/// A column none of whose values is a number makes a term "column=word" for each word but the first in the alphabet (of bytes); up to 50 words.
/// Errors:  those of reading, of countRegression() (its rows as lines of the file) and of neighbours; InvalidArgument for no or repeated
///          columns; BadData for a column of numbers with a word in it (with the line), or of too many words.
Result<RegressTable> regressTable(const RegressTableRequest& request, Progress& progress);

}  // namespace leeward::study
