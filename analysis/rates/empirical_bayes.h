#pragma once
/// Rates of small areas, drawn towards what all areas (or the neighbours) show, the more the less is known of the area.
///
/// Everywhere: events >= 0 (need not be whole), exposure >= 0 in any unit; the rate is events / exposure. A row with nan in
/// either, or exposure 0, tells nothing: it stays out of every sum and gets the prior alone (mean and, where given, interval);
/// a local rate is nan where no neighbour tells anything either.
/// Errors everywhere: InvalidArgument for unequal lengths or negative values; BadData if no row has exposure.
#include <optional>
#include <span>
#include <vector>

#include "analysis/rates/neighbours.h"
#include "shared/base/result.h"

namespace leeward::analysis {

struct MarshallRates {
  std::vector<double> raw;  ///< events / exposure; nan where nothing is known
  std::vector<double> smoothed;
  std::vector<double> mean;      ///< of the prior, per row (global: the same everywhere)
  std::vector<double> variance;  ///< of the prior, >= 0: cut off at 0, where smoothed = mean
};

/// Global: prior mean = sum of events / sum of exposure, prior variance by moments.
/// Source:  Marshall 1991, Applied Statistics 40, 283-294, section 2. Checked: tests/reference/statistics/rates_test.cpp,
///          1e-10.
Result<MarshallRates> marshallGlobal(std::span<const double> events, std::span<const double> exposure);

/// Local: mean and variance from the row and its neighbours, squared deviations about the row's own local mean (the textbook's
/// form; a common library takes each neighbour's own local mean and differs by tens of per cent). Source: Marshall 1991,
/// section 3.
Result<MarshallRates> marshallLocal(std::span<const double> events, std::span<const double> exposure,
                                    const Neighbours& neighbours);

/// Rates as Gamma(shape, rate) across areas: mean shape / rate, variance shape / rate^2.
struct GammaPrior {
  double shape = 0;
  double rate = 0;  ///< in units of exposure
  /// No variation beyond chance was found, so every area has one rate: shape is all events, rate all exposure.
  bool pooled = false;
  double mean() const { return shape / rate; }
};

enum class GammaFit {
  Moments,           ///< Marshall's moments: the posterior mean equals marshallGlobal's rate
  MaximumLikelihood  ///< of the negative-binomial margin: Clayton & Kaldor 1987, Biometrics 43, 671-681, section 3
};
/// `pooled` where the variance between areas is estimated as 0.
Result<GammaPrior> fitGammaPrior(std::span<const double> events, std::span<const double> exposure, GammaFit fit);

struct GammaPoissonRates {
  GammaPrior prior;
  std::vector<double> raw;        ///< events / exposure; nan where nothing is known
  std::vector<double> smoothed;   ///< posterior mean (shape + events) / (rate + exposure)
  std::vector<double> low, high;  ///< equal-tailed posterior interval
  double level = 0.90;
};

/// Posterior mean and equal-tailed interval of every row's rate. With a pooled prior every row has the pooled rate and the
/// Garwood interval of the pooled count. The prior is taken as known, so intervals are somewhat short when there are few areas.
/// InvalidArgument also for a level outside (0, 1), or a prior that is none.
Result<GammaPoissonRates> gammaPoisson(std::span<const double> events, std::span<const double> exposure, GammaFit fit,
                                       double level);
/// The same under a given prior (e.g. fitted on other rows).
Result<GammaPoissonRates> gammaPoisson(std::span<const double> events, std::span<const double> exposure, const GammaPrior& prior,
                                       double level);

}  // namespace leeward::analysis
