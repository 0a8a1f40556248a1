#include "analysis/surfaces/bandwidth.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "shared/base/missing.h"
#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kSample = 2000;

/// Up to kSample points without putting back (Fisher & Yates).
std::vector<Point> sampleOf(std::span<const Point> points, std::uint64_t seed) {
  std::vector<Point> sample(points.begin(), points.end());
  if (sample.size() <= kSample) return sample;
  Random random(seed);
  for (std::size_t i = 0; i < kSample; ++i) std::swap(sample[i], sample[i + random.below(static_cast<std::uint32_t>(sample.size() - i))]);
  sample.resize(kSample);
  return sample;
}

double spotDistance2(Point a, Point b) { return (a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y); }

/// Sum of the logarithms of what all other spots' points foretell; beyond eight bandwidths counts as what lies there.
double logLikelihood(const std::vector<Point>& points, double bandwidth, Progress& progress) {
  std::vector<double> logs(points.size());
  const double scale = 1 / (2 * bandwidth * bandwidth);
  const auto done = progress.parallelFor(points.size(), 64, [&](std::size_t begin, std::size_t end) {
    for (auto i = begin; i < end; ++i) {
      double sum = 0;
      std::size_t elsewhere = 0;
      for (const Point p : points) {
        const double d2 = spotDistance2(p, points[i]);
        if (d2 == 0) continue;
        ++elsewhere;
        if (d2 * scale < 32) sum += std::exp(-d2 * scale);
      }
      logs[i] = std::log(std::max(sum, 1e-14) / (2 * std::numbers::pi * bandwidth * bandwidth * static_cast<double>(elsewhere)));
    }
  });
  if (!done) return -std::numeric_limits<double>::infinity();
  double total = 0;
  for (const double one : logs) total += one;
  return total;
}

/// Area in common of two discs of one radius at a distance.
double lens(double distance, double radius) {
  if (distance >= 2 * radius) return 0;
  const double half = distance / (2 * radius);
  return 2 * radius * radius * (std::acos(half) - half * std::sqrt(1 - half * half));
}

struct Pair {
  double distance, weight;
};

}  // namespace

std::pair<double, double> scottBandwidths(std::span<const Point> points) {
  const auto n = static_cast<double>(points.size());
  if (points.size() < 2) return {kNan, kNan};
  Point mean, squares;
  for (const Point p : points) mean.x += p.x / n, mean.y += p.y / n;
  for (const Point p : points) squares.x += (p.x - mean.x) * (p.x - mean.x), squares.y += (p.y - mean.y) * (p.y - mean.y);
  const double factor = std::pow(n, -1.0 / 6);
  return {std::sqrt(squares.x / (n - 1)) * factor, std::sqrt(squares.y / (n - 1)) * factor};
}

Result<double> likelihoodBandwidth(std::span<const Point> points, std::uint64_t seed, Progress& progress) {
  const auto sample = sampleOf(points, seed);
  Bbox box;
  std::vector<std::pair<double, double>> spots;
  for (const Point p : sample) box.add(p), spots.emplace_back(p.x, p.y);
  std::ranges::sort(spots);
  if (std::ranges::unique(spots).begin() - spots.begin() < 3) return Problem{ProblemCode::BadData, "a bandwidth can't be read from fewer than three spots", "", "Give it in metres"};
  const double longer = std::max(box.width(), box.height());
  Progress quiet = progress.quiet();
  // Coarse first, since the likelihood can have several tops; then golden section about the best.
  constexpr int kSteps = 24;
  const double low = std::log(longer / 500), step = (std::log(longer / 2) - low) / kSteps;
  const auto at = [&](double log_bandwidth) { return logLikelihood(sample, std::exp(log_bandwidth), quiet); };
  double best = low, most = -std::numeric_limits<double>::infinity();
  for (int i = 0; i <= kSteps; ++i) {
    LEEWARD_TRY(progress.checkStop());
    const double value = at(low + i * step);
    if (value > most) most = value, best = low + i * step;
    progress.report(0.7 * i / kSteps);
  }
  const double golden = std::numbers::phi - 1;
  double from = best - step, to = best + step;
  double a = to - golden * (to - from), b = from + golden * (to - from);
  double at_a = at(a), at_b = at(b);
  while (to - from > 1e-3) {
    LEEWARD_TRY(progress.checkStop());
    if (at_a >= at_b) to = b, b = a, at_b = at_a, a = to - golden * (to - from), at_a = at(a);
    else from = a, a = b, at_a = at_b, b = from + golden * (to - from), at_b = at(b);
  }
  const double shrink = std::pow(static_cast<double>(sample.size()) / static_cast<double>(points.size()), 1.0 / 6);
  return std::clamp(std::exp((from + to) / 2), longer / 500, longer / 2) * shrink;
}

Result<double> bermanDiggleBandwidth(std::span<const Point> points, const Bbox& box, std::uint64_t seed, Progress& progress) {
  const double width = box.width(), height = box.height(), area = width * height;
  if (points.size() < 3 || !(area > 0)) return Problem{ProblemCode::BadData, "a bandwidth can't be read from fewer than three points or from points on a line", "", "Give it in metres"};
  const auto sample = sampleOf(points, seed);
  const double farthest = std::min(width, height) / 4;
  const auto n = static_cast<double>(sample.size());
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < sample.size(); ++i) {
    if (i % 256 == 0) LEEWARD_TRY(progress.checkStop());
    for (std::size_t j = i + 1; j < sample.size(); ++j) {
      const double distance = std::sqrt(spotDistance2(sample[i], sample[j]));
      if (distance > farthest) continue;
      // Both orders of the pair; K(r) is the sum of weights up to r.
      pairs.push_back({distance, 2 * area / (n * (n - 1)) * area / ((width - std::abs(sample[i].x - sample[j].x)) * (height - std::abs(sample[i].y - sample[j].y)))});
    }
  }
  std::ranges::sort(pairs, {}, &Pair::distance);
  const double mean = static_cast<double>(points.size()) / area;
  constexpr int kSteps = 512;
  double best = kNan, least = std::numeric_limits<double>::infinity();
  for (int i = 1; i <= kSteps; ++i) {
    LEEWARD_TRY(progress.checkStop());
    const double radius = farthest / 2 * i / kSteps, disc = std::numbers::pi * radius * radius;
    double k = 0, spread = 0;
    for (const auto& pair : pairs) {
      if (pair.distance > 2 * radius) break;
      if (pair.distance <= radius) k += pair.weight;
      spread += pair.weight * lens(pair.distance, radius);
    }
    const double error = (1 / mean - 2 * k) / disc + spread / (disc * disc);
    if (error < least) least = error, best = radius / 2;
  }
  return best;
}

}  // namespace leeward::analysis
