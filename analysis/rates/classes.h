#pragma once
/// Class limits for legends.
#include <cstdint>
#include <span>
#include <vector>

#include "shared/base/progress.h"

namespace leeward::analysis {

enum class ClassesBy {
  Quantile,  ///< limits at equal shares of the values (type 7 of Hyndman & Fan 1996, The American Statistician 50, 361-365)
  Equal,     ///< limits at equal steps
  Natural    ///< least squared deviation within classes (Fisher 1958, JASA 53, 789-798; Jenks 1977), exact
};

/// Class 0 is [limits[0], limits[1]], class i > 0 is (limits[i], limits[i + 1]].
struct Classes {
  std::vector<double> limits;           ///< one more than classes, ascending; natural: each class's largest value closes it
  std::vector<std::size_t> counts;      ///< per class
  double within_squares = 0;            ///< sum of squared deviations from class means
  double goodness_of_variance_fit = 1;  ///< 1 - within / total squares; 1 if all values are equal
};

/// Limits for `count` classes of the finite values.
///
/// Fewer classes come back where there are fewer distinct values (natural) or limits coincide (quantile, equal); equal values
/// always share a class. Two partitions equally good (natural): the one with the lower limits.
/// Errors:  InvalidArgument for count 0 or over 64; BadData without any value. Cancelled.
/// Cost:    n log n; natural: count x n log n by divide and conquer (the cost is concave-Monge: Wu 1991, J. Algorithms 12,
///          663-673).
Result<Classes> classLimits(std::span<const double> values, std::size_t count, ClassesBy by, Progress& progress);

/// Classes between limits that are given. Values below the first or above the last are in no class and not in the squares.
/// Errors:  InvalidArgument unless there are 2 to 65 finite limits that rise; BadData without any value between them.
Result<Classes> classesBetween(std::span<const double> values, std::vector<double> limits);

/// The same classes with limits that are easier to read: each becomes the number with the fewest digits (of those the roundest: a multiple of
/// 10, 5 or 2 in its last digit; of those the nearest) that leaves every value in its class. The outer limits move outwards by up to a tenth of the
/// classes' mean width. Our own rule.
Classes withReadableLimits(std::span<const double> values, Classes classes);

/// The class of a value: -1 for nan; values off the ends go to the first or last class.
std::int32_t classOf(double value, std::span<const double> limits);

/// Quantile of type 7 of ascending values (not empty), share in 0..1.
double quantileOfSorted(std::span<const double> ascending, double share);

}  // namespace leeward::analysis
