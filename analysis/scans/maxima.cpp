#include "analysis/scans/maxima.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <cstring>
#include <limits>
#include <mutex>
#include <numeric>

#include "analysis/scans/thresholds.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kLanes = 64;  ///< replicates looked at together: their counts of a cell are one line of the processor's cache
constexpr std::size_t kCentresPerTask = 16;
constexpr double kFloor = 2;  ///< statistics below it are first passed over
constexpr std::size_t kPortionBytes = 256'000'000;
constexpr double kBlockSpread = 0.35;  ///< expected events of a block, in standard deviations of what its first window expects

/// A centre's windows of one form, cut into blocks of places.
struct Prepared {
  ScanOrder order;
  std::vector<double> held;  ///< per place and period bound: weight of all places so far, of all periods before the bound
  struct Block {
    std::uint32_t begin = 0, end = 0;
  };
  std::vector<Block> blocks;
  std::vector<std::uint32_t> rows;  ///< per block and span: the row of thresholds of its first window (of low rates: its last)
};

/// 64 bytes added lane by lane, wrapping never by the choice of blocks.
using Bytes = std::uint8_t __attribute__((vector_size(16)));

void addRows(const std::uint8_t* cells, std::span<const std::uint32_t> places, std::size_t stride, std::array<std::uint8_t, kLanes>& sum) {
  Bytes a{}, b{}, c{}, d{};
  for (const auto place : places) {
    std::array<Bytes, 4> row;
    std::memcpy(row.data(), cells + place * stride, kLanes);
    a += row[0], b += row[1], c += row[2], d += row[3];
  }
  const std::array<Bytes, 4> all = {a, b, c, d};
  std::memcpy(sum.data(), all.data(), kLanes);
}

void addRows(const std::uint32_t* cells, std::span<const std::uint32_t> places, std::size_t stride, std::array<std::uint32_t, kLanes>& sum) {
  sum.fill(0);
  for (const auto place : places) {
    const auto* row = cells + place * stride;
    for (std::size_t lane = 0; lane < kLanes; ++lane) sum[lane] += row[lane];
  }
}

/// Cell: what holds a count. Sum: what holds a window's count.
template <class Cell, class Sum>
class Searching {
 public:
  Searching(const MaximaRequest& request, const Thresholds& thresholds, std::size_t first, std::size_t count)
      : request_(request), thresholds_(thresholds), first_(first), count_(count), groups_((count + kLanes - 1) / kLanes),
        lane_of_(count), best_(groups_ * kLanes, 0), cells_(request.weights.size() * groups_ * kLanes, 0) {
    std::iota(lane_of_.begin(), lane_of_.end(), std::size_t{0});
  }

  /// False if a count is too large for Cell.
  Result<bool> fill(Progress& progress) {
    std::atomic<bool> fits{true};
    std::atomic<std::uint32_t> most{1};
    LEEWARD_TRY(progress.parallelFor(count_, 8, [&](std::size_t begin, std::size_t end) {
      ScanDraws::Room room;
      std::vector<std::uint32_t> counts;
      for (std::size_t i = begin; i < end && fits; ++i) {
        Random random(request_.seed, first_ + i + 1);
        request_.draws.draw(random, room, counts);
        const auto largest = *std::max_element(counts.begin(), counts.end());
        if (largest > std::numeric_limits<Cell>::max()) fits = false;
        for (auto held = most.load(); held < largest && !most.compare_exchange_weak(held, largest);) {
        }
        Cell* column = cells_.data() + groupStart(i / kLanes) + i % kLanes;
        for (std::size_t cell = 0; cell < counts.size(); ++cell) column[cell * kLanes] = static_cast<Cell>(counts[cell]);
      }
    }));
    most_places_ = std::numeric_limits<Cell>::max() / most.load();
    return fits.load();
  }

  Result<std::vector<double>> run(Progress& progress) {
    const std::size_t n = request_.windows.places();
    std::vector<std::size_t> all(n), some;
    std::iota(all.begin(), all.end(), std::size_t{0});
    for (std::size_t i = 0; i < std::min<std::size_t>(n, 32); ++i) some.push_back(i * n / std::min<std::size_t>(n, 32));
    Progress quiet = progress.quiet();
    const std::vector<bool> every(groups_, true);
    LEEWARD_TRY(search(some, kFloor, every, false, quiet));
    sortLanes();
    LEEWARD_TRY(search(all, kFloor, every, first_ == 0 && request_.also, progress));
    std::vector<bool> open(groups_, false);
    for (std::size_t i = 0; i < count_; ++i) {
      if (best_[lane_of_[i]] == 0) open[lane_of_[i] / kLanes] = true;
    }
    if (std::ranges::find(open, true) != open.end()) LEEWARD_TRY(search(all, 0, open, false, quiet));
    std::vector<double> maxima(count_);
    for (std::size_t i = 0; i < count_; ++i) maxima[i] = best_[lane_of_[i]];
    return maxima;
  }

