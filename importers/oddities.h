#pragma once
/// Values that are readable and yet surely not meant.
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward::importers {

struct OddConstant {
  double value = 0;
  std::size_t count = 0;
  double low = 0, high = 0;  ///< the middle 98 % of the other values
};

/// A constant far from all else: zeros among nineties. Looked at: 0 and the usual fillers (-99, 999, -9999 ...) as they
/// occur. Odd if it lies further from the middle 98 % of the others than that range is wide (at least one unit), and
/// there are ten others or more. nan is skipped. Our own rule.
std::vector<OddConstant> oddConstants(std::span<const double> values);
std::vector<OddConstant> oddConstants(std::span<const float> values);

struct Pile {
  Point at;
  std::size_t rows = 0;
};
/// Points that `least` or more rows share exactly, with texts that are not all the same; the largest first.
std::vector<Pile> piles(std::span<const Point> points, const std::function<std::string(std::size_t row)>& text, std::size_t least = 20);

}  // namespace leeward::importers
