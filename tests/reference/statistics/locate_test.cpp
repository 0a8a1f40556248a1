// The mass of a circular normal over areas, against closed forms. Tolerance 1e-12 absolute.
#include "analysis/overlay/locate.h"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

double phi(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

// A rectangle's mass is the product of two differences of the normal distribution function.
TEST(LocateReference, TheMassOverARectangleIsAProductOfNormalDifferences) {
  Geometries areas;
  areas.addArea(std::vector<Point>{{-30, 10}, {50, 10}, {50, 40}, {-30, 40}});
  for (const auto& [x, y, sigma] :
       {std::tuple{0.0, 0.0, 20.0}, std::tuple{10.0, 25.0, 15.0}, std::tuple{50.0, 40.0, 8.0}, std::tuple{200.0, 25.0, 60.0}}) {
    const double expected = (phi((50 - x) / sigma) - phi((-30 - x) / sigma)) * (phi((40 - y) / sigma) - phi((10 - y) / sigma));
    EXPECT_NEAR(normalMass(areas, 0, {x, y}, sigma), expected, 1e-12);
  }
}

// Within r of its centre a circular normal has 1 - exp(-r^2 / 2 s^2) (Rayleigh). A regular polygon of n sides about the centre
// has n triangles that together tend to it from below, by less than pi^2 r^2 / (3 n^2 s^2).
TEST(LocateReference, TheMassOverAManySidedPolygonTendsToRayleigh) {
  const double r = 30;
  const double sigma = 20;
  const int sides = 4096;
  std::vector<Point> ring;
  for (int i = 0; i < sides; ++i) {
    const double angle = 2 * M_PI * i / sides;
    ring.push_back({500 + r * std::cos(angle), 700 + r * std::sin(angle)});
  }
  Geometries areas;
  areas.addArea(ring);
  const double expected = 1 - std::exp(-r * r / (2 * sigma * sigma));
  const double missing = expected - normalMass(areas, 0, {500, 700}, sigma);
  EXPECT_GT(missing, 0);
  EXPECT_LT(missing, M_PI * M_PI * r * r / (3.0 * sides * sides * sigma * sigma));
}

TEST(LocateReference, AHoleTakesItsMassOffAndRingDirectionDoesNotMatter) {
  Geometries areas;
  areas.startRow(GeometryKind::Areas);
  areas.addRing(std::vector<Point>{{-2, -2}, {-2, 2}, {2, 2}, {2, -2}}, false);  // clockwise on purpose
  areas.addRing(std::vector<Point>{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}}, true);
  const double outer = std::pow(phi(2) - phi(-2), 2);
  const double inner = std::pow(phi(1) - phi(-1), 2);
  EXPECT_NEAR(normalMass(areas, 0, {0, 0}, 1), outer - inner, 1e-12);
}

}  // namespace
}  // namespace leeward::analysis
