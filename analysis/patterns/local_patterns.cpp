#include "analysis/patterns/local_patterns.h"

#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kAreasABatch = 64;

/// Sums over all values: of themselves, their squares, and their deviations' squares.
struct Whole {
  double n = 0, sum = 0, squares = 0, mean = 0, m2 = 0, tolerance = 0;
};

Whole wholeOf(const std::vector<double>& values) {
  Whole whole;
  whole.n = static_cast<double>(values.size());
  double largest = 0;
  for (const double x : values) whole.sum += x, whole.squares += x * x, largest = std::max(largest, std::abs(x));
  whole.mean = whole.sum / whole.n;
  for (const double x : values) whole.m2 += (x - whole.mean) * (x - whole.mean) / whole.n;
  whole.tolerance = 1e-12 * largest;
  return whole;
}

void scoresOf(const std::vector<double>& values, const Neighbours& neighbours, const Whole& whole, std::size_t i, WeightStyle style, LocalPatterns& out) {
  const auto list = neighbours.of(i);
  const double k = static_cast<double>(list.size());
  double lag = 0, lag_z = 0;
  for (const std::uint32_t j : list) lag += values[j], lag_z += values[j] - whole.mean;
  out.moran[i] = (values[i] - whole.mean) / whole.m2 * lag_z * weightOfNeighbour(neighbours, i, style);
  const double others = whole.n - 1;
  const double mean = (whole.sum - values[i]) / others;
  const double variance = (whole.squares - values[i] * values[i]) / others - mean * mean;
  const double spread = variance * (others * k - k * k) / (others - 1);
  out.gi[i] = spread > 0 ? (lag - k * mean) / std::sqrt(spread) : kUnknown;  // neighbour of all others: the sum cannot vary
  const double w = k + 1;
  const double spread_star = (whole.squares / whole.n - whole.mean * whole.mean) * (whole.n * w - w * w) / (whole.n - 1);
  out.gstar[i] = spread_star > 0 ? (lag + values[i] - w * whole.mean) / std::sqrt(spread_star) : kUnknown;
}

/// Draws as many different areas as i has neighbours from all but i.
class Permuter {
 public:
  explicit Permuter(const std::vector<double>& values) : values_(values), order_(values.size()) { std::iota(order_.begin(), order_.end(), 0U); }

  double p(std::span<const std::uint32_t> list, std::size_t i, const LocalOptions& options, double tolerance) {
    Random random(options.seed, i);
    double lag = 0;
    for (const std::uint32_t j : list) lag += values_[j];
    // A few of many: draw again what was drawn before. Else the first steps of a shuffle, which is undone.
    const bool few = list.size() <= kFew && list.size() * 4 < values_.size();
    int above = 0, below = 0;
    for (int round = 0; round < options.permutations; ++round) {
      const double drawn = few ? sumOfFew(list.size(), i, random) : sumByShuffle(list.size(), i, random);
      above += drawn >= lag - tolerance ? 1 : 0;
      below += drawn <= lag + tolerance ? 1 : 0;
    }
    return std::min(1.0, 2.0 * (std::min(above, below) + 1) / (options.permutations + 1));
  }

 private:
  static constexpr std::size_t kFew = 16;

  double sumOfFew(std::size_t count, std::size_t i, Random& random) {
    const auto others = static_cast<std::uint32_t>(values_.size() - 1);
    std::array<std::uint32_t, kFew> drawn{};
    double sum = 0;
    for (std::size_t k = 0; k < count;) {
      std::uint32_t at = random.below(others);
      if (at >= i) ++at;
      bool again = false;
      for (std::size_t earlier = 0; earlier < k; ++earlier) again |= drawn[earlier] == at;
      if (again) continue;
      drawn[k++] = at;
      sum += values_[at];
    }
    return sum;
  }

  double sumByShuffle(std::size_t count, std::size_t i, Random& random) {
    const std::size_t last = order_.size() - 1;
    steps_.clear();
    const auto exchange = [&](std::size_t a, std::size_t b) {
      std::swap(order_[a], order_[b]);
      steps_.emplace_back(a, b);
    };
    exchange(i, last);  // i itself is never drawn
    double sum = 0;
    for (std::size_t k = 0; k < count; ++k) {
      exchange(k, k + random.below(static_cast<std::uint32_t>(last - k)));
      sum += values_[order_[k]];
    }
    while (!steps_.empty()) {
      std::swap(order_[steps_.back().first], order_[steps_.back().second]);
      steps_.pop_back();
    }
    return sum;
  }

  const std::vector<double>& values_;
  std::vector<std::uint32_t> order_;
  std::vector<std::pair<std::size_t, std::size_t>> steps_;
};

}  // namespace

Result<LocalPatterns> localPatterns(std::span<const double> values, const Neighbours& neighbours, const LocalOptions& options, Progress& progress) {
  if (values.size() != neighbours.size()) return Problem{ProblemCode::InvalidArgument, "there are not as many values as areas", "", ""};
  if (options.permutations < 0) return Problem{ProblemCode::InvalidArgument, "permutations can't be negative", "", ""};
  std::vector<bool> kept(values.size());
  std::vector<std::size_t> rows;
  std::vector<double> part;
  for (std::size_t i = 0; i < values.size(); ++i) {
    kept[i] = std::isfinite(values[i]);
    if (kept[i]) rows.push_back(i), part.push_back(values[i]);
  }
  const std::vector<double> unknown(values.size(), kUnknown);
  LocalPatterns all{unknown, unknown, unknown, unknown};
  const Whole whole = wholeOf(part);
  if (part.size() < 4 || whole.m2 <= whole.tolerance * whole.tolerance) return all;
  const Neighbours among = amongKept(neighbours, kept);
  const std::vector<double> open(part.size(), kUnknown);
  LocalPatterns found{open, open, open, open};
  LEEWARD_TRY(progress.parallelFor(part.size(), kAreasABatch, [&](std::size_t begin, std::size_t end) {
    Permuter permuter(part);
    for (std::size_t i = begin; i < end; ++i) {
      const auto list = among.of(i);
      if (list.empty()) continue;
      scoresOf(part, among, whole, i, options.style, found);
      if (options.permutations > 0) found.p[i] = permuter.p(list, i, options, whole.tolerance * static_cast<double>(list.size()));
    }
  }));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    all.moran[rows[i]] = found.moran[i], all.gi[rows[i]] = found.gi[i], all.gstar[rows[i]] = found.gstar[i], all.p[rows[i]] = found.p[i];
  }
  return all;
}

}  // namespace leeward::analysis
