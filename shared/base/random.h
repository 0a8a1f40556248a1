#pragma once
/// Seeded draws that are the same on every machine: the standard library fixes its engines but not its
/// distributions, so those used here are written out. Streams: one Random per (seed, stream) pair, so that
/// batches on different threads draw the same numbers whatever the thread count.
#include <cstdint>

namespace leeward {

/// PCG32 (O'Neill 2014, "PCG: a family of simple fast space-efficient statistically good algorithms",
/// HMC-CS-2014-0905; minimal variant XSH-RR 64/32).
class Random {
 public:
  using result_type = std::uint32_t;
  explicit Random(std::uint64_t seed, std::uint64_t stream = 0);
  static constexpr result_type min() { return 0; }
  static constexpr result_type max() { return 0xFFFFFFFFU; }
  result_type operator()();

  double uniform();                              ///< in [0, 1), 53 bits
  std::uint32_t below(std::uint32_t count);      ///< in [0, count), without bias; count > 0
  double normal();                               ///< standard normal, Marsaglia's polar method
  double gamma(double shape, double scale);      ///< Marsaglia & Tsang 2000; shape, scale > 0
  std::uint32_t poisson(double mean);            ///< inversion below 30, else by gamma halving (Ahrens & Dieter 1974)
  std::uint32_t binomial(std::uint32_t n, double p);

 private:
  std::uint64_t state_ = 0;
  std::uint64_t increment_ = 1;
  double spare_ = 0;
  bool has_spare_ = false;
};

}  // namespace leeward
