#include "analysis/scans/draws.h"

#include <algorithm>
#include <numeric>

namespace leeward::analysis {

ScanDraws::ScanDraws(ScanModel model, std::vector<double> weights, std::uint64_t events, std::optional<double> theta)
    : model_(model), weights_(std::move(weights)), events_(events), theta_(theta) {
  if (model == ScanModel::Poisson) {
    makeAlias(weights_, share_, alias_);
    return;
  }
  for (std::uint32_t cell = 0; cell < weights_.size(); ++cell) {
    cell_of_unit_.insert(cell_of_unit_.end(), static_cast<std::size_t>(weights_[cell]), cell);
  }
}

/// Vose 1991's way to build it.
void ScanDraws::makeAlias(const std::vector<double>& weights, std::vector<double>& share, std::vector<std::uint32_t>& alias) {
  const auto n = weights.size();
  const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
  share.assign(n, 1);
  alias.resize(n);
  std::iota(alias.begin(), alias.end(), 0U);
  std::vector<double> left(n);
  std::vector<std::uint32_t> small, large;
  for (std::uint32_t i = 0; i < n; ++i) {
    left[i] = weights[i] * static_cast<double>(n) / total;
    (left[i] < 1 ? small : large).push_back(i);
  }
  while (!small.empty() && !large.empty()) {
    const auto less = small.back(), more = large.back();
    small.pop_back();
    share[less] = left[less];
    alias[less] = more;
    left[more] -= 1 - left[less];
    if (left[more] < 1) large.pop_back(), small.push_back(more);
  }
  // Only rounding is left over; what weighs nothing must never be drawn.
  const auto heaviest = static_cast<std::uint32_t>(std::max_element(weights.begin(), weights.end()) - weights.begin());
  for (const auto i : small) {
    if (weights[i] == 0) share[i] = 0, alias[i] = heaviest;
  }
}

void ScanDraws::drawUnits(Random& random, Room& room, std::vector<std::uint32_t>& counts) const {
  const auto units = static_cast<std::uint32_t>(cell_of_unit_.size());
  const bool draws_rest = 2 * events_ > units;  // the fewer ones are drawn
  const std::uint64_t wanted = draws_rest ? units - events_ : events_;
  room.taken.resize(units / 64 + 1, 0);
  room.drawn.clear();
  if (draws_rest) std::transform(weights_.begin(), weights_.end(), counts.begin(), [](double w) { return static_cast<std::uint32_t>(w); });
  while (room.drawn.size() < wanted) {
    const auto unit = random.below(units);
    auto& word = room.taken[unit / 64];
    const auto bit = std::uint64_t{1} << (unit % 64);
    if ((word & bit) != 0) continue;
    word |= bit;
    room.drawn.push_back(unit);
    counts[cell_of_unit_[unit]] += draws_rest ? 0xFFFFFFFFU : 1U;  // one less, or one more
  }
  for (const auto unit : room.drawn) room.taken[unit / 64] = 0;
}

void ScanDraws::draw(Random& random, Room& room, std::vector<std::uint32_t>& counts) const {
  counts.assign(weights_.size(), 0);
  if (model_ == ScanModel::Bernoulli) return drawUnits(random, room, counts);
  const auto* share = &share_;
  const auto* alias = &alias_;
  if (theta_) {
    room.weights = weights_;
    for (auto& weight : room.weights) weight *= random.gamma(*theta_, 1 / *theta_);
    makeAlias(room.weights, room.share, room.alias);
    share = &room.share, alias = &room.alias;
  }
  const auto n = static_cast<double>(weights_.size());
  for (std::uint64_t i = 0; i < events_; ++i) {
    const double place = random.uniform() * n;
    const auto slot = std::min(static_cast<std::size_t>(place), weights_.size() - 1);
    ++counts[place - static_cast<double>(slot) < (*share)[slot] ? slot : (*alias)[slot]];
  }
}

}  // namespace leeward::analysis
