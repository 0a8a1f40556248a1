#include "analysis/patterns/global_patterns.h"

#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

namespace leeward::analysis {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

/// The values that take part, among their neighbours.
struct Part {
  std::vector<double> values;
  Neighbours neighbours;
  WeightSums sums;
  double n = 0;
};

PatternTest undefined(const Part& part, std::string why) {
  return {kNan, kNan, kNan, kNan, kNan, part.values.size(), std::move(why)};
}

Result<Part> partOf(std::span<const double> values, const Neighbours& neighbours, WeightStyle style) {
  if (values.size() != neighbours.size()) {
    return Problem{ProblemCode::InvalidArgument, "there are not as many values as areas", "", ""};
  }
  // Leaving out a value may take an area's last neighbour, so the search goes on until nothing more falls out.
  std::vector<bool> kept(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) kept[i] = std::isfinite(values[i]);
  for (bool fell = true; fell;) {
    fell = false;
    for (std::size_t i = 0; i < values.size(); ++i) {
      if (!kept[i]) continue;
      const auto list = neighbours.of(i);
      if (std::none_of(list.begin(), list.end(), [&](std::uint32_t j) { return kept[j]; })) kept[i] = false, fell = true;
    }
  }
  Part part;
  part.neighbours = amongKept(neighbours, kept);
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (kept[i]) part.values.push_back(values[i]);
  }
  part.sums = weightSums(part.neighbours, style);
  part.n = static_cast<double>(part.values.size());
  return part;
}

/// Deviations from the mean, their squares' sum, and the kurtosis n sum(z^4) / sum(z^2)^2.
struct Deviations {
  std::vector<double> z;
  double squares = 0, kurtosis = 0;
};

Deviations deviationsOf(const Part& part) {
  Deviations out;
  const double mean = std::accumulate(part.values.begin(), part.values.end(), 0.0) / part.n;
  double fourth = 0;
  for (const double value : part.values) {
    const double z = value - mean;
    out.z.push_back(z);
    out.squares += z * z;
    fourth += z * z * z * z;
  }
  out.kurtosis = part.n * fourth / (out.squares * out.squares);
  return out;
}

/// Equal up to rounding of the mean.
bool allEqual(const Part& part, const Deviations& deviations) {
  double largest = 0;
  for (const double value : part.values) largest = std::max(largest, std::abs(value));
  return deviations.squares <= part.n * largest * largest * 1e-28;
}

void finish(PatternTest& test, double sign) {
  test.z = sign * (test.statistic - test.expectation) / std::sqrt(test.variance);
  test.p = std::erfc(std::abs(test.z) / std::numbers::sqrt2);
}

constexpr const char* kTooFew = "fewer than four areas have a value and a neighbour";
constexpr const char* kConstant = "the values are all equal";

/// What the statistics of deviations begin with; `why` says why there is nothing to say.
struct Ready {
  Part part;
  Deviations deviations;
  std::string why;
};

Result<Ready> readyFor(std::span<const double> values, const Neighbours& neighbours, WeightStyle style) {
  Ready ready;
  LEEWARD_ASSIGN(part, partOf(values, neighbours, style));
  ready.part = std::move(part);
  if (ready.part.values.size() < 4) {
    ready.why = kTooFew;
    return ready;
  }
  ready.deviations = deviationsOf(ready.part);
  if (allEqual(ready.part, ready.deviations)) ready.why = kConstant;
  return ready;
}

}  // namespace

Result<PatternTest> moran(std::span<const double> values, const Neighbours& neighbours, WeightStyle style, VarianceOf variance) {
  LEEWARD_ASSIGN(ready, readyFor(values, neighbours, style));
  const auto& [part, d, why] = ready;
  if (!why.empty()) return undefined(part, why);
  const auto& [s0, s1, s2] = part.sums;
  const double n = part.n;
  double cross = 0;
  for (std::size_t i = 0; i < d.z.size(); ++i) {
    cross += d.z[i] * lagOf(d.z, part.neighbours, i, style);
  }
  PatternTest test;
  test.areas = part.values.size();
  test.statistic = n / s0 * cross / d.squares;
  test.expectation = -1 / (n - 1);
  if (variance == VarianceOf::Normality) {
    test.variance = (n * n * s1 - n * s2 + 3 * s0 * s0) / (s0 * s0 * (n * n - 1));
  } else {
    test.variance = (n * ((n * n - 3 * n + 3) * s1 - n * s2 + 3 * s0 * s0) - d.kurtosis * ((n * n - n) * s1 - 2 * n * s2 + 6 * s0 * s0)) / ((n - 1) * (n - 2) * (n - 3) * s0 * s0);
  }
  test.variance -= test.expectation * test.expectation;
  finish(test, 1);
  return test;
}

