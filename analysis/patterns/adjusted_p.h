#pragma once
/// p-values of many tests at once, adjusted so that a bound on them bounds the share of false findings among those made.
#include <span>
#include <vector>

namespace leeward::analysis {

enum class AdjustBy {
  BenjaminiHochberg,   ///< 1995, JRSS B 57, 289-300: independent tests or positively dependent ones
  BenjaminiYekutieli,  ///< 2001, Annals of Statistics 29, 1165-1188: any dependence
};
/// nan stays nan and does not count as a test.
std::vector<double> adjustedP(std::span<const double> p, AdjustBy by = AdjustBy::BenjaminiHochberg);

}  // namespace leeward::analysis
