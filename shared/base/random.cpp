#include "shared/base/random.h"

#include <cmath>

namespace leeward {

Random::Random(std::uint64_t seed, std::uint64_t stream) : increment_((stream << 1U) | 1U) {
  (*this)();
  state_ += seed;
  (*this)();
}

Random::result_type Random::operator()() {
  const std::uint64_t old = state_;
  state_ = old * 6364136223846793005ULL + increment_;
  const auto shifted = static_cast<std::uint32_t>(((old >> 18U) ^ old) >> 27U);
  const auto turn = static_cast<std::uint32_t>(old >> 59U);
  return (shifted >> turn) | (shifted << ((32U - turn) & 31U));
}

double Random::uniform() {
  const std::uint64_t high = (*this)() >> 5U;
  const std::uint64_t low = (*this)() >> 6U;
  return static_cast<double>((high << 26U) + low) * 0x1p-53;
}

std::uint32_t Random::below(std::uint32_t count) {
  const std::uint32_t threshold = (0U - count) % count;
  for (;;) {
    const std::uint32_t draw = (*this)();
    if (draw >= threshold) return draw % count;
  }
}

double Random::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  for (;;) {
    const double u = 2 * uniform() - 1;
    const double v = 2 * uniform() - 1;
    const double s = u * u + v * v;
    if (s >= 1 || s == 0) continue;
    const double scale = std::sqrt(-2 * std::log(s) / s);
    spare_ = v * scale;
    has_spare_ = true;
    return u * scale;
  }
}

double Random::gamma(double shape, double scale) {
  if (shape < 1) return gamma(shape + 1, scale) * std::pow(1 - uniform(), 1 / shape);
  const double d = shape - 1.0 / 3;
  const double c = 1 / std::sqrt(9 * d);
  for (;;) {
    const double x = normal();
    const double t = 1 + c * x;
    if (t <= 0) continue;
    const double v = t * t * t;
    if (std::log(1 - uniform()) < 0.5 * x * x + d - d * v + d * std::log(v)) return d * v * scale;
  }
}

std::uint32_t Random::poisson(double mean) {
  if (!(mean > 0)) return 0;
  std::uint32_t count = 0;
  while (mean >= 30) {  // the m-th arrival of a unit-rate process is gamma(m); count those before `mean`
    const auto m = static_cast<std::uint32_t>(mean * 7 / 8);
    const double arrival = gamma(m, 1);
    if (arrival > mean) return count + binomial(m - 1, mean / arrival);
    count += m;
    mean -= arrival;
  }
  const double limit = std::exp(-mean);
  double product = uniform();
  while (product > limit) {
    ++count;
    product *= uniform();
  }
  return count;
}

std::uint32_t Random::binomial(std::uint32_t n, double p) {
  std::uint32_t successes = 0;
  for (std::uint32_t i = 0; i < n; ++i) successes += uniform() < p ? 1U : 0U;
  return successes;
}

}  // namespace leeward
