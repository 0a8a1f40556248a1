#include "analysis/need/rank_draws.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>
#include <utility>

#include "shared/base/random.h"

namespace leeward::analysis {

namespace {

constexpr std::size_t kBlocksAtOnce = 64;

struct Draw {
  int unmet = 0;     // animals, all doors
  double reach = 0;  // unmet in need within reach, expected given the drawn rates and shares
};

class Drawer {
 public:
  explicit Drawer(const TownFit& town) : mean_dogs_(town.mean_dogs), dogs_up_to_(town.dogs_per_door) {
    for (std::size_t i = 1; i < dogs_up_to_.size(); ++i) dogs_up_to_[i] += dogs_up_to_[i - 1];
    dogs_up_to_.back() = 1;
  }

  Draw draw(const DrawnBlock& block, double town_factor, Random& random) const {
    const double rate = random.gamma(block.shape, block.scale) * (1 + block.prior_share * (town_factor - 1));
    Draw drawn;
    double in_reach = rate * block.open_in_reach * mean_dogs_;
    for (std::uint32_t doors = random.poisson(rate * block.open); doors > 0; --doors) drawn.unmet += dogsAtADoor(random);
    for (std::size_t i = 0; i < block.leads.size(); ++i) {
      if (random.uniform() >= block.leads[i]) continue;
      ++drawn.unmet;
      if (i < block.leads_in_reach) in_reach += 1;
    }
    const double a = random.gamma(block.need_a, 1), b = random.gamma(block.need_b, 1);
    const double share = a + b > 0 ? a / (a + b) : block.need_a / (block.need_a + block.need_b);
    drawn.reach = in_reach * share;
    return drawn;
  }

 private:
  int dogsAtADoor(Random& random) const {
    if (dogs_up_to_.size() == 1) return 1;
    const double u = random.uniform();
    int dogs = 1;
    for (std::size_t i = 0; u >= dogs_up_to_[i]; ++i) ++dogs;
    return dogs;
  }
  double mean_dogs_;
  std::vector<double> dogs_up_to_;
};

// Draws as rows, blocks as columns; rows are contiguous.
template <class T>
class Matrix {
 public:
  Matrix(std::size_t rows, std::size_t columns) : columns_(columns), values_(rows * columns) {}
  T* row(std::size_t r) { return values_.data() + r * columns_; }
  T& at(std::size_t r, std::size_t c) { return values_[r * columns_ + c]; }

 private:
  std::size_t columns_;
  std::vector<T> values_;
};

// Membership of the k with most unmet in one draw: all above `limit`, and those at it with an equal share of what is left.
struct TopLimit {
  std::uint16_t limit = 0;
  double share_at_limit = 0;
};

TopLimit topLimit(const std::uint16_t* unmet, std::size_t blocks, std::size_t k, std::vector<std::uint16_t>& scratch) {
  scratch.assign(unmet, unmet + blocks);
  std::nth_element(scratch.begin(), scratch.begin() + static_cast<std::ptrdiff_t>(k - 1), scratch.end(), std::greater<>());
  TopLimit top{scratch[k - 1], 0};
  std::size_t above = 0, at = 0;
  for (std::size_t b = 0; b < blocks; ++b) {
    above += unmet[b] > top.limit ? 1 : 0;
    at += unmet[b] == top.limit ? 1 : 0;
  }
  top.share_at_limit = static_cast<double>(k - above) / static_cast<double>(at);
  return top;
}

// Worths become ranks in place, 1 = largest, ties by column. Worths are not negative, so their bits order like them: three stable passes of
// eleven bits (Knuth, TAOCP 3, 5.2.5) take a sixth of the time of a sort by comparison.
class Ranker {
 public:
  void operator()(float* worths, std::size_t blocks) {
    from_.resize(blocks), to_.resize(blocks);
    for (std::size_t b = 0; b < blocks; ++b) from_[b] = (static_cast<std::uint64_t>(~std::bit_cast<std::uint32_t>(worths[b])) << 32U) | b;
    for (int pass = 0; pass < kPasses; ++pass) sortBy(32 + pass * kBits);
    for (std::size_t i = 0; i < blocks; ++i) worths[from_[i] & 0xFFFFFFFFU] = static_cast<float>(i + 1);
  }

