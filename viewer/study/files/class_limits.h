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
  std::vector<double> fixed;  ///< limits that are given; count and by don't matter then
  bool readable = false;      ///< limits with few digits that move no row to another class
};

struct ClassLimits {
  Layer layer;               ///< a row a class: class (from 1), lower, upper, count, goodness_of_variance_fit (of all classes; the same in each row)
  analysis::Classes classes;
  std::size_t missing = 0;   ///< rows without a value
  std::size_t outside = 0;   ///< rows below the first or above the last of given limits: in no class
  std::vector<RefusedRow> refused;  ///< rows whose value is no number
};

/// Class 1 is [lower, upper], all others (lower, upper]. Fewer classes than asked for where values are too few or too equal, with a
/// remark of the layer. Errors: those of reading, BadData without any number, InvalidArgument for a count of 0 or over 64, or given limits that don't rise.
Result<ClassLimits> classLimits(const ClassLimitsRequest& request, Progress& progress);

}  // namespace leeward::study
