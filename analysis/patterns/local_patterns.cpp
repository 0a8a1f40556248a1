#include "analysis/patterns/local_patterns.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "shared/base/random.h"

namespace leeward::analysis {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kAreasABatch = 128;
constexpr std::size_t kMostShared = 64;  ///< neighbours up to which an area takes its batch's draws

/// Deviations from the mean; their second moment; and how far sums may be off by rounding.
struct Whole {
  std::vector<double> z;
  double n = 0, m2 = 0, tolerance = 0;
};

Whole wholeOf(const std::vector<double>& values) {
  Whole whole;
  whole.n = static_cast<double>(values.size());
  double largest = 0, sum = 0;
  for (const double x : values) sum += x, largest = std::max(largest, std::abs(x));
  for (const double x : values) {
    whole.z.push_back(x - sum / whole.n);
    whole.m2 += whole.z.back() * whole.z.back() / whole.n;
  }
  whole.tolerance = 1e-12 * largest;
  return whole;
}

void scoresOf(const Whole& whole, const Neighbours& neighbours, std::size_t i, WeightStyle style, LocalPatterns& out) {
  const auto& z = whole.z;
  const RowWeights weights(neighbours, i, WeightStyle::Equal);
  double sum = 0, squares = 0;
  for (std::size_t k = 0; k < neighbours.of(i).size(); ++k) sum += weights[k], squares += weights[k] * weights[k];
  const double lag = lagOf(z, neighbours, i, WeightStyle::Equal);
  out.moran[i] = z[i] / whole.m2 * lagOf(z, neighbours, i, style);
  const double others = whole.n - 1, mean = -z[i] / others;
  const double variance = (whole.m2 * whole.n - z[i] * z[i]) / others - mean * mean;
  // A sum that cannot vary (equal weights on all others) has no score; what rounding leaves of its variance is none.
  const double spread = others * squares - sum * sum, spread_star = whole.n * (squares + 1) - (sum + 1) * (sum + 1);
  const double least = 1e-12 * whole.n * (squares + 1);
  out.gi[i] = spread > least && variance > 0 ? (lag - sum * mean) / std::sqrt(variance * spread / (others - 1)) : kUnknown;
  out.gstar[i] = spread_star > least ? (lag + z[i]) / std::sqrt(whole.m2 * spread_star / (whole.n - 1)) : kUnknown;
}

/// Draws of different numbers below a count, kept by columns: the first k columns are a draw of k.
class Draws {
 public:
  Draws(std::size_t count, std::size_t width, int rounds, Random random) : rounds_(static_cast<std::size_t>(rounds)), at_(rounds_ * width) {
    // A few of many: draw again what was drawn before. Else the first steps of a shuffle, which any order of the numbers may begin.
    const bool few = width * 4 < count;
    std::vector<std::uint32_t> order(few ? width : count);
    std::iota(order.begin(), order.end(), 0U);
    for (std::size_t round = 0; round < rounds_; ++round) {
      for (std::size_t k = 0; k < width; ++k) {
        if (few) {
          do order[k] = random.below(static_cast<std::uint32_t>(count));
          while (std::find(order.begin(), order.begin() + static_cast<std::ptrdiff_t>(k), order[k]) != order.begin() + static_cast<std::ptrdiff_t>(k));
        } else {
          std::swap(order[k], order[k + random.below(static_cast<std::uint32_t>(count - k))]);
        }
        at_[k * rounds_ + round] = order[k];
      }
    }
  }

  /// Column k.
  std::span<const std::uint32_t> column(std::size_t k) const { return std::span(at_).subspan(k * rounds_, rounds_); }

 private:
  std::size_t rounds_;
  std::vector<std::uint32_t> at_;
};

/// p-values of areas, by drawing their neighbours' values from all other areas.
class Permuter {
 public:
  Permuter(const Whole& whole, const LocalOptions& options) : whole_(whole), options_(options), others_(whole.z), sums_(static_cast<std::size_t>(options.permutations)) {}

  double p(const Neighbours& neighbours, std::size_t i, const Draws& draws) {
    const RowWeights weights(neighbours, i, WeightStyle::Equal);
    const std::size_t count = neighbours.of(i).size();
    // Numbers below n - 1 stand for all areas but i: the last one stands in i's place.
    others_[i] = whole_.z.back();
    std::fill(sums_.begin(), sums_.end(), 0.0);
    for (std::size_t k = 0; k < count; ++k) {
      const auto column = draws.column(k);
      const double weight = weights[k];
      for (std::size_t round = 0; round < sums_.size(); ++round) sums_[round] += weight * others_[column[round]];
    }
    others_[i] = whole_.z[i];
    const double lag = lagOf(whole_.z, neighbours, i, WeightStyle::Equal), tolerance = whole_.tolerance * weightSum(weights, count);
    int above = 0, below = 0;
    for (const double drawn : sums_) {
      above += drawn >= lag - tolerance ? 1 : 0;
      below += drawn <= lag + tolerance ? 1 : 0;
    }
    return std::min(1.0, 2.0 * (std::min(above, below) + 1) / (options_.permutations + 1));
  }

 private:
  static double weightSum(const RowWeights& weights, std::size_t count) {
    double sum = 0;
    for (std::size_t k = 0; k < count; ++k) sum += weights[k];
    return sum;
  }

  const Whole& whole_;
  const LocalOptions& options_;
  std::vector<double> others_;
  std::vector<double> sums_;
};

/// The p of a batch of areas.
void batchP(const Whole& whole, const Neighbours& neighbours, const LocalOptions& options, std::size_t begin, std::size_t end, std::vector<double>& p) {
  const std::size_t others = whole.z.size() - 1;
  std::size_t width = 0;
  for (std::size_t i = begin; i < end; ++i) {
    if (neighbours.of(i).size() <= kMostShared) width = std::max(width, neighbours.of(i).size());
  }
  const Draws shared(others, width, options.permutations, Random(options.seed, begin / kAreasABatch));
  Permuter permuter(whole, options);
  for (std::size_t i = begin; i < end; ++i) {
    const std::size_t count = neighbours.of(i).size();
    if (count == 0) continue;
    // Areas with very many neighbours have draws of their own, so that a batch's table stays small.
    constexpr std::uint64_t kOwnStreams = 1ULL << 40U;
    p[i] = count <= kMostShared ? permuter.p(neighbours, i, shared) : permuter.p(neighbours, i, Draws(others, count, options.permutations, Random(options.seed, kOwnStreams + i)));
  }
}

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
    for (std::size_t i = begin; i < end; ++i) {
      if (!among.of(i).empty()) scoresOf(whole, among, i, options.style, found);
    }
    if (options.permutations > 0) batchP(whole, among, options, begin, end, found.p);
  }));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    all.moran[rows[i]] = found.moran[i], all.gi[rows[i]] = found.gi[i], all.gstar[rows[i]] = found.gstar[i], all.p[rows[i]] = found.p[i];
  }
  return all;
}

}  // namespace leeward::analysis
