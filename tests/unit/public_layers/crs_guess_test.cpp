// Coordinates whose system is not said or wrongly said, told by where they must lie. Coordinates from pyproj 3.4.1 (PROJ 9.1.1), computed
// apart from this code.
#include "shared/geo/crs_guess.h"

#include "importers/whereabouts.h"
#include "shared/geo/longitudes.h"
#include "tests/support/data.h"

namespace leeward::importers {
namespace {

using testing::HasSubstr;

Bbox around(Point lon_lat, double degrees = 0.05) { return {lon_lat.x - degrees, lon_lat.y - degrees, lon_lat.x + degrees, lon_lat.y + degrees}; }

/// believe() on one point.
Result<Believed> believed(Point p, const std::string& said, const Bbox& study) {
  const std::vector<Point> points(3, p);
  return believe(points, said.empty() ? Crs() : *Crs::parse(said), {study, "", false}, "file.shp");
}

struct Unlabelled {
  const char* epsg;
  Point lon_lat;
  Point xy;
};
// EPSG:2229 California zone 5, 2277 Texas Central (all US survey feet), 3857 Web Mercator.
const std::vector<Unlabelled> kUnlabelled = {{"EPSG:2229", {-118.2437, 34.0522}, {6487847.002983113, 1841468.2517634213}},
                                             {"EPSG:2277", {-97.7431, 30.2672}, {3114226.2142036953, 10070436.131251587}},
                                             {"EPSG:3857", {-87.6298, 41.8781}, {-9754904.714316405, 5142736.869193021}}};

TEST(CrsGuessTest, UnlabelledPlanesAreRecognisedByWhereTheyPutTheData) {
  for (const auto& one : kUnlabelled) {
    const auto taken = believed(one.xy, "", around(one.lon_lat));
    ASSERT_OK(taken);
    EXPECT_EQ(taken->crs.authority(), one.epsg);
    EXPECT_FALSE(taken->swapped);
    EXPECT_TRUE(taken->was_guessed);
    EXPECT_THAT(taken->remark, HasSubstr("inside the study's area"));
    EXPECT_THAT(taken->remark, HasSubstr(one.epsg));
  }
}

TEST(CrsGuessTest, TheOtherFootIsSaidWithWhatItWouldMove) {
  const auto feet = guessCrs(std::vector<Point>{kUnlabelled[0].xy}, around(kUnlabelled[0].lon_lat));
  ASSERT_EQ(feet.size(), 1U);
  // 1200/3937 m and 0.3048 m differ by 2 parts in a million (NIST): 6,744,115 ft from the origin make 4.11 m.
  EXPECT_NEAR(feet[0].feet_doubt_m, 4.11, 0.01);
  EXPECT_EQ(guessCrs(std::vector<Point>{kUnlabelled[2].xy}, around(kUnlabelled[2].lon_lat)).at(0).feet_doubt_m, 0);
}

TEST(CrsGuessTest, DegreesInAFileThatClaimsMetresAreDegrees) {
  const auto with_study = believed({-78.6382, 35.7796}, "EPSG:2264", around({-78.64, 35.78}));
  ASSERT_OK(with_study);
  EXPECT_EQ(with_study->crs, Crs::wgs84());
  const auto alone = believed({-78.6382, 35.7796}, "EPSG:2264", {});
  ASSERT_OK(alone);
  EXPECT_EQ(alone->crs, Crs::wgs84()) << "without a study, where the claimed system is used stands for it";
}

TEST(CrsGuessTest, MetresInAFileThatClaimsDegreesAreFoundOrAskedFor) {
  const auto found = believed(kUnlabelled[0].xy, "EPSG:4326", around(kUnlabelled[0].lon_lat));
  ASSERT_OK(found);
  EXPECT_EQ(found->crs.authority(), "EPSG:2229");
  EXPECT_THAT(found->remark, HasSubstr("can't be in"));
  const auto asked = believed(kUnlabelled[0].xy, "EPSG:4326", {});
  ASSERT_FALSE(asked.ok());
  EXPECT_EQ(asked.problem().code, ProblemCode::CrsMismatch);
  EXPECT_THAT(asked.problem().mend, HasSubstr("--crs EPSG"));
}

TEST(CrsGuessTest, ExchangedAxesArePutRightWhereTheStudyShowsIt) {
  const auto swapped = believed({35.7796, -78.6382}, "EPSG:4326", around({-78.64, 35.78}));
  ASSERT_OK(swapped);
  EXPECT_TRUE(swapped->swapped);
  EXPECT_THAT(swapped->remark, HasSubstr("latitude first"));
}

TEST(CrsGuessTest, TwoDatumsThatBothFitAreAskedFor) {
  // About Raleigh in UTM zone 17N: read as NAD83 and as NAD27 it lies some 200 m apart, both times in the study.
  const auto asked = believed({713469.0, 3962134.0}, "", around({-78.64, 35.78}));
  ASSERT_FALSE(asked.ok());
  EXPECT_THAT(asked.problem().what, HasSubstr("more than one"));
  EXPECT_THAT(asked.problem().mend, HasSubstr("--crs EPSG:26917"));
  EXPECT_THAT(asked.problem().mend, HasSubstr("--crs EPSG:26717"));
  // North Carolina kept the false easting of 2,000,000 ft when it left NAD27 (EPSG:32019) for NAD83 (EPSG:2264).
  const auto feet = believed({2107312.429883958, 738866.6072455817}, "", around({-78.6382, 35.7796}));
  ASSERT_FALSE(feet.ok());
  EXPECT_THAT(feet.problem().mend, HasSubstr("--crs EPSG:2264"));
  EXPECT_THAT(feet.problem().mend, HasSubstr("--crs EPSG:32019"));
}

TEST(CrsGuessTest, WhatAPersonSaysCounts) {
  const std::vector<Point> points(3, kUnlabelled[0].xy);
  const auto said = believe(points, Crs::wgs84(), {around(kUnlabelled[0].lon_lat), "EPSG:2229", false}, "file.shp");
  ASSERT_OK(said);
  EXPECT_EQ(said->crs.authority(), "EPSG:2229");
  EXPECT_FALSE(said->was_guessed);
  const auto far = believe(points, Crs::wgs84(), {around({-97.7, 30.3}), "EPSG:2264", false}, "file.shp");
  ASSERT_OK(far);
  EXPECT_THAT(far->remark, HasSubstr("km from the study"));
  EXPECT_FALSE(believe(points, Crs::wgs84(), {{}, "EPSG:4326", false}, "file.shp").ok()) << "no degrees are as large";
}

TEST(CrsGuessTest, ALayerThatIsSoundButElsewhereIsOnlySaid) {
  const auto far = believed({-122.3, 47.6}, "EPSG:4326", around({-78.64, 35.78}));
  ASSERT_OK(far);
  EXPECT_FALSE(far->was_guessed);
  EXPECT_THAT(far->remark, HasSubstr("right file"));
}

TEST(CrsGuessTest, DistancesToAStudyAcrossThe180thMeridianGoTheShortWay) {
  const Bbox study = lonLatBox(std::vector<Point>{{179.5, -17}, {-179.5, -16}});
  EXPECT_EQ(distanceToBoxM({-179.8, -16.5}, study), 0);
  EXPECT_NEAR(distanceToBoxM({-179.4, -16.5}, study), 10676.4, 1) << "0.1 degree along the parallel of 16.5 S on WGS 84, N cos(phi) by hand";
}

}  // namespace
}  // namespace leeward::importers
