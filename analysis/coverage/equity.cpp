#include "analysis/coverage/equity.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <limits>
#include <map>

namespace leeward::analysis {

Concentration concentrationOf(std::span<const double> need, std::span<const double> doors, std::span<const double> looks, double level) {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  constexpr std::size_t kFewest = 3;
  Concentration found{kNone, kNone, kNone, kNone, {0}, {0}, 0};
  if (need.size() != doors.size() || doors.size() != looks.size()) return found;
  struct Place {
    double doors = 0, looks = 0;
  };
  std::map<double, Place> places;  // by need
  Place all;
  for (std::size_t i = 0; i < need.size(); ++i) {
    if (!std::isfinite(need[i]) || !std::isfinite(looks[i]) || looks[i] < 0 || !(doors[i] > 0)) continue;
    Place& place = places[need[i]];
    place.doors += doors[i], place.looks += looks[i];
    all.doors += doors[i], all.looks += looks[i];
    ++found.areas;
  }
  if (places.size() < kFewest || !(all.looks > 0)) return found;
  const double mean = all.looks / all.doors;
  double sum = 0, doors_before = 0, looks_before = 0;
  for (const auto& [index, place] : places) {
    const double share = place.doors / all.doors;
    sum += share * (place.looks / place.doors) * (doors_before + share / 2);
    doors_before += share, looks_before += place.looks / all.looks;
    found.doors_up_to.push_back(doors_before), found.looks_up_to.push_back(looks_before);
  }
  found.doors_up_to.back() = found.looks_up_to.back() = 1;
  found.index = 2 / mean * sum - 1;
  double squares = 0;
  std::size_t at = 0;
  for (const auto& [index, place] : places) {
    const double share = place.doors / all.doors, middle = (found.doors_up_to[at] + found.doors_up_to[at + 1]) / 2;
    const double term = place.looks / place.doors / mean * (2 * middle - 1 - found.index) + 2 - found.looks_up_to[at] - found.looks_up_to[at + 1];
    squares += share * term * term;
    ++at;
  }
  const double variance = (squares - (1 + found.index) * (1 + found.index)) / static_cast<double>(places.size());
  found.standard_error = std::sqrt(std::max(0.0, variance));
  const double wide = boost::math::quantile(boost::math::normal(), (1 + level) / 2) * found.standard_error;
  found.low = found.index - wide, found.high = found.index + wide;
  return found;
}

}  // namespace leeward::analysis
