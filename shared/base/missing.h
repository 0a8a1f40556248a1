#pragma once
/// The one way a missing figure is written in columns of numbers.
#include <limits>

namespace leeward {

inline constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

}  // namespace leeward
