#pragma once
/// Margins of error of derived figures, by the formulas of the American Community Survey. All margins of one call are at
/// one confidence level (the ACS prints 90 %); the estimates are taken as independent, which neighbouring areas are not quite.
/// Source:  U.S. Census Bureau, Understanding and Using American Community Survey Data: What All Data Users Need to Know,
///          chapter 8; zero estimates: Bureau's statistical testing guidance.
#include <span>

namespace leeward::analysis {

inline constexpr double kAcsZ90 = 1.645;  ///< ACS General Handbook, chapter 7: standard error = margin / 1.645

/// Root of the sum of squares; of the estimates that are zero only the largest margin is counted. nan margins are missing: the
/// result is nan.
double marginOfSum(std::span<const double> estimates, std::span<const double> margins);
/// Of part / whole, whole != 0; falls back to the ratio formula when the radicand is negative.
double marginOfProportion(double part, double part_margin, double whole, double whole_margin);
double marginOfRatio(double top, double top_margin, double bottom, double bottom_margin);
double marginOfProduct(double a, double a_margin, double b, double b_margin);
/// Coefficient of variation (a fraction, not per cent) from a 90 % margin; infinite for an estimate of 0.
double coefficientOfVariation(double estimate, double margin90);

}  // namespace leeward::analysis