 private:
  std::size_t groupStart(std::size_t group) const { return group * request_.weights.size() * kLanes; }

  /// Replicates with like maxima come to lie together, so that a group's least is close to each.
  void sortLanes() {
    std::vector<std::size_t> order(groups_ * kLanes);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return std::pair(a < count_, best_[a]) > std::pair(b < count_, best_[b]); });
    std::vector<Cell> row(order.size());
    std::vector<double> best(order.size());
    for (std::size_t cell = 0; cell < request_.weights.size(); ++cell) {
      const auto at = [&](std::size_t lane) -> Cell& { return cells_[groupStart(lane / kLanes) + cell * kLanes + lane % kLanes]; };
      for (std::size_t lane = 0; lane < order.size(); ++lane) row[lane] = at(order[lane]);
      for (std::size_t lane = 0; lane < order.size(); ++lane) at(lane) = row[lane];
    }
    for (std::size_t lane = 0; lane < order.size(); ++lane) {
      best[lane] = best_[order[lane]];
      if (order[lane] < count_) lane_of_[order[lane]] = lane;
    }
    best_ = std::move(best);
    std::fill(best_.begin() + static_cast<std::ptrdiff_t>(count_), best_.end(), std::numeric_limits<double>::infinity());  // lanes without a replicate
  }

  Result<void> search(const std::vector<std::size_t>& centres, double floor, const std::vector<bool>& groups, bool calls_also, Progress& progress) {
    std::mutex mutex;
    return progress.parallelFor(centres.size(), kCentresPerTask, [&](std::size_t begin, std::size_t end) {
      std::vector<double> best;
      {
        const std::scoped_lock lock(mutex);
        best = best_;
      }
      ScanWindows::Room room;
      std::vector<Prepared> prepared(end - begin);
      for (std::size_t f = 0; f < request_.forms.size(); ++f) {
        const auto& form = request_.forms[f];
        for (std::size_t i = begin; i < end; ++i) {
          prepare(centres[i], form, room, prepared[i - begin]);
          if (calls_also) request_.also(centres[i], f, prepared[i - begin].order);
        }
        for (std::size_t group = 0; group < groups_; ++group) {
          if (!groups[group]) continue;
          for (const auto& one : prepared) {
            if (looksForLow()) searchGroupForLow(one, form.penalty, group, floor, best);
            else searchGroup(one, form.penalty, group, floor, best);
          }
        }
      }
      const std::scoped_lock lock(mutex);
      for (std::size_t lane = 0; lane < best.size(); ++lane) best_[lane] = std::max(best_[lane], best[lane]);
    });
  }

  double weightOf(const Prepared& one, std::size_t place, const ScanSpan& span) const {
    const double* bounds = one.held.data() + place * (request_.periods + 1);
    return bounds[span.last + 1] - bounds[span.first];
  }

  void prepare(std::size_t centre, const ScanForm& form, ScanWindows::Room& room, Prepared& one) const {
    const auto periods = request_.periods;
    request_.windows.order(centre, form, room, one.order);
    const auto& places = one.order.place;
    one.held.resize(places.size() * (periods + 1));
    std::vector<double> so_far(periods, 0);
    for (std::size_t k = 0; k < places.size(); ++k) {
      double* bounds = one.held.data() + k * (periods + 1);
      bounds[0] = 0;
      for (std::size_t t = 0; t < periods; ++t) {
        so_far[t] += request_.weights[places[k] * periods + t];
        bounds[t + 1] = bounds[t] + so_far[t];
      }
    }
    one.blocks.clear(), one.rows.clear();
    // How much of all periods the longest span covers, as far as weights are even in time.
    std::uint32_t longest = 1;
    for (const auto& span : request_.spans) longest = std::max(longest, span.last - span.first + 1);
    const double share = static_cast<double>(longest) / static_cast<double>(periods);
    const auto expectedTo = [&](std::size_t k) { return share * request_.likelihood.expected(one.held[k * (periods + 1) + periods]); };
    for (std::size_t begin = 0; begin < places.size();) {
      const double at_first = expectedTo(begin), limit = at_first + kBlockSpread * std::sqrt(at_first);
      auto end = begin + 1;
      while (end < places.size() && end - begin < most_places_ && expectedTo(end) <= limit) ++end;
      one.blocks.push_back({static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(end)});
      for (const auto& span : request_.spans) one.rows.push_back(thresholds_.row(weightOf(one, looksForLow() ? end - 1 : begin, span)));
      begin = end;
    }
  }

  void searchGroup(const Prepared& one, double penalty, std::size_t group, double floor, std::vector<double>& best) const {
    const auto periods = request_.periods;
    const Cell* cells = cells_.data() + groupStart(group);
    double* mine = best.data() + group * kLanes;
    std::vector<std::array<Sum, kLanes>> held(periods);
    for (auto& row : held) row.fill(0);
    auto level = thresholds_.level(std::max(floor, *std::min_element(mine, mine + kLanes)) / penalty);
    std::array<Cell, kLanes> added;
    std::array<Sum, kLanes> sum;
    const std::span<const std::uint32_t> places = one.order.place;
    const std::uint32_t* row = one.rows.data();
    for (const auto& block : one.blocks) {
      for (std::size_t t = 0; t < periods; ++t) {
        addRows(cells + t * kLanes, places.subspan(block.begin, block.end - block.begin), periods * kLanes, added);
        for (std::size_t lane = 0; lane < kLanes; ++lane) held[t][lane] = static_cast<Sum>(held[t][lane] + static_cast<Sum>(added[lane]));
      }
      bool has_risen = false;
      for (std::size_t s = 0; s < request_.spans.size(); ++s) {
        const auto& span = request_.spans[s];
        if (span.first == span.last) sum = held[span.first];
        else addPeriod(sum, held[span.last == request_.spans[s - 1].last ? span.first : span.last]);
        const auto needed = thresholds_.at(row[s], level);
        if (needed > std::numeric_limits<Sum>::max() || !reaches(sum, static_cast<Sum>(needed))) continue;
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
          if (sum[lane] >= static_cast<Sum>(needed)) has_risen |= lookInto(one, block, span, penalty, floor, cells + lane, sum[lane], mine[lane]);
        }
      }
      row += request_.spans.size();
      if (has_risen) level = thresholds_.level(std::max(floor, *std::min_element(mine, mine + kLanes)) / penalty);
    }
  }

  /// The same for low rates: a block's first window holds at least what was there before it, and its last one expects most.
  void searchGroupForLow(const Prepared& one, double penalty, std::size_t group, double floor, std::vector<double>& best) const {
    const auto periods = request_.periods;
    const Cell* cells = cells_.data() + groupStart(group);
    double* mine = best.data() + group * kLanes;
    std::vector<std::array<Sum, kLanes>> held(periods);
    for (auto& row : held) row.fill(0);
    const auto levelNow = [&] { return thresholds_.level(std::max(floor, *std::min_element(mine, mine + kLanes)) / penalty); };
    auto level = levelNow();
    std::array<Cell, kLanes> added;
    std::array<Sum, kLanes> sum;
    std::vector<std::pair<std::size_t, std::size_t>> open;  // spans and lanes
    const std::span<const std::uint32_t> places = one.order.place;
    const std::uint32_t* row = one.rows.data();
    for (const auto& block : one.blocks) {
      open.clear();
      for (std::size_t s = 0; s < request_.spans.size(); ++s) {
        const auto& span = request_.spans[s];
        if (span.first == span.last) sum = held[span.first];
        else addPeriod(sum, held[span.last == request_.spans[s - 1].last ? span.first : span.last]);
        const auto most = thresholds_.at(row[s], level);
        if (most < 0 || *std::min_element(sum.begin(), sum.end()) > most) continue;
        for (std::size_t lane = 0; lane < kLanes; ++lane) {
          if (sum[lane] <= most && !std::isinf(mine[lane])) open.emplace_back(s, lane);
        }
      }
      for (std::size_t t = 0; t < periods; ++t) {
        addRows(cells + t * kLanes, places.subspan(block.begin, block.end - block.begin), periods * kLanes, added);
        for (std::size_t lane = 0; lane < kLanes; ++lane) held[t][lane] = static_cast<Sum>(held[t][lane] + static_cast<Sum>(added[lane]));
      }
      bool has_risen = false;
      for (const auto& [s, lane] : open) {
        const auto& span = request_.spans[s];
        Sum count = 0;
        for (auto t = span.first; t <= span.last; ++t) count = static_cast<Sum>(count + held[t][lane]);
        has_risen |= lookInto(one, block, span, penalty, floor, cells + lane, count, mine[lane]);
      }
      row += request_.spans.size();
      if (has_risen) level = levelNow();
    }
  }

  bool looksForLow() const { return request_.likelihood.rates == ScanRates::Low; }

  static void addPeriod(std::array<Sum, kLanes>& sum, const std::array<Sum, kLanes>& more) {
    for (std::size_t lane = 0; lane < kLanes; ++lane) sum[lane] = static_cast<Sum>(sum[lane] + more[lane]);
  }

  static bool reaches(const std::array<Sum, kLanes>& sum, Sum needed) {
    Sum any = 0;
    for (std::size_t lane = 0; lane < kLanes; ++lane) any = static_cast<Sum>(any | (sum[lane] >= needed ? 1 : 0));
    return any != 0;
  }

  /// Every window of a block for one replicate, from the largest down.
  bool lookInto(const Prepared& one, const Prepared::Block& block, const ScanSpan& span, double penalty, double floor, const Cell* lane, Sum count, double& best) const {
    bool has_risen = false;
    auto c = static_cast<std::int64_t>(count);
    for (auto k = block.end; k-- > block.begin;) {
      if (one.order.ends[k] != 0) {
        const double weight = weightOf(one, k, span);
        const auto needed = thresholds_.at(thresholds_.row(weight), thresholds_.level(std::max(floor, best) / penalty));
        if (looksForLow() ? c <= needed : c >= needed) {
          const double statistic = penalty * request_.likelihood(static_cast<double>(c), weight);
          if (statistic > best && statistic > floor) best = statistic, has_risen = true;
        }
      }
      const Cell* cell = lane + one.order.place[k] * request_.periods * kLanes;
      for (auto t = span.first; t <= span.last; ++t) c -= cell[t * kLanes];
    }
    return has_risen;
  }

  const MaximaRequest& request_;
  const Thresholds& thresholds_;
  std::size_t first_, count_, groups_;
  std::size_t most_places_ = 1;
  std::vector<std::size_t> lane_of_;  ///< per replicate of the portion
  std::vector<double> best_;          ///< per lane
  std::vector<Cell> cells_;           ///< per group, cell and lane
};

