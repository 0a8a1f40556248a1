// Projections and geodesics against published and independently computed values. Where a value is said to be published it was
// recalled, and recomputed with pyproj 3.4.1 / GeographicLib 2.1.2 before it was written down here.
#include "shared/geo/crs.h"

#include "tests/support/data.h"

namespace leeward {
namespace {

constexpr double kSurveyFoot = 1200.0 / 3937;  // NIST / NGS: exact

Point projected(const std::string& from, const std::string& to, Point p) {
  const auto source = Crs::parse(from);
  const auto target = Crs::parse(to);
  EXPECT_OK(source);
  EXPECT_OK(target);
  const auto transform = Transform::between(*source, *target);
  EXPECT_OK(transform);
  return (*transform)(p);
}

void expectNear(Point got, Point expected, double tolerance) {
  EXPECT_NEAR(got.x, expected.x, tolerance);
  EXPECT_NEAR(got.y, expected.y, tolerance);
}

// IOGP Guidance Note 7-2 (373-7-2), Transverse Mercator (method 9807), British National Grid on Airy 1830, rf as in the note.
// Published 577274.99, 69740.50; tolerance 0.01 m.
TEST(CrsReference, TransverseMercatorOfGuidanceNote) {
  const std::string base = "+a=6377563.396 +rf=299.32496 +no_defs";
  expectNear(projected("+proj=longlat " + base, "+proj=tmerc +lat_0=49 +lon_0=-2 +k_0=0.9996012717 +x_0=400000 +y_0=-100000 " + base,
                       {0.5, 50.5}),
             {577274.9838, 69740.4923}, 0.01);
}

// IOGP Guidance Note 7-2, Lambert Conformal Conic 2SP (9802), NAD27 / Texas South Central: published 2963503.91 and 254759.80 US ft;
// tolerance 0.01 ft.
TEST(CrsReference, LambertConformalConicOfGuidanceNote) {
  const double a = 20925832.16 * kSurveyFoot;
  const std::string base = "+a=" + std::to_string(a) + " +rf=294.97870 +no_defs";
  expectNear(projected("+proj=longlat " + base,
                       "+proj=lcc +lat_0=27.8333333333333333 +lon_0=-99 +lat_1=28.3833333333333333 +lat_2=30.2833333333333333 "
                       "+x_0=609601.2192024384 +y_0=0 +units=us-ft " + base,
                       {-96, 28.5}),
             {2963503.91, 254759.80}, 0.01);
}

// Snyder, USGS Professional Paper 1395 (1987), appendix A, Clarke 1866: Albers p. 292, Lambert p. 296, transverse Mercator p. 269;
// tolerance 0.1 m.
TEST(CrsReference, SnydersNumericalExamples) {
  const std::string base = "+ellps=clrk66 +no_defs";
  const std::string geographic = "+proj=longlat " + base;
  expectNear(projected(geographic, "+proj=aea +lat_1=29.5 +lat_2=45.5 +lat_0=23 +lon_0=-96 " + base, {-75, 35}), {1885472.7, 1535925.0}, 0.1);
  expectNear(projected(geographic, "+proj=lcc +lat_1=33 +lat_2=45 +lat_0=23 +lon_0=-96 " + base, {-75, 35}), {1894410.9, 1564649.5}, 0.1);
  expectNear(projected(geographic, "+proj=tmerc +lat_0=0 +lon_0=-75 +k_0=0.9996 " + base, {-73.5, 40.5}), {127106.5, 4484124.4}, 0.1);
}

// Computed with pyproj 3.4.1 (PROJ 9.1.1), same datum on both sides; tolerance 1e-3 of a unit. Coordinates are east, north whatever the
// registry's axis order: 2264, 2229 and 2277 in US survey feet.
TEST(CrsReference, StatePlaneAndOtherRegisteredSystems) {
  struct Case {
    const char* base;
    const char* crs;
    Point lon_lat;
    Point xy;
  };
  const std::vector<Case> cases = {
      {"EPSG:4269", "EPSG:2264", {-78.6382, 35.7796}, {2107312.429883958, 738866.6072455817}},
      {"EPSG:4269", "EPSG:2264", {-80.8431, 35.2271}, {1449620.3963007077, 542689.0711571036}},
      {"EPSG:4269", "EPSG:2264", {-82.5515, 35.5951}, {944420.4077287501, 690400.4172714147}},
      {"EPSG:4269", "EPSG:2229", {-118.2437, 34.0522}, {6487847.002983113, 1841468.2517634213}},
      {"EPSG:4269", "EPSG:2229", {-119.6982, 34.4208}, {6049551.561532166, 1979845.335901328}},
      {"EPSG:4269", "EPSG:2277", {-97.7431, 30.2672}, {3114226.2142036953, 10070436.131251587}},
      {"EPSG:4269", "EPSG:2277", {-97.1467, 31.5493}, {3289085.401696654, 10541438.10239961}},
      {"EPSG:4326", "EPSG:32617", {-81.6944, 41.4993}, {442042.6523621881, 4594419.2298730565}},
      {"EPSG:4326", "EPSG:32617", {-80.1918, 25.7617}, {581046.9415616756, 2849542.505374747}},
      {"EPSG:4269", "EPSG:5070", {-96, 37.5}, {0, 1606786.260577336}},
      {"EPSG:4269", "EPSG:5070", {-87.6298, 41.8781}, {688894.5442286754, 2127632.753418535}},
      {"EPSG:4326", "EPSG:3857", {-87.6298, 41.8781}, {-9754904.714316405, 5142736.869193021}},
  };
  for (const auto& c : cases) {
    SCOPED_TRACE(c.crs);
    expectNear(projected(c.base, c.crs, c.lon_lat), c.xy, 1e-3);
    expectNear(projected(c.crs, c.base, c.xy), c.lon_lat, 1e-8);
  }
}

// NIST / NGS: 1 US survey foot = 1200/3937 m; confusing it with 0.3048 m moves a point at 2,000,000 ft by 1.2192 m.
TEST(CrsReference, SurveyFeetAreNotInternationalFeet) {
  EXPECT_NEAR(Crs::parse("EPSG:2264")->metresPerUnit(), kSurveyFoot, 1e-15);
  EXPECT_NEAR(Crs::parse("EPSG:2249")->metresPerUnit(), kSurveyFoot, 1e-15);
  EXPECT_NEAR(Crs::parse("EPSG:2222")->metresPerUnit(), 0.3048, 1e-15);  // Arizona East, international feet
  EXPECT_EQ(Crs::parse("EPSG:26986")->metresPerUnit(), 1);
  EXPECT_NEAR(2'000'000 * (kSurveyFoot - 0.3048), 1.2192024, 1e-6);
}

// GeographicLib 2.1.2 (Karney 2013), WGS 84; tolerance 1e-6 m. The last two are nearly antipodal, where simpler iterations fail.
TEST(CrsReference, GeodesicDistances) {
  EXPECT_NEAR(geodesicDistanceM({-73.8, 40.6}, {-0.5, 51.6}), 5551759.400318679, 1e-6);
  EXPECT_NEAR(geodesicDistanceM({-78.6382, 35.7796}, {-78.637, 35.78}), 117.222992837, 1e-6);
  EXPECT_NEAR(geodesicDistanceM({-90, 30}, {-90, 31}), 110860.925566080, 1e-6);
  EXPECT_NEAR(geodesicDistanceM({-90, 45}, {-89, 45}), 78846.334709795, 1e-6);
  EXPECT_NEAR(geodesicDistanceM({0, 0}, {179.5, 0.5}), 19936288.578965314, 1e-6);
  EXPECT_NEAR(geodesicDistanceM({0, 0}, {179.7, 0.5}), 19944127.420750458, 1e-6);
  // Karney 2013, table 2: from 40 N along azimuth 30 for 10,000 km; the end is published to 1e-11 degrees.
  EXPECT_NEAR(geodesicDistanceM({0, 40}, {137.84490004377, 41.79331020506}), 10'000'000, 1e-5);
}

}  // namespace
}  // namespace leeward
