#include "analysis/need/outing.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace leeward::analysis {

namespace {

constexpr std::size_t kLargestWalk = 300;

double distanceM(Point a, Point b) { return std::hypot(a.x - b.x, a.y - b.y); }

// Row order of a nearest-neighbour walk; ties go to the lower row.
std::vector<std::size_t> nearestNeighbourWalk(std::span<const Point> points, Point from) {
  std::vector<std::size_t> order(points.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  Point here = from;
  for (std::size_t i = 0; i < order.size(); ++i) {
    std::size_t best = i;
    double best_distance = distanceM(here, points[order[i]]);
    for (std::size_t j = i + 1; j < order.size(); ++j) {
      const double distance = distanceM(here, points[order[j]]);
      if (distance < best_distance || (distance == best_distance && order[j] < order[best])) {
        best = j;
        best_distance = distance;
      }
    }
    std::swap(order[i], order[best]);
    here = points[order[i]];
  }
  return order;
}

}  // namespace

double drivingMinutes(const Outing& outing, Point from, Point to) {
  return distanceM(from, to) * outing.detour / (outing.driving_kmh * 1000 / 60);
}

double walkingMinutes(const Outing& outing, double metres_straight) {
  return metres_straight * outing.detour / (outing.walking_kmh * 1000 / 60);
}

double walkLengthM(std::span<const Point> points) {
  if (points.size() < 2) return 0;
  if (points.size() > kLargestWalk) {
    Bbox box;
    for (const Point p : points) box.add(p);
    constexpr double kTourConstant = 0.7124;
    return kTourConstant * std::sqrt(static_cast<double>(points.size()) * box.width() * box.height());
  }
  const std::vector<std::size_t> order = nearestNeighbourWalk(points, points.front());
  double length = 0;
  for (std::size_t i = 1; i < order.size(); ++i) length += distanceM(points[order[i - 1]], points[order[i]]);
  return length;
}

std::vector<std::size_t> walkingOrder(std::span<const Point> points, Point from) {
  std::vector<std::size_t> order = nearestNeighbourWalk(points, from);
  if (points.size() > kLargestWalk) return order;
  const std::size_t n = order.size();
  const auto at = [&](std::size_t i) { return i == 0 ? from : points[order[i - 1]]; };
  // Position 0 is where the walk starts from; reversing i+1..j replaces the steps (i, i+1) and (j, j+1).
  bool better = true;
  for (int pass = 0; better && pass < 50; ++pass) {
    better = false;
    for (std::size_t i = 0; i + 1 < n; ++i) {
      for (std::size_t j = i + 2; j <= n; ++j) {
        const double after = j < n ? distanceM(at(j), at(j + 1)) : 0;
        const double now = distanceM(at(i), at(i + 1)) + after;
        const double then = distanceM(at(i), at(j)) + (j < n ? distanceM(at(i + 1), at(j + 1)) : 0);
        if (then < now - 1e-9) {
          std::reverse(order.begin() + static_cast<std::ptrdiff_t>(i), order.begin() + static_cast<std::ptrdiff_t>(j));
          better = true;
        }
      }
    }
  }
  return order;
}

Result<void> checkOuting(const Outing& outing) {
  const auto wrong = [](std::string what) { return Problem{ProblemCode::InvalidArgument, std::move(what), "", ""}; };
  if (!(outing.hours >= 0)) return wrong("the hours of an outing must not be negative");
  if (!(outing.minutes_per_door > 0)) return wrong("the minutes at a door must be positive");
  if (!(outing.minutes_per_visit >= 0 && outing.minutes_per_stop >= 0)) return wrong("minutes must not be negative");
  if (!(outing.walking_kmh > 0 && outing.driving_kmh > 0)) return wrong("speeds must be positive");
  if (!(outing.detour >= 1)) return wrong("a way along streets is not shorter than the straight line: detour must be 1 or more");
  return {};
}

}  // namespace leeward::analysis
