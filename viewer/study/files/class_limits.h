#pragma once
/// `classes`: class limits of a column, for legends.
#include <string>
#include <vector>

#include "analysis/rates/classes.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct ClassLimitsRequest {
  LayerRequest table;
  std::string value;      ///< column
  std::size_t count = 5;  ///< 1 to 64
  analysis::ClassesBy by = analysis::ClassesBy::Quantile;
};

struct ClassLimits {
  Layer layer;               ///< a row a class: class (from 1), lower, upper, count, goodness_of_variance_fit (of all classes; the same in each row)
  analysis::Classes classes;
  std::size_t missing = 0;   ///< rows without a value
  std::vector<RefusedRow> refused;  ///< rows whose value is no number
};

/// Class 1 is [lower, upper], all others (lower, upper]. Fewer classes than asked for where values are too few or too equal, with a
/// remark of the layer. Errors: those of reading, BadData without any number, InvalidArgument for a count of 0 or over 64.
Result<ClassLimits> classLimits(const ClassLimitsRequest& request, Progress& progress);

}  // namespace leeward::study
