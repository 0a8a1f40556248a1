#pragma once
/// Whether a position lies within some metres of a private home. Internal to analysis/disclosure.
#include <cstdint>
#include <unordered_map>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward::analysis {

class NearHomes {
 public:
  /// degrees: positions are longitude and latitude, and distances are taken on a sphere about the middle of them.
  NearHomes(const std::vector<Point>& homes, bool degrees, double near_m);
  bool holds(Point p) const;
  /// Whether a number could be the first or second coordinate of a home: a quick no for nearly all.
  bool mayBeX(double v) const { return v >= box_.min_x && v <= box_.max_x; }
  bool mayBeY(double v) const { return v >= box_.min_y && v <= box_.max_y; }
  /// Whether it could be a coordinate of anything round about (1 degree, 100 km).
  bool isRoundAbout(double v) const {
    const double slack = degrees_ ? 1 : 100'000;
    return !box_.isEmpty() && ((v >= box_.min_x - slack && v <= box_.max_x + slack) || (v >= box_.min_y - slack && v <= box_.max_y + slack));
  }

 private:
  std::int64_t cellOf(Point p) const;
  bool degrees_;
  double near_m_, x_m_ = 1, y_m_ = 1;  ///< metres a unit
  Bbox box_;
  std::unordered_multimap<std::int64_t, Point> cells_;
};

}  // namespace leeward::analysis
