#pragma once
/// Intervals of counts and shares. Events over exposure are Poisson: divide the limits of the count by the exposure.
/// Shares of animals are binomial. Levels are two-sided, in (0, 1). nan for arguments out of range.
namespace leeward::analysis {

struct Interval {
  double low = 0;
  double high = 0;
};

/// How many standard deviations to either side of a normal mean hold `level`: 1.645 for 0.90.
double normalReach(double level);
/// Exact limits of a Poisson mean; low = 0 for count 0. Source: Garwood 1936, Biometrika 28, 437-442.
Interval garwood(double count, double level);
/// Byar's approximation; low = 0 for count 0. Source: Breslow & Day 1987, Statistical Methods in Cancer Research II, 69.
Interval byar(double count, double level);
/// Score limits of a share `part` of `whole` > 0; low is 0 for part = 0 and high 1 for part = whole.
/// Source:  Wilson 1927, JASA 22, 209-212; Newcombe 1998, Statistics in Medicine 17, 857-872, method 3.
Interval wilson(double part, double whole, double level);

}  // namespace leeward::analysis
