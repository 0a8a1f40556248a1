#include "shared/geo/crs.h"

#include <cmath>

#include "tests/support/data.h"

namespace leeward {
namespace {

Transform between(const Crs& from, const Crs& to) {
  auto made = Transform::between(from, to);
  EXPECT_OK(made);
  return std::move(made).value();
}

TEST(CrsTest, ReadsCodesTextsAndLocal) {
  const auto mainland = Crs::parse(" epsg:26986 ");
  ASSERT_OK(mainland);
  EXPECT_EQ(mainland->definition(), "EPSG:26986");
  EXPECT_EQ(mainland->name(), "NAD83 / Massachusetts Mainland (EPSG:26986)");
  EXPECT_FALSE(mainland->isGeographic());
  EXPECT_TRUE(Crs::wgs84().isGeographic());
  EXPECT_EQ(Crs::wgs84().metresPerUnit(), 0);
  EXPECT_TRUE(Crs::parse("local")->isLocal());
  EXPECT_TRUE(Crs().isUnknown());
}

TEST(CrsTest, RefusesWhatIsNoSystem) {
  for (const char* text : {"", "EPSG:999999", "Springfield", "+proj=nonsense", "+proj=pipeline +step +proj=merc"}) {
    const auto crs = Crs::parse(text);
    ASSERT_FALSE(crs.ok()) << text;
    EXPECT_EQ(crs.problem().code, ProblemCode::BadData);
  }
  EXPECT_EQ(Crs::parse("EPSG:4978").problem().code, ProblemCode::Unsupported);  // geocentric
}

TEST(CrsTest, TakesTheHorizontalPart) {
  EXPECT_EQ(Crs::parse("EPSG:4979")->isGeographic(), true);        // WGS 84 with heights
  EXPECT_EQ(Crs::parse("EPSG:26986+5703")->authority(), "EPSG:26986");  // with NAVD88 heights
}

TEST(CrsTest, DefinitionsReadBackAsTheSame) {
  for (const Crs& crs : {Crs::wgs84(), Crs::local(), Crs::equalAreaAt({-71.12, 42.37}), *Crs::parse("EPSG:2249")}) {
    const auto again = Crs::parse(crs.definition());
    ASSERT_OK(again);
    EXPECT_TRUE(*again == crs);
    EXPECT_EQ(again->metresPerUnit(), crs.metresPerUnit());
  }
}

// The text that shapefiles carry for EPSG:2249 names no code (written from the registry's values).
TEST(CrsTest, RecognisesAShapefilesTextWithoutACode) {
  const auto crs = Crs::parse(
      R"(PROJCS["NAD_1983_StatePlane_Massachusetts_Mainland_FIPS_2001_Feet",GEOGCS["GCS_North_American_1983",)"
      R"(DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],)"
      R"(UNIT["Degree",0.0174532925199433]],PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",656166.6666666665],)"
      R"(PARAMETER["False_Northing",2460625.0],PARAMETER["Central_Meridian",-71.5],PARAMETER["Standard_Parallel_1",41.71666666666667],)"
      R"(PARAMETER["Standard_Parallel_2",42.68333333333333],PARAMETER["Latitude_Of_Origin",41.0],UNIT["Foot_US",0.3048006096012192]])");
  ASSERT_OK(crs);
  EXPECT_EQ(crs->authority(), "EPSG:2249");
}

TEST(CrsTest, TrueToScaleOnlyWhereItIs) {
  const Point boston{-71.06, 42.36};
  EXPECT_TRUE(Crs::parse("EPSG:26986")->isTrueToScaleAt(boston));
  EXPECT_TRUE(Crs::parse("EPSG:2249")->isTrueToScaleAt(boston));  // feet are a unit, not a distortion
  EXPECT_TRUE(Crs::equalAreaAt(boston).isTrueToScaleAt(boston));
  EXPECT_FALSE(Crs::equalAreaAt({0, 0}).isTrueToScaleAt(boston));
  EXPECT_FALSE(Crs::parse("EPSG:5070")->isTrueToScaleAt({-75, 35}));  // true to area, not to length
  EXPECT_FALSE(Crs::wgs84().isTrueToScaleAt(boston));
  EXPECT_FALSE(Crs::parse("EPSG:3857")->isTrueToScaleAt(boston));
  EXPECT_FALSE(Crs::parse("EPSG:3857")->isTrueToScaleAt({0, 0}));
  EXPECT_FALSE(Crs().isTrueToScaleAt(boston));
  EXPECT_TRUE(Crs::local().isTrueToScaleAt(boston));
}

TEST(CrsTest, EqualAreaFrameIsCentredOnATenthOfADegree) {
  const Crs frame = Crs::equalAreaAt({-71.1167, 42.3736});
  const Point centre = between(Crs::wgs84(), frame)({-71.1, 42.4});
  EXPECT_NEAR(centre.x, 0, 1e-6);
  EXPECT_NEAR(centre.y, 0, 1e-6);
  EXPECT_TRUE(Crs::equalAreaAt({-71.06, 42.36}) == Crs::equalAreaAt({-71.14, 42.44}));
}

TEST(CrsTest, PointsWithoutAPlaceBecomeNanAndAreCounted) {
  const auto to_utm = between(Crs::wgs84(), *Crs::parse("EPSG:32617"));
  std::vector<Point> points = {{-81, 40}, {std::nan(""), 40}, {-81, 400}, {-82, 41}};
  EXPECT_EQ(to_utm.apply(points), 2U);
  EXPECT_TRUE(std::isnan(points[1].x) && std::isnan(points[2].y));
  EXPECT_NEAR(points[0].x, 500000, 1e-6);  // the central meridian
}

TEST(CrsTest, UnknownAndLocalSystemsGoNowhere) {
  EXPECT_EQ(Transform::between(Crs(), Crs::wgs84()).problem().code, ProblemCode::CrsMismatch);
  EXPECT_EQ(Transform::between(Crs::local(), Crs::wgs84()).problem().code, ProblemCode::CrsMismatch);
  EXPECT_EQ(between(Crs::local(), Crs::local())({3, 4}), (Point{3, 4}));
}

TEST(CrsTest, ADatumShiftWithoutItsGridAddsUncertainty) {
  EXPECT_EQ(between(*Crs::parse("EPSG:4267"), Crs::wgs84()).addedUncertaintyM(), 2);  // NAD27: the grid is not on the machine
  EXPECT_EQ(between(*Crs::parse("EPSG:26986"), Crs::wgs84()).addedUncertaintyM(), 2); // NAD83 taken as WGS 84
  EXPECT_EQ(between(Crs::wgs84(), *Crs::parse("EPSG:26986")).addedUncertaintyM(), 2);
  EXPECT_EQ(between(Crs::wgs84(), *Crs::parse("EPSG:32617")).addedUncertaintyM(), 0);
  EXPECT_EQ(between(*Crs::parse("EPSG:4269"), *Crs::parse("EPSG:2264")).addedUncertaintyM(), 0);
  EXPECT_EQ(between(Crs::wgs84(), Crs::equalAreaAt({-71, 42})).addedUncertaintyM(), 0);
}

}  // namespace
}  // namespace leeward
