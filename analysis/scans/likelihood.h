#pragma once
/// How much more likely the events are if a window has a higher rate than the rest.
#include <cmath>
#include <cstdint>

namespace leeward::analysis {

enum class ScanModel : std::uint8_t {
  Poisson,    ///< events beside an exposure, or beside expected events: Kulldorff 1997, section 3
  Bernoulli,  ///< each unit of exposure is an event or none: the same, section 2
};

/// Which windows are looked for.
enum class ScanRates : std::uint8_t { High, Low };

/// The log likelihood ratio of windows with high (or low) rates; 0 where the rate inside is not above (below) the rest's.
struct ScanLikelihood {
  ScanModel model = ScanModel::Poisson;
  double events = 0;    ///< of all areas
  double exposure = 0;  ///< of all areas, > 0; expected events where those are given
  ScanRates rates = ScanRates::High;

  double expected(double inside) const { return events * (inside / exposure); }

  double operator()(double c, double inside) const {
    const double e = expected(inside), rest = events - c;
    if (rates == ScanRates::High ? !(c > e) : !(c < e)) return 0;
    if (model == ScanModel::Poisson) return term(c, e) + term(rest, events - e);
    const double without = inside - c, rest_without = exposure - inside - rest;
    const double share = events / exposure;
    return term(c, inside * share) + term(rest, (exposure - inside) * share) + term(without, inside * (1 - share)) + term(rest_without, (exposure - inside) * (1 - share));
  }

 private:
  static double term(double observed, double expected) { return observed > 0 ? observed * std::log(observed / expected) : 0; }
};

}  // namespace leeward::analysis
