#pragma once
/// Where high values lie by high ones: Getis and Ord's Gi and Gi*, Moran's I of each area, each with a p by permutation.
#include <span>

#include "analysis/patterns/spatial_weights.h"
#include "shared/base/progress.h"

namespace leeward::analysis {

/// One value an area; nan where the area has no value or no neighbour, or where all values are equal.
struct LocalPatterns {
  std::vector<double> moran;   ///< z(i) / m2 times the weighted sum of its neighbours' z, m2 = sum z^2 / n (Anselin 1995)
  std::vector<double> gi;      ///< standard score of the neighbours' (weighted) sum; mean and variance without the area itself (Ord & Getis 1995)
  std::vector<double> gstar;   ///< the same with the area itself, weight one; mean and variance over all
  /// Two-sided: min(1, 2 (min(#>=, #<=) + 1) / (permutations + 1)) over draws of the neighbours' values from all other areas, the area's own
  /// value held. All three statistics rise with the neighbours' sum, so they share it. nan without permutations.
  std::vector<double> p;
};

struct LocalOptions {
  WeightStyle style = WeightStyle::Share;  ///< scales Moran's I alone: Gi and Gi* take the neighbours' weights as they are
  int permutations = 999;
  /// One stream of draws a batch of 128 areas, which share which areas are drawn (each keeps its own chance; the errors of near areas
  /// go together a little): results don't depend on the number of threads.
  std::uint64_t seed = 1;
};

/// Values that are nan take no part; areas without a neighbour count in the mean but have no result. Ord & Getis 1995, Local spatial
/// autocorrelation statistics, Geographical Analysis 27, 286-306; Anselin 1995, Local indicators of spatial association, 27, 93-115.
/// InvalidArgument if lengths differ or permutations are negative; Cancelled.
Result<LocalPatterns> localPatterns(std::span<const double> values, const Neighbours& neighbours, const LocalOptions& options, Progress& progress);

}  // namespace leeward::analysis
