#include "sample-data/generator/plane.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace leeward::town {

double length(Point a) { return std::sqrt(dot(a, a)); }
double distance(Point a, Point b) { return length(b - a); }

Point turned(Point a, double angle_deg) {
  const double angle = angle_deg * std::numbers::pi / 180;
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  return {a.x * c - a.y * s, a.x * s + a.y * c};
}

Point unit(Point a) {
  const double l = length(a);
  return l > 0 ? a * (1 / l) : Point{1, 0};
}

double length(const Line& line) {
  double sum = 0;
  for (std::size_t i = 1; i < line.size(); ++i) sum += distance(line[i - 1], line[i]);
  return sum;
}

Point along(const Line& line, double distance_m) {
  for (std::size_t i = 1; i < line.size(); ++i) {
    const double l = distance(line[i - 1], line[i]);
    if (distance_m <= l && l > 0) return line[i - 1] + (line[i] - line[i - 1]) * (std::max(0.0, distance_m) / l);
    distance_m -= l;
  }
  return line.back();
}

Point heading(const Line& line, double distance_m) {
  for (std::size_t i = 1; i < line.size(); ++i) {
    const double l = distance(line[i - 1], line[i]);
    if (distance_m <= l || i + 1 == line.size()) return unit(line[i] - line[i - 1]);
    distance_m -= l;
  }
  return {1, 0};
}

double distanceToSegment(Point p, Point a, Point b) {
  const Point d = b - a;
  const double l2 = dot(d, d);
  const double t = l2 > 0 ? std::clamp(dot(p - a, d) / l2, 0.0, 1.0) : 0;
  return distance(p, a + d * t);
}

double distanceToLine(Point p, const Line& line) {
  double best = 1e18;
  for (std::size_t i = 1; i < line.size(); ++i) best = std::min(best, distanceToSegment(p, line[i - 1], line[i]));
  return best;
}

std::optional<Crossing> crossing(Point a, Point b, Point c, Point d) {
  const Point r = b - a;
  const Point s = d - c;
  const double denominator = cross(r, s);
  if (std::abs(denominator) < 1e-9) return std::nullopt;
  const double t = cross(c - a, s) / denominator;
  const double u = cross(c - a, r) / denominator;
  if (t < 0 || t > 1 || u < 0 || u > 1) return std::nullopt;
  return Crossing{t, u};
}

Line curve(const Line& through, double step_m) {
  Line out;
  const auto at = [&](std::ptrdiff_t i) {
    return through[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(i, 0, static_cast<std::ptrdiff_t>(through.size()) - 1))];
  };
  for (std::ptrdiff_t i = 0; i + 1 < static_cast<std::ptrdiff_t>(through.size()); ++i) {
    const Point p0 = at(i - 1), p1 = at(i), p2 = at(i + 1), p3 = at(i + 2);
    const int steps = std::max(1, static_cast<int>(std::lround(distance(p1, p2) / step_m)));
    for (int k = 0; k < steps; ++k) {
      const double t = static_cast<double>(k) / steps;
      const double t2 = t * t;
      const double t3 = t2 * t;
      out.push_back((p1 * 2 + (p2 - p0) * t + (p0 * 2 - p1 * 5 + p2 * 4 - p3) * t2 + (p1 * 3 - p0 - p2 * 3 + p3) * t3) * 0.5);
    }
  }
  out.push_back(through.back());
  return out;
}

Line offset(const Line& line, double offset_m) {
  Line out;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const Point before = line[i == 0 ? 0 : i - 1];
    const Point after = line[std::min(i + 1, line.size() - 1)];
    const Point d = unit(after - before);
    out.push_back(line[i] + Point{-d.y, d.x} * offset_m);
  }
  return out;
}

bool inside(const Line& ring, Point p) {
  bool in = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const Point a = ring[i];
    const Point b = ring[j];
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) in = !in;
  }
  return in;
}

double signedArea(const Line& ring) {
  double sum = 0;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) sum += cross(ring[j], ring[i]);
  return sum / 2;
}