 private:
  static constexpr int kBits = 11, kPasses = 3;
  void sortBy(int shift) {
    std::array<std::uint32_t, 1U << kBits> starts{};
    const auto digit = [shift](std::uint64_t key) { return (key >> shift) & ((1U << kBits) - 1); };
    for (const auto key : from_) ++starts[digit(key)];
    std::uint32_t start = 0;
    for (auto& count : starts) start += std::exchange(count, start);
    for (const auto key : from_) to_[starts[digit(key)]++] = key;
    from_.swap(to_);
  }
  std::vector<std::uint64_t> from_, to_;
};

// The limits of an equal-tailed interval of drawn values, in place.
template <class T>
std::pair<int, int> limitsOf(std::vector<T>& values, double level) {
  const double tail = (1 - level) / 2 * static_cast<double>(values.size());
  const auto low = static_cast<std::ptrdiff_t>(std::floor(tail + 1e-9));
  const auto high = static_cast<std::ptrdiff_t>(values.size()) - 1 - low;
  std::nth_element(values.begin(), values.begin() + low, values.end());
  const int low_value = static_cast<int>(values[low]);
  std::nth_element(values.begin(), values.begin() + high, values.end());
  return {low_value, static_cast<int>(values[high])};
}

}  // namespace

Result<DrawnTown> drawTown(const std::vector<DrawnBlock>& blocks, const TownFit& town, const RankOptions& options, Progress& progress) {
  const std::size_t count = blocks.size();
  const auto draws = static_cast<std::size_t>(options.draws);
  DrawnTown drawn;
  drawn.draws = draws;
  drawn.chance_top_k.assign(count, 0);
  if (count == 0) return drawn;
  const std::size_t k = std::min(static_cast<std::size_t>(options.k), count);
  std::vector<double> town_factor(draws);
  Random of_town(options.seed, 0);
  for (double& factor : town_factor) factor = of_town.gamma(town.mean_shape, 1 / town.mean_shape);

  const Drawer drawer(town);
  Matrix<std::uint16_t> unmet(draws, count);
  drawn.reach.resize(draws * count);
  Progress drawing = progress.part(0, 0.8);
  LEEWARD_TRY(drawing.parallelFor(count, kBlocksAtOnce, [&](std::size_t begin, std::size_t end) {
    std::vector<Random> random;
    for (std::size_t b = begin; b < end; ++b) random.emplace_back(options.seed, blocks[b].stream + 1);
    for (std::size_t d = 0; d < draws; ++d) {
      for (std::size_t b = begin; b < end; ++b) {
        const Draw one = drawer.draw(blocks[b], town_factor[d], random[b - begin]);
        unmet.at(d, b) = static_cast<std::uint16_t>(std::min<int>(one.unmet, std::numeric_limits<std::uint16_t>::max()));
        drawn.reach[d * count + b] = static_cast<float>(one.reach);
      }
    }
  }));

  std::vector<TopLimit> top(draws);
  std::vector<std::int64_t> totals(draws);
  Progress limiting = progress.part(0.8, 0.9);
  LEEWARD_TRY(limiting.parallelFor(draws, 8, [&](std::size_t begin, std::size_t end) {
    std::vector<std::uint16_t> counts;
    for (std::size_t d = begin; d < end; ++d) {
      top[d] = topLimit(unmet.row(d), count, k, counts);
      for (std::size_t b = 0; b < count; ++b) totals[d] += unmet.at(d, b);
    }
  }));
  Progress counting = progress.part(0.9, 1);
  LEEWARD_TRY(counting.parallelFor(count, kBlocksAtOnce, [&](std::size_t begin, std::size_t end) {
    for (std::size_t d = 0; d < draws; ++d) {
      for (std::size_t b = begin; b < end; ++b) {
        if (unmet.at(d, b) > top[d].limit) drawn.chance_top_k[b] += 1;
        if (unmet.at(d, b) == top[d].limit) drawn.chance_top_k[b] += top[d].share_at_limit;
      }
    }
    for (std::size_t b = begin; b < end; ++b) drawn.chance_top_k[b] /= static_cast<double>(draws);
  }));
  std::tie(drawn.total_low, drawn.total_high) = limitsOf(totals, options.level);
  return drawn;
}

Result<DrawnRanks> drawnRanks(const DrawnTown& drawn, std::span<const double> hours, const RankOptions& options, Progress& progress) {
  const std::size_t count = hours.size(), draws = drawn.draws;
  DrawnRanks ranks{std::vector<int>(count, 0), std::vector<int>(count, 0), std::vector<double>(count, 0)};
  if (count == 0) return ranks;
  const auto k = static_cast<float>(std::min(static_cast<std::size_t>(options.k), count));
  std::vector<float> per_hour(count);
  for (std::size_t b = 0; b < count; ++b) per_hour[b] = hours[b] > 0 ? static_cast<float>(1 / hours[b]) : 0;
  Matrix<float> rank(draws, count);
  Progress ranking = progress.part(0, 0.6);
  LEEWARD_TRY(ranking.parallelFor(draws, 8, [&](std::size_t begin, std::size_t end) {
    Ranker toRanks;
    for (std::size_t d = begin; d < end; ++d) {
      float* row = rank.row(d);
      for (std::size_t b = 0; b < count; ++b) row[b] = drawn.reach[d * count + b] * per_hour[b];
      toRanks(row, count);
    }
  }));
  Progress gathering = progress.part(0.6, 1);
  LEEWARD_TRY(gathering.parallelFor(count, kBlocksAtOnce, [&](std::size_t begin, std::size_t end) {
    std::vector<std::vector<float>> of_block(end - begin, std::vector<float>(draws));
    for (std::size_t d = 0; d < draws; ++d) {
      for (std::size_t b = begin; b < end; ++b) {
        of_block[b - begin][d] = rank.at(d, b);
        ranks.chance_k[b] += rank.at(d, b) <= k ? 1 : 0;
      }
    }
    for (std::size_t b = begin; b < end; ++b) {
      ranks.chance_k[b] /= static_cast<double>(draws);
      std::tie(ranks.low[b], ranks.high[b]) = limitsOf(of_block[b - begin], options.level);
    }
  }));
  return ranks;
}

}  // namespace leeward::analysis
