#include "analysis/weather/feels_like.h"

#include <cmath>

#include "shared/base/missing.h"

namespace leeward::analysis {

double heatIndexRegressionF(double air_f, double humidity_percent) {
  if (!(humidity_percent >= 0 && humidity_percent <= 100)) return kNan;
  const double t = air_f, r = humidity_percent;
  return -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r - 6.83783e-3 * t * t - 5.481717e-2 * r * r + 1.22874e-3 * t * t * r +
         8.5282e-4 * t * r * r - 1.99e-6 * t * t * r * r;
}

double heatIndexF(double air_f, double humidity_percent) {
  const double t = air_f, r = humidity_percent;
  if (!(r >= 0 && r <= 100)) return kNan;
  const double simple = (t + 0.5 * (t + 61 + (t - 68) * 1.2 + r * 0.094)) / 2;
  if (!(simple >= 80)) return simple;
  double index = heatIndexRegressionF(t, r);
  if (r < 13 && t >= 80 && t <= 112) index -= (13 - r) / 4 * std::sqrt((17 - std::abs(t - 95)) / 17);
  if (r > 85 && t >= 80 && t <= 87) index += (r - 85) / 10 * ((87 - t) / 5);
  return index;
}

double windChillF(double air_f, double wind_mph) {
  if (!(air_f <= 50 && wind_mph > 3)) return kNan;
  const double v = std::pow(wind_mph, 0.16);
  return 35.74 + 0.6215 * air_f - 35.75 * v + 0.4275 * air_f * v;
}

}  // namespace leeward::analysis
