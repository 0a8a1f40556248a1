#include "analysis/rates/classes.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace leeward::analysis {
namespace {

constexpr std::size_t kMostClasses = 64;

/// Distinct values with how often each occurs, and the squared deviation within any run of them.
class Runs {
 public:
  explicit Runs(const std::vector<double>& ascending) {
    const double mean = std::accumulate(ascending.begin(), ascending.end(), 0.0) / static_cast<double>(ascending.size());
    // Sums about the mean, so that the differences below lose few digits.
    for (const double value : ascending) {
      if (values_.empty() || values_.back() != value) {
        values_.push_back(value);
        weights_.push_back(weights_.empty() ? 0 : weights_.back());
        sums_.push_back(sums_.empty() ? 0 : sums_.back());
        squares_.push_back(squares_.empty() ? 0 : squares_.back());
      }
      const double off = value - mean;
      weights_.back() += 1;
      sums_.back() += off;
      squares_.back() += off * off;
    }
  }

  std::size_t size() const { return values_.size(); }
  double value(std::size_t i) const { return values_[i]; }
  /// Sum of squared deviations from the mean of the values first..last.
  double cost(std::size_t first, std::size_t last) const {
    const double weight = weights_[last] - before(weights_, first);
    const double sum = sums_[last] - before(sums_, first);
    const double squares = squares_[last] - before(squares_, first);
    return std::max(0.0, squares - sum * sum / weight);
  }

 private:
  static double before(const std::vector<double>& sums, std::size_t first) { return first == 0 ? 0 : sums[first - 1]; }
  std::vector<double> values_, weights_, sums_, squares_;  ///< the last three running
};

/// One step of the dynamic programme: best[j] = min over i of previous[i - 1] + cost(i, j), start[j] that i. The best i never
/// falls as j grows, so the middle j splits the search.
struct Step {
  const Runs& runs;
  const std::vector<double>& previous;
  std::vector<double>& best;
  std::vector<std::uint32_t>& start;

  void fill(std::size_t first_j, std::size_t end_j, std::size_t low_i, std::size_t high_i) {
    if (first_j >= end_j) return;
    const auto j = first_j + (end_j - first_j) / 2;
    std::size_t best_i = low_i;
    double least = std::numeric_limits<double>::infinity();
    for (std::size_t i = low_i; i <= std::min(high_i, j); ++i) {
      const double cost = previous[i - 1] + runs.cost(i, j);
      if (cost < least) {
        least = cost;
        best_i = i;
      }
    }
    best[j] = least;
    start[j] = static_cast<std::uint32_t>(best_i);
    fill(first_j, j, low_i, best_i);
    fill(j + 1, end_j, best_i, high_i);
  }
};

Result<std::vector<double>> naturalLimits(const std::vector<double>& ascending, std::size_t count, Progress& progress) {
  const Runs runs(ascending);
  const auto n = runs.size();
  count = std::min(count, n);
  std::vector<double> previous(n);
  for (std::size_t j = 0; j < n; ++j) previous[j] = runs.cost(0, j);
  std::vector<std::vector<std::uint32_t>> starts;
  for (std::size_t k = 1; k < count; ++k) {
    LEEWARD_TRY(progress.checkStop());
    progress.report(static_cast<double>(k) / static_cast<double>(count), "Looking for natural classes");
    std::vector<double> best(n, std::numeric_limits<double>::infinity());
    starts.emplace_back(n, 0);
    Step{runs, previous, best, starts.back()}.fill(k, n, k, n - 1);
    previous = std::move(best);
  }
  std::vector<double> limits(count + 1);
  limits[0] = runs.value(0);
  auto last = n - 1;
  for (std::size_t k = count; k > 0; --k) {
    limits[k] = runs.value(last);
    if (k > 1) last = starts[k - 2][last] - 1;
  }
  return limits;
}

/// Limits after the first are made to rise.
std::vector<double> withoutRepeats(std::vector<double> limits) {
  limits.erase(std::unique(limits.begin() + 1, limits.end()), limits.end());
  return limits;
}

void describe(const std::vector<double>& ascending, Classes& classes) {
  classes.counts.assign(classes.limits.size() - 1, 0);
  const auto squaresAbout = [](std::span<const double> values) {
    if (values.empty()) return 0.0;
    const double mean = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
    return std::accumulate(values.begin(), values.end(), 0.0,
                           [&](double sum, double value) { return sum + (value - mean) * (value - mean); });
  };
  std::size_t begin = 0;
  for (std::size_t c = 0; c < classes.counts.size(); ++c) {
    const bool is_last = c + 1 == classes.counts.size();
    const auto end = is_last
                         ? ascending.size()
                         : static_cast<std::size_t>(std::upper_bound(ascending.begin(), ascending.end(), classes.limits[c + 1]) -
                                                    ascending.begin());
    classes.counts[c] = end - begin;
    classes.within_squares += squaresAbout(std::span(ascending).subspan(begin, end - begin));
    begin = end;
  }
  const double total = squaresAbout(ascending);
  classes.goodness_of_variance_fit = total > 0 ? 1 - classes.within_squares / total : 1;
}

}  // namespace

