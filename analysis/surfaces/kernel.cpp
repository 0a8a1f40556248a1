#include "analysis/surfaces/kernel.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

namespace leeward::analysis {
namespace {

/// Nodes and weights of the ten-point Gauss-Legendre rule on -1..1 (Abramowitz & Stegun 1964, table 25.4), by symmetry.
constexpr std::array<double, 5> kNodes = {0.148874338981631211, 0.433395394129247191, 0.679409568299024406, 0.865063366688984511, 0.973906528517171720};
constexpr std::array<double, 5> kWeights = {0.295524224714752870, 0.269266719309996355, 0.219086362515982044, 0.149451349150580593, 0.066671344308688138};

/// Volume of (1 - x^2 - y^2)^2 over the part of the unit circle within a rectangle. With x = sin t the integrand is smooth between the
/// angles where the circle crosses the rectangle's upper and lower side.
double unitQuarticVolume(double x0, double x1, double y0, double y1) {
  x0 = std::clamp(x0, -1.0, 1.0), x1 = std::clamp(x1, -1.0, 1.0), y0 = std::clamp(y0, -1.0, 1.0), y1 = std::clamp(y1, -1.0, 1.0);
  if (!(x0 < x1) || !(y0 < y1)) return 0;
  const auto slice = [&](double t) {
    const double c = std::cos(t), s = c * c;
    const double low = std::max(y0, -c), high = std::min(y1, c);
    if (!(low < high)) return 0.0;
    const auto upTo = [s](double y) { return y * (s * s + y * y * (-2 * s / 3 + y * y / 5)); };
    return (upTo(high) - upTo(low)) * c;
  };
  const double from = std::asin(x0), to = std::asin(x1);
  std::vector<double> cuts = {from, to};
  for (const double y : {y0, y1}) {
    const double kink = std::acos(std::abs(y));
    for (const double t : {-kink, kink}) {
      if (t > from && t < to) cuts.push_back(t);
    }
  }
  std::ranges::sort(cuts);
  double sum = 0;
  for (std::size_t i = 1; i < cuts.size(); ++i) {
    const double middle = (cuts[i - 1] + cuts[i]) / 2, half = (cuts[i] - cuts[i - 1]) / 2;
    for (std::size_t k = 0; k < kNodes.size(); ++k) sum += kWeights[k] * half * (slice(middle - half * kNodes[k]) + slice(middle + half * kNodes[k]));
  }
  return sum;
}

}  // namespace

double normalMass(double from, double to) {
  const double a = from / std::numbers::sqrt2, b = to / std::numbers::sqrt2;
  if (a > 0) return (std::erfc(a) - std::erfc(b)) / 2;
  if (b < 0) return (std::erfc(-b) - std::erfc(-a)) / 2;
  return (std::erf(b) - std::erf(a)) / 2;
}

double Kernel::at(double distance2) const {
  const double h2 = bandwidth_ * bandwidth_;
  if (form_ == KernelForm::Gaussian) return std::exp(-distance2 / (2 * h2)) / (2 * std::numbers::pi * h2);
  const double rest = 1 - distance2 / h2;
  return rest > 0 ? 3 / (std::numbers::pi * h2) * rest * rest : 0;
}

double Kernel::massOver(const Bbox& box, Point p) const {
  const double x0 = (box.min_x - p.x) / bandwidth_, x1 = (box.max_x - p.x) / bandwidth_, y0 = (box.min_y - p.y) / bandwidth_, y1 = (box.max_y - p.y) / bandwidth_;
  if (form_ == KernelForm::Gaussian) return normalMass(x0, x1) * normalMass(y0, y1);
  if (x0 <= -1 && x1 >= 1 && y0 <= -1 && y1 >= 1) return 1;
  return 3 / std::numbers::pi * unitQuarticVolume(x0, x1, y0, y1);
}

double Kernel::effectiveArea() const {
  const double h2 = bandwidth_ * bandwidth_;
  return form_ == KernelForm::Gaussian ? 4 * std::numbers::pi * h2 : 5 * std::numbers::pi * h2 / 9;
}

}  // namespace leeward::analysis