Result<PatternTest> geary(std::span<const double> values, const Neighbours& neighbours, WeightStyle style, VarianceOf variance) {
  LEEWARD_ASSIGN(ready, readyFor(values, neighbours, style));
  const auto& [part, d, why] = ready;
  if (!why.empty()) return undefined(part, why);
  const auto& [s0, s1, s2] = part.sums;
  const double n = part.n;
  double apart = 0;
  for (std::size_t i = 0; i < d.z.size(); ++i) {
    const auto list = part.neighbours.of(i);
    const RowWeights weights(part.neighbours, i, style);
    for (std::size_t k = 0; k < list.size(); ++k) apart += weights[k] * (d.z[i] - d.z[list[k]]) * (d.z[i] - d.z[list[k]]);
  }
  PatternTest test;
  test.areas = part.values.size();
  test.statistic = (n - 1) * apart / (2 * s0 * d.squares);
  test.expectation = 1;
  if (variance == VarianceOf::Normality) {
    test.variance = ((2 * s1 + s2) * (n - 1) - 4 * s0 * s0) / (2 * (n + 1) * s0 * s0);
  } else {
    test.variance = ((n - 1) * s1 * (n * n - 3 * n + 3 - (n - 1) * d.kurtosis) - 0.25 * (n - 1) * s2 * (n * n + 3 * n - 6 - (n * n - n + 2) * d.kurtosis) +
                     s0 * s0 * (n * n - 3 - (n - 1) * (n - 1) * d.kurtosis)) /
                    (n * (n - 2) * (n - 3) * s0 * s0);
  }
  finish(test, -1);
  return test;
}

Result<PatternTest> generalG(std::span<const double> values, const Neighbours& neighbours, WeightStyle style) {
  LEEWARD_ASSIGN(ready, readyFor(values, neighbours, style));
  const auto& [part, d, why] = ready;
  if (!why.empty()) return undefined(part, why);
  double m1 = 0, m2 = 0, m3 = 0, m4 = 0, near = 0;
  for (std::size_t i = 0; i < part.values.size(); ++i) {
    const double x = part.values[i];
    if (x < 0) return undefined(part, "G needs values that are not negative");
    m1 += x, m2 += x * x, m3 += x * x * x, m4 += x * x * x * x;
    near += x * lagOf(part.values, part.neighbours, i, style);
  }
  const double pairs = m1 * m1 - m2;
  if (!(pairs > 0)) return undefined(part, "all but one value are zero");
  const auto& [s0, s1, s2] = part.sums;
  const double n = part.n;
  const double b0 = (n * n - 3 * n + 3) * s1 - n * s2 + 3 * s0 * s0;
  const double b1 = -((n * n - n) * s1 - 2 * n * s2 + 6 * s0 * s0);
  const double b2 = -(2 * n * s1 - (n + 3) * s2 + 6 * s0 * s0);
  const double b3 = 4 * (n - 1) * s1 - 2 * (n + 1) * s2 + 8 * s0 * s0;
  const double b4 = s1 - s2 + s0 * s0;
  PatternTest test;
  test.areas = part.values.size();
  test.statistic = near / pairs;
  test.expectation = s0 / (n * (n - 1));
  const double second = (b0 * m2 * m2 + b1 * m4 + b2 * m1 * m1 * m2 + b3 * m1 * m3 + b4 * m1 * m1 * m1 * m1) / (pairs * pairs * n * (n - 1) * (n - 2) * (n - 3));
  test.variance = second - test.expectation * test.expectation;
  finish(test, 1);
  return test;
}

Result<std::vector<double>> standardisedRates(std::span<const double> events, std::span<const double> exposure) {
  if (events.size() != exposure.size()) return Problem{ProblemCode::InvalidArgument, "there are not as many events as exposures", "", ""};
  const auto counts = [&](std::size_t i) { return std::isfinite(events[i]) && std::isfinite(exposure[i]) && exposure[i] > 0; };
  double all_events = 0, all_exposure = 0, n = 0;
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (counts(i)) all_events += events[i], all_exposure += exposure[i], n += 1;
  }
  const double mean = all_events / all_exposure;
  double spread = 0;
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (counts(i)) spread += exposure[i] * std::pow(events[i] / exposure[i] - mean, 2);
  }
  const double prior = spread / all_exposure - mean / (all_exposure / n);
  std::vector<double> out(events.size(), kNan);
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (!counts(i)) continue;
    const double own = mean / exposure[i];
    const double variance = prior + own > 0 ? prior + own : own;
    if (variance > 0) out[i] = (events[i] / exposure[i] - mean) / std::sqrt(variance);
  }
  return out;
}

}  // namespace leeward::analysis
