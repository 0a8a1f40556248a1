// Interval limits. Digits computed with R 4.2.2 (qchisq, epitools 0.5.10.1 binom.wilson), checked there against the published
// tables named below. Tolerance 1e-9 relative.
#include "analysis/rates/intervals.h"

#include "tests/reference/statistics/checks.h"

namespace leeward::analysis {
namespace {

using test::expectClose;

struct CountLimits {
  double count, low, high;
};

// Garwood 1936, Biometrika 28: table of 95 % limits (0: 0, 3.689; 10: 4.795, 18.391).
TEST(IntervalsReference, GarwoodLimitsAreThoseOfTheTable) {
  for (const auto& [count, low, high] :
       {CountLimits{0, 0, 3.68887945411394}, CountLimits{1, 0.0253178079842899, 5.5716433909389},
        CountLimits{10, 4.79538869613243, 18.3903560420178}, CountLimits{250, 219.967995630937, 282.987705042316}}) {
    const auto limits = garwood(count, 0.95);
    expectClose(limits.low, low, 1e-9);
    expectClose(limits.high, high, 1e-9);
  }
  const auto at_90 = garwood(5, 0.90);
  expectClose(at_90.low, 1.97014956805953, 1e-9);
  expectClose(at_90.high, 10.5130349087415, 1e-9);
}

// Breslow & Day 1987, Statistical Methods in Cancer Research II, page 69.
TEST(IntervalsReference, ByarLimitsFollowTheFormula) {
  for (const auto& [count, low, high] :
       {CountLimits{0, 0, 3.66801183217375}, CountLimits{1, 0.0130721329015044, 5.56375558247526},
        CountLimits{3, 0.60297257097023, 8.76536439674634}, CountLimits{100, 81.3621054905279, 121.627937579207}}) {
    const auto limits = byar(count, 0.95);
    expectClose(limits.low, low, 1e-10);
    expectClose(limits.high, high, 1e-10);
  }
}

struct ShareLimits {
  double part, whole, low, high;
};

// Newcombe 1998, Statistics in Medicine 17, 857-872, table I: 81/263, 15/148, 0/20, 1/29 by method 3.
TEST(IntervalsReference, WilsonLimitsAreThoseOfTheTable) {
  for (const auto& [part, whole, low, high] :
       {ShareLimits{81, 263, 0.255288519878274, 0.3662095769828}, ShareLimits{15, 148, 0.0623863995307363, 0.160487241723308},
        ShareLimits{0, 20, 0, 0.161125158052819}, ShareLimits{1, 29, 0.00611321429276266, 0.171755218793203},
        ShareLimits{10, 10, 0.722467200137111, 1}, ShareLimits{3, 1000, 0.00102078388113862, 0.00878301405350317}}) {
    const auto limits = wilson(part, whole, 0.95);
    expectClose(limits.low, low, 1e-9);
    expectClose(limits.high, high, 1e-9);
  }
}

}  // namespace
}  // namespace leeward::analysis
