#pragma once
/// The need index: public indicators put on one scale from 0 to 1, beside the ranking and never multiplied into it.
///
/// Each indicator becomes the percentile rank among the blocks that have a value (mid-ranks for ties, (rank - 0.5) / n,
/// turned round for "less is more need"); the index is their weighted mean over the indicators that are there. Missing is
/// never zero: weights are renormalised and the share of weight missing is told.
#include <cstdint>
#include <string>
#include <vector>

#include "shared/base/progress.h"

namespace leeward::analysis {

struct NeedIndicator {
  std::string label;
  std::vector<double> values;  ///< one a block; nan = missing
  std::vector<double> margin;  ///< 90 % margins of error; nan = unknown; empty = none known
  bool more_is_more_need = true;
  double weight = 1;  ///< >= 0
  /// Blocks of one source area share a figure, and its error with it; empty = each block its own source.
  std::vector<std::int32_t> source_area;
};

struct NeedIndex {
  std::vector<double> need;                 ///< 0..1; nan where no indicator is known
  std::vector<double> low, high;            ///< at the level, values drawn within their margins once per source area
  std::vector<double> share_missing;        ///< share of the weights that was missing
  std::vector<std::vector<double>> scores;  ///< [indicator][block], 0..1 or nan
  std::vector<std::string> remarks;         ///< constant indicators, indicators without any value
};

struct NeedOptions {
  double level = 0.90;
  int draws = 200;  ///< 0: low = high = need
  std::uint64_t seed = 1;
};

/// A constant indicator gives 0.5 everywhere and is said. InvalidArgument for columns of another length than `blocks`,
/// a negative weight, or weights that are all 0.
Result<NeedIndex> needIndex(std::size_t blocks, const std::vector<NeedIndicator>& indicators, const NeedOptions& options,
                            Progress& progress);

}  // namespace leeward::analysis