template <class Cell, class Sum>
Result<bool> searchPortion(const MaximaRequest& request, const Thresholds& thresholds, std::size_t first, std::size_t count, std::vector<double>& maxima, Progress& progress) {
  Searching<Cell, Sum> searching(request, thresholds, first, count);
  Progress quiet = progress.quiet();
  LEEWARD_ASSIGN(fits, searching.fill(quiet));
  if (!fits) return false;
  LEEWARD_ASSIGN(found, searching.run(progress));
  maxima.insert(maxima.end(), found.begin(), found.end());
  return true;
}

}  // namespace

Result<std::vector<double>> replicateMaxima(const MaximaRequest& request, Progress& progress) {
  const Thresholds thresholds(request.likelihood);
  const bool is_small = request.likelihood.events <= std::numeric_limits<std::int16_t>::max();
  bool are_bytes = true;
  std::vector<double> maxima;
  while (maxima.size() < request.replicates) {
    const auto first = maxima.size();
    const auto bytes = request.weights.size() * (are_bytes ? 1 : 4);
    const auto most = std::max<std::size_t>(kPortionBytes / bytes / kLanes, 1) * kLanes;
    const auto count = std::min(most, request.replicates - first);
    const auto share = [&](std::size_t i) { return static_cast<double>(i) / static_cast<double>(request.replicates); };
    auto part = progress.part(share(first), share(first + count));
    const auto searched = !are_bytes ? searchPortion<std::uint32_t, std::int32_t>(request, thresholds, first, count, maxima, part)
                          : is_small ? searchPortion<std::uint8_t, std::int16_t>(request, thresholds, first, count, maxima, part)
                                     : searchPortion<std::uint8_t, std::int32_t>(request, thresholds, first, count, maxima, part);
    if (!searched) return searched.problem();
    if (!*searched) are_bytes = false;  // once more, with room for larger counts
  }
  return maxima;
}

}  // namespace leeward::analysis
