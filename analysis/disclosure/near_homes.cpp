#include "analysis/disclosure/near_homes.h"

#include <cmath>
#include <numbers>

namespace leeward::analysis {
namespace {

constexpr double kMetresADegree = 111'195;  // of a sphere of 6,371,009 m

}  // namespace

NearHomes::NearHomes(const std::vector<Point>& homes, bool degrees, double near_m) : degrees_(degrees), near_m_(near_m) {
  for (const Point p : homes) {
    if (std::isfinite(p.x) && std::isfinite(p.y)) box_.add(p);
  }
  if (box_.isEmpty()) return;
  if (degrees) {
    y_m_ = kMetresADegree;
    x_m_ = kMetresADegree * std::max(0.01, std::cos(box_.center().y * std::numbers::pi / 180));
  }
  for (const Point p : homes) {
    if (std::isfinite(p.x) && std::isfinite(p.y)) cells_.emplace(cellOf(p), p);
  }
  box_.min_x -= near_m / x_m_, box_.max_x += near_m / x_m_, box_.min_y -= near_m / y_m_, box_.max_y += near_m / y_m_;
}

std::int64_t NearHomes::cellOf(Point p) const {
  const auto column = static_cast<std::int64_t>(std::floor(p.x * x_m_ / near_m_)), row = static_cast<std::int64_t>(std::floor(p.y * y_m_ / near_m_));
  return column * 0x1'0000'0000 + row;
}

bool NearHomes::holds(Point p) const {
  if (!mayBeX(p.x) || !mayBeY(p.y)) return false;
  for (int dx = -1; dx <= 1; ++dx) {
    for (int dy = -1; dy <= 1; ++dy) {
      const auto [first, last] = cells_.equal_range(cellOf({p.x + dx * near_m_ / x_m_, p.y + dy * near_m_ / y_m_}));
      for (auto home = first; home != last; ++home) {
        if (std::hypot((home->second.x - p.x) * x_m_, (home->second.y - p.y) * y_m_) <= near_m_) return true;
      }
    }
  }
  return false;
}

}  // namespace leeward::analysis
