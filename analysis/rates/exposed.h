#pragma once
/// Checks that all rate estimators make of their input, and its sums.
#include <span>
#include <vector>

#include "shared/base/result.h"

namespace leeward::analysis {

/// Rows that tell something (both values known, exposure above 0), and their sums.
struct Exposed {
  std::vector<bool> tells;
  std::size_t rows = 0;
  double events = 0;
  double exposure = 0;
  double rate() const { return events / exposure; }
};

/// InvalidArgument for unequal lengths, negative or endless values; BadData if no row has exposure.
Result<Exposed> exposedRows(std::span<const double> events, std::span<const double> exposure);
/// events / exposure, nan where a row tells nothing.
std::vector<double> rawRates(std::span<const double> events, std::span<const double> exposure, const Exposed& exposed);

}  // namespace leeward::analysis
