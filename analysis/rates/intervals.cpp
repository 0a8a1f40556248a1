#include "analysis/rates/intervals.h"
#include "shared/base/missing.h"

#include <cmath>
#include <limits>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/special_functions/gamma.hpp>

namespace leeward::analysis {
namespace {


bool isLevel(double level) { return level > 0 && level < 1; }

}  // namespace

double normalReach(double level) { return isLevel(level) ? -boost::math::quantile(boost::math::normal(), (1 - level) / 2) : kNan; }

Interval garwood(double count, double level) {
  if (!isLevel(level) || !(count >= 0) || std::isinf(count)) return {kNan, kNan};
  const double tail = (1 - level) / 2;
  return {count > 0 ? boost::math::gamma_p_inv(count, tail) : 0, boost::math::gamma_q_inv(count + 1, tail)};
}

Interval byar(double count, double level) {
  if (!isLevel(level) || !(count >= 0) || std::isinf(count)) return {kNan, kNan};
  const double z = normalReach(level);
  const auto limit = [](double x, double deviation) {
    const double root = 1 - 1 / (9 * x) + deviation / (3 * std::sqrt(x));
    return x * root * root * root;
  };
  // Below about two events of z the cube root turns negative: a count has no limit under zero.
  return {count > 0 ? std::max(0.0, limit(count, -z)) : 0, limit(count + 1, z)};
}

Interval wilson(double part, double whole, double level) {
  if (!isLevel(level) || !(whole > 0) || !(part >= 0 && part <= whole) || std::isinf(whole)) return {kNan, kNan};
  const double z2 = normalReach(level) * normalReach(level);
  const double share = part / whole;
  const double center = (part + z2 / 2) / (whole + z2);
  const double half = std::sqrt(z2 * (share * (1 - share) * whole + z2 / 4)) / (whole + z2);
  return {part > 0 ? center - half : 0, part < whole ? center + half : 1};
}

}  // namespace leeward::analysis