Result<Classes> classesBetween(std::span<const double> values, std::vector<double> limits) {
  const bool rise = std::ranges::is_sorted(limits, std::less_equal<>()) && std::ranges::all_of(limits, [](double limit) { return std::isfinite(limit); });
  if (limits.size() < 2 || limits.size() > kMostClasses + 1 || !rise) {
    return Problem{ProblemCode::InvalidArgument, "these are no limits of classes", "", fmt::format("Give 2 to {} numbers that rise", kMostClasses + 1)};
  }
  std::vector<double> ascending;
  std::ranges::copy_if(values, std::back_inserter(ascending), [&](double value) { return value >= limits.front() && value <= limits.back(); });
  if (ascending.empty()) return Problem{ProblemCode::BadData, "there is no value between these limits", "", "Give limits between which the values lie"};
  std::ranges::sort(ascending);
  Classes classes;
  classes.limits = std::move(limits);
  describe(ascending, classes);
  return classes;
}

Result<Classes> classLimits(std::span<const double> values, std::size_t count, ClassesBy by, Progress& progress) {
  if (count == 0 || count > kMostClasses) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("{} is no usable number of classes", count), "",
                   fmt::format("Give 1 to {}", kMostClasses)};
  }
  std::vector<double> ascending;
  std::copy_if(values.begin(), values.end(), std::back_inserter(ascending), [](double value) { return std::isfinite(value); });
  if (ascending.empty())
    return Problem{ProblemCode::BadData, "there is no value to make classes of", "", "Choose another column"};
  std::sort(ascending.begin(), ascending.end());

  Classes classes;
  if (by == ClassesBy::Natural) {
    LEEWARD_ASSIGN(limits, naturalLimits(ascending, count, progress));
    classes.limits = std::move(limits);
  } else {
    const double low = ascending.front();
    const double high = ascending.back();
    for (std::size_t i = 0; i <= count; ++i) {
      const double share = static_cast<double>(i) / static_cast<double>(count);
      classes.limits.push_back(by == ClassesBy::Quantile ? quantileOfSorted(ascending, share) : low + share * (high - low));
    }
    classes.limits.back() = high;
    classes.limits = withoutRepeats(std::move(classes.limits));
  }
  describe(ascending, classes);
  return classes;
}

std::int32_t classOf(double value, std::span<const double> limits) {
  if (std::isnan(value) || limits.size() < 2) return -1;
  const auto upper = limits.subspan(1);
  const auto at = std::lower_bound(upper.begin(), upper.end(), value) - upper.begin();
  return static_cast<std::int32_t>(std::min<std::ptrdiff_t>(at, static_cast<std::ptrdiff_t>(upper.size()) - 1));
}

double quantileOfSorted(std::span<const double> ascending, double share) {
  const double position = share * static_cast<double>(ascending.size() - 1);
  const auto below = static_cast<std::size_t>(position);
  if (below + 1 >= ascending.size()) return ascending.back();
  const double part = position - static_cast<double>(below);
  return ascending[below] + part * (ascending[below + 1] - ascending[below]);
}

}  // namespace leeward::analysis