Point innerPoint(const Line& ring) {
  double low = 1e18;
  double high = -1e18;
  for (Point p : ring) {
    low = std::min(low, p.y);
    high = std::max(high, p.y);
  }
  Point best = ring.front();
  double best_width = -1;
  for (double share : {0.5, 0.4, 0.6, 0.3, 0.7}) {
    const double y = low + (high - low) * share + 0.0137;
    std::vector<double> xs;
    for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
      const Point a = ring[i];
      const Point b = ring[j];
      if ((a.y > y) != (b.y > y)) xs.push_back((b.x - a.x) * (y - a.y) / (b.y - a.y) + a.x);
    }
    std::sort(xs.begin(), xs.end());
    for (std::size_t i = 0; i + 1 < xs.size(); i += 2) {
      if (xs[i + 1] - xs[i] > best_width) {
        best_width = xs[i + 1] - xs[i];
        best = {(xs[i] + xs[i + 1]) / 2, y};
      }
    }
  }
  return best;
}

std::vector<Line> clipped(const Line& line, const Line& ring) {
  std::vector<Line> pieces;
  Line piece;
  const auto finish = [&] {
    if (piece.size() > 1) pieces.push_back(piece);
    piece.clear();
  };
  for (std::size_t i = 1; i < line.size(); ++i) {
    std::vector<double> cuts{0, 1};
    for (std::size_t k = 0, j = ring.size() - 1; k < ring.size(); j = k++) {
      if (const auto c = crossing(line[i - 1], line[i], ring[j], ring[k])) cuts.push_back(c->t);
    }
    std::sort(cuts.begin(), cuts.end());
    const Point d = line[i] - line[i - 1];
    for (std::size_t c = 0; c + 1 < cuts.size(); ++c) {
      if (cuts[c + 1] - cuts[c] < 1e-9) continue;
      if (!inside(ring, line[i - 1] + d * ((cuts[c] + cuts[c + 1]) / 2))) {
        finish();
        continue;
      }
      if (piece.empty()) piece.push_back(line[i - 1] + d * cuts[c]);
      piece.push_back(line[i - 1] + d * cuts[c + 1]);
    }
  }
  finish();
  return pieces;
}

Point lonLat(Point p) {
  constexpr double kA = 6378137.0;  // WGS 84
  constexpr double kF = 1 / 298.257223563;
  constexpr double kScale = 0.9996;
  constexpr double kCentralMeridianDeg = -39;
  const double n = kF / (2 - kF);
  const double radius = kA / (1 + n) * (1 + n * n / 4 + n * n * n * n / 64);
  const double xi = (p.y + kZeroUtm.y) / (kScale * radius);
  const double eta = (p.x + kZeroUtm.x - 500000) / (kScale * radius);
  const double beta[3] = {n / 2 - 2 * n * n / 3 + 37 * n * n * n / 96, n * n / 48 + n * n * n / 15, 17 * n * n * n / 480};
  double xi1 = xi;
  double eta1 = eta;
  for (int j = 1; j <= 3; ++j) {
    xi1 -= beta[j - 1] * std::sin(2 * j * xi) * std::cosh(2 * j * eta);
    eta1 -= beta[j - 1] * std::cos(2 * j * xi) * std::sinh(2 * j * eta);
  }
  const double lambda = std::atan2(std::sinh(eta1), std::cos(xi1));
  const double tau1 = std::sin(xi1) / std::hypot(std::sinh(eta1), std::cos(xi1));
  const double e = std::sqrt(kF * (2 - kF));
  double tau = tau1;
  for (int round = 0; round < 5; ++round) {  // Newton, Karney eqs. 19-21
    const double sigma = std::sinh(e * std::atanh(e * tau / std::sqrt(1 + tau * tau)));
    const double guess = tau * std::sqrt(1 + sigma * sigma) - sigma * std::sqrt(1 + tau * tau);
    tau += (tau1 - guess) / std::sqrt(1 + guess * guess) * (1 + (1 - e * e) * tau * tau) / ((1 - e * e) * std::sqrt(1 + tau * tau));
  }
  constexpr double kDegrees = 180 / std::numbers::pi;
  return {kCentralMeridianDeg + lambda * kDegrees, std::atan(tau) * kDegrees};
}

}  // namespace leeward::town
