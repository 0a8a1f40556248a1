#include "analysis/rates/compare.h"

#include <algorithm>
#include <cmath>

#include <boost/math/special_functions/beta.hpp>
#include <boost/math/special_functions/gamma.hpp>

#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

bool isLevelGiven(double level) { return level > 0 && level < 1; }

/// The count at which a cumulative distribution reaches p, interpolated as Spiegelhalter does. `below(k)` = P(count <= k).
template <class Below>
double interpolatedCount(const Below& below, double p, double mean, double most) {
  // From well under the mean upwards: counts far from it have no mass worth a step.
  double k = std::max(0.0, std::floor(mean - 12 * std::sqrt(mean) - 12));
  double before = k > 0 ? below(k - 1) : 0, here = below(k);
  while (here < p && k < most) ++k, before = here, here = below(k);
  return here > before ? k - (here - p) / (here - before) : k;
}

}  // namespace

Interval clopperPearson(double part, double whole, double level) {
  if (!isLevelGiven(level) || !(whole > 0) || !(part >= 0 && part <= whole) || std::isinf(whole)) return {kNan, kNan};
  const double tail = (1 - level) / 2;
  return {part > 0 ? boost::math::ibeta_inv(part, whole - part + 1, tail) : 0, part < whole ? boost::math::ibetac_inv(part + 1, whole - part, tail) : 1};
}

RateRatio rateRatio(double events_a, double exposure_a, double events_b, double exposure_b, double level) {
  if (!(exposure_a > 0) || !(exposure_b > 0) || !(events_a >= 0) || !(events_b >= 0) || events_a + events_b <= 0) return {kNan, {kNan, kNan}};
  const auto share = clopperPearson(events_a, events_a + events_b, level);
  const double scale = exposure_b / exposure_a;
  const auto odds = [&](double p) { return p < 1 ? p / (1 - p) * scale : std::numeric_limits<double>::infinity(); };
  return {events_b > 0 ? events_a / events_b * scale : kNan, {odds(share.low), events_b > 0 ? odds(share.high) : kNan}};
}

Interval differenceOfShares(double part_a, double whole_a, double part_b, double whole_b, double level) {
  const auto a = wilson(part_a, whole_a, level), b = wilson(part_b, whole_b, level);
  const double p = part_a / whole_a, q = part_b / whole_b;
  return {p - q - std::hypot(p - a.low, b.high - q), p - q + std::hypot(a.high - p, q - b.low)};
}

Standardised fayFeuer(std::span<const double> events, std::span<const double> exposure, std::span<const double> standard, double level) {
  Standardised none{kNan, {kNan, kNan}};
  if (!isLevelGiven(level) || events.empty() || events.size() != exposure.size() || events.size() != standard.size()) return none;
  double whole = 0;
  for (const double weight : standard) whole += weight;
  if (!(whole > 0)) return none;
  double rate = 0, variance = 0, largest = 0;
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (!(exposure[i] > 0) || !(events[i] >= 0) || !(standard[i] >= 0)) return none;
    const double weight = standard[i] / whole / exposure[i];
    rate += weight * events[i];
    variance += weight * weight * events[i];
    largest = std::max(largest, weight);
  }
  const double tail = (1 - level) / 2, upper_rate = rate + largest, upper_variance = variance + largest * largest;
  return {rate,
          {rate > 0 ? boost::math::gamma_p_inv(rate * rate / variance, tail) * variance / rate : 0,
           boost::math::gamma_q_inv(upper_rate * upper_rate / upper_variance, tail) * upper_variance / upper_rate}};
}

Interval funnelOfRate(double rate, double exposure, double level) {
  if (!isLevelGiven(level) || !(rate > 0) || !(exposure > 0)) return {kNan, kNan};
  const double mean = rate * exposure, tail = (1 - level) / 2;
  const auto below = [&](double k) { return boost::math::gamma_q(k + 1, mean); };
  const double most = mean + 40 * std::sqrt(mean) + 40;
  return {std::max(0.0, interpolatedCount(below, tail, mean, most) / exposure), interpolatedCount(below, 1 - tail, mean, most) / exposure};
}

Interval funnelOfShare(double share, double whole, double level) {
  if (!isLevelGiven(level) || !(share > 0 && share < 1) || !(whole > 0)) return {kNan, kNan};
  const double mean = share * whole, tail = (1 - level) / 2;
  const auto below = [&](double k) { return k >= whole ? 1.0 : boost::math::ibetac(k + 1, whole - k, share); };
  return {std::max(0.0, interpolatedCount(below, tail, mean, whole) / whole), std::min(1.0, interpolatedCount(below, 1 - tail, mean, whole) / whole)};
}

}  // namespace leeward::analysis
