// Studies of odd kinds through the command: without a place on the earth, across the 180th meridian, with heat as areas, with a wrong start.
// All data are invented.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"
#include "viewer/study/run_study.h"

namespace leeward::test {
namespace {

/// A longitude as files write it; plane metres stay.
double longitude(double x, bool is_plane) { return x > 180 && !is_plane ? x - 360 : x; }

/// Blocks of a chequered town, 4 x 2, with steps of (dx, dy) from a corner; ids B1 to B8.
std::string chequer(Point corner, double dx, double dy, bool is_plane = false) {
  std::string features;
  for (int i = 0; i < 8; ++i) {
    const double x = corner.x + i % 4 * dx, y = corner.y + i / 4 * dy;
    const double left = longitude(x, is_plane), right = longitude(x + dx, is_plane);
    features += fmt::format(R"({}{{"type":"Feature","properties":{{"block_id":"B{}","value":{}}},"geometry":{{"type":"Polygon","coordinates":[[[{:.7f},{:.7f}],[{:.7f},{:.7f}],[{:.7f},{:.7f}],[{:.7f},{:.7f}],[{:.7f},{:.7f}]]]}}}})",
                            i == 0 ? "" : ",", i + 1, 20 + i, left, y, right, y, right, y + dy, left, y + dy, left, y);
  }
  return R"({"type":"FeatureCollection","features":[)" + features + "]}";
}

/// Address points on a row of houses, from a corner in steps.
std::string houses(Point corner, double dx, double y, const char* x_name, const char* y_name, bool is_plane = false) {
  std::string text = fmt::format("number,street,{},{}\n", x_name, y_name);
  for (int i = 0; i < 16; ++i) {
    const double x = corner.x + (i + 0.5) * dx;
    text += fmt::format("{},Elm St,{:.7f},{:.7f}\n", 2 * i + 1, longitude(x, is_plane), corner.y + y);
  }
  return text;
}

TEST(OddStudiesTest, AStudyWithoutAPlaceRunsToTheEnd) {
  const TemporaryFolder folder;
  const std::string study = (folder.path() / "study").string();
  ASSERT_EQ(leeward({"new", study, "--name", "Plan", "--crs", "local", "--quiet"}).status, 0);
  const auto take = [&](const std::string& kind, const std::string& name, const std::string& content) {
    const Ran ran = leeward({"take-in", study, kind, put(folder.path() / name, content), "--quiet"});
    EXPECT_EQ(ran.status, 0) << kind << ": " << ran.err;
  };
  take("blocks", "blocks.geojson", chequer({0, 0}, 100, 80, true));
  take("premises", "premises.csv", houses({0, 0}, 25, 40, "x", "y", true));
  take("visits", "visits.csv", "visit_id,date,address,lon,lat,look,why_here,door_result,dogs_seen,dogs_met\nv1,2025-03-04,1 Elm St,,,knock,planned,nobody home,1,0\n"
                               "v2,2025-03-05,,212.5,40,street,planned,,0,0\n");
  take("sightings", "sightings.csv", "sighting_id,date,lon,lat,what,count\ns1,2025-03-06,310,40,dog,1\n");
  const Ran ran = leeward({"run", study, "--quiet"}, {{"QT_QPA_PLATFORM", "offscreen"}});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Ran next = leeward({"next", study, "--json", "--quiet"});
  ASSERT_EQ(next.status, 0) << next.err;
  const auto told = nlohmann::json::parse(next.out);
  const auto looked = [&](const std::string& id) {
    for (const auto& block : told["blocks"]) {
      if (block["block_id"] == id) return block["doors_looked"].get<int>();
    }
    return -1;
  };
  EXPECT_EQ(looked("B1"), 1) << "the door at 12.5, 40";
  EXPECT_EQ(looked("B3"), 1) << "a look from the street at 212.5, 40, where a door stands";
  EXPECT_EQ(looked("B2"), 0);
  const Ran doors = leeward({"next", study, "--doors", "--hours", "4", "--quiet"});
  ASSERT_EQ(doors.status, 0) << doors.err;
  const Table list = csvOfText(doors.out);
  ASSERT_GT(list.rows(), 0U);
  EXPECT_NEAR(number(list, "lat", 0), 40, 1e-6) << "positions are the study's own x and y";
  const Ran wrong = leeward({"take-in", study, "streets", put(folder.path() / "s.geojson", R"({"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::26917"}},
    "features":[{"type":"Feature","properties":{"name":"Elm St"},"geometry":{"type":"LineString","coordinates":[[500000,4000000],[500100,4000000]]}}]})"), "--quiet"});
  EXPECT_EQ(wrong.status, 3);
  EXPECT_NE(wrong.err.find("without a place"), std::string::npos) << wrong.err;
}

TEST(OddStudiesTest, AStudyAcrossThe180thMeridianIsOnePiece) {
  const StudyFolder study("Strait");
  const Point corner{179.998, -16.801};
  ASSERT_EQ(study.call("take-in", {"blocks", put(study.beside("blocks.geojson"), chequer(corner, 0.001, 0.001))}).status, 0);
  ASSERT_EQ(study.call("take-in", {"premises", put(study.beside("premises.csv"), houses(corner, 0.00025, 0.0005, "lon", "lat"))}).status, 0);
  const Ran visits = study.call("take-in", {"visits", put(study.beside("visits.csv"),
                                                          "visit_id,date,lon,lat,look,why_here,door_result\nv1,2025-03-04,179.998125,-16.8005,knock,planned,nobody home\n"
                                                          "v2,2025-03-04,-179.998125,-16.8005,knock,planned,nobody home\n")});
  ASSERT_EQ(visits.status, 0) << visits.err;
  const Ran next = study.call("next", {"--json"});
  ASSERT_EQ(next.status, 0) << next.err;
  int doors = 0, looked = 0;
  const auto told = nlohmann::json::parse(next.out);
  for (const auto& block : told["blocks"]) {
    doors += block["doors"].get<int>();
    looked += block["doors_looked"].get<int>();
  }
  EXPECT_EQ(doors, 16) << "houses on both sides";
  EXPECT_EQ(looked, 2);
}

TEST(OddStudiesTest, HeatAsAreasIsWeighedByArea) {
  const StudyFolder folder("Fairford");
  ASSERT_EQ(folder.call("take-in", {"blocks", put(folder.beside("blocks.geojson"), chequer({-84.6, 39.4}, 0.001, 0.001))}).status, 0);
  ASSERT_EQ(folder.call("take-in", {"premises", put(folder.beside("premises.csv"), houses({-84.6, 39.4}, 0.00025, 0.0005, "lon", "lat"))}).status, 0);
  const auto file = put(folder.beside("zones.geojson"), chequer({-84.6005, 39.4}, 0.001, 0.001));
  const Ran unclear = folder.call("take-in", {"heat", file});
  EXPECT_EQ(unclear.status, 3);
  EXPECT_NE(unclear.err.find("--measures"), std::string::npos) << unclear.err;
  const Ran taken = folder.call("take-in", {"heat", file, "--measures", "air", "--map", "value=value,unit=C"});
  ASSERT_EQ(taken.status, 0) << taken.err;
  const auto settings = readFile(folder.path() / "study.toml");
  ASSERT_OK(settings);
  EXPECT_NE(settings->find("unit = 'C'\n"), std::string::npos) << "the unit stands where it is read back from";
  const Ran ran = leeward({"run", folder.text(), "--quiet"}, {{"QT_QPA_PLATFORM", "offscreen"}});
  ASSERT_EQ(ran.status, 0) << ran.err;
  // Zones stand half a block to the west: block 1 has half of zone 1 (20) and half of zone 2 (21), block 4 only its half of zone 4 (23).
  Progress quiet;
  const auto outcome = study::runStudy({.folder = folder.path()}, quiet);
  ASSERT_OK(outcome);
  const auto& findings = *outcome->findings;
  EXPECT_NEAR(number(findings.blocks.table, "heat", 0), 20.5, 1e-3);
  EXPECT_NEAR(number(findings.blocks.table, "heat", 3), 23, 1e-3);
  EXPECT_EQ(findings.heat_unit, "C");
  EXPECT_EQ(findings.heat_kind, "air");
  ASSERT_TRUE(findings.heat.has_value()) << "maps draw it as a raster";
}

TEST(OddStudiesTest, AStartThatIsExchangedOrFarIsAProblem) {
  const StudyFolder study("Fairford");
  ASSERT_EQ(study.call("take-in", {"blocks", put(study.beside("blocks.geojson"), chequer({-84.6, 39.4}, 0.001, 0.001))}).status, 0);
  const auto settings = readFile(study.path() / "study.toml");
  ASSERT_OK(settings);
  const auto with_start = [&](const std::string& start) {
    std::string text = *settings;
    text.replace(text.find("# start = [0.0, 0.0]"), 20, "start = " + start);
    put(study.path() / "study.toml", text);
    return study.call("next");
  };
  EXPECT_EQ(with_start("[-84.6, 39.4]").status, 0);
  const Ran exchanged = with_start("[39.4, -84.6]");
  EXPECT_EQ(exchanged.status, 3);
  EXPECT_NE(exchanged.err.find("start = [-84.6, 39.4]"), std::string::npos) << exchanged.err;
  const Ran far = with_start("[-71.1, 42.4]");
  EXPECT_EQ(far.status, 3);
  EXPECT_NE(far.err.find("km from the blocks"), std::string::npos) << far.err;
}

TEST(OddStudiesTest, WaterAndParksAreCalledByTheirNames) {
  const StudyFolder study("Fairford");
  const auto file = put(study.beside("lake.geojson"), chequer({-84.6, 39.4}, 0.001, 0.001));
  const Ran taken = leeward({"take-in", study.text(), "water", file});
  ASSERT_EQ(taken.status, 0) << taken.err;
  EXPECT_NE(taken.err.find("Reading water"), std::string::npos) << taken.err;
  EXPECT_EQ(taken.err.find("Reading areas"), std::string::npos);
}

}  // namespace
}  // namespace leeward::test
