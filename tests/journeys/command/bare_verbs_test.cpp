// The verbs on bare files as an analyst drives them, also clumsily: what comes out, what is said, and with which exit status it ends.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using Words = std::vector<std::string>;

class BareVerbs : public testing::Test {
 protected:
  /// Squares of 100 m side by side from (500000, 4000000) in UTM zone 17 north.
  std::string squares(const std::string& name, const std::vector<std::string>& ids, const std::string& crs = "EPSG:32617") const {
    Layer layer;
    layer.name = "squares";
    layer.crs = *Crs::parse("EPSG:32617");
    for (std::size_t i = 0; i < ids.size(); ++i) {
      const double x = 500000 + 100.0 * static_cast<double>(i), y = 4000000;
      layer.geometry.addArea(std::vector<Point>{{x, y}, {x + 100, y}, {x + 100, y + 100}, {x, y + 100}});
    }
    layer.table.add(Column::text("block", ids));
    layer.table.add(Column::integers("people", std::vector<std::int64_t>(ids.size(), 40)));
    layer.table.add(Column::integers("people_moe", std::vector<std::int64_t>(ids.size(), 6)));
    layer.table.add(Column::reals("median_income", std::vector<double>(ids.size(), 50000)));
    auto moved = reprojected(std::move(layer), *Crs::parse(crs));
    EXPECT_OK(moved);
    Progress quiet;
    EXPECT_OK(writeLayer(*moved, file(name), quiet));
    return file(name);
  }
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  std::string points(const std::string& rows) const { return put(file("points.csv"), "dog,x,y,off_m\n" + rows); }
  static Table table(const Words& words) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 0) << ran.err;
    return csvOfText(ran.out);
  }
  static void expectProblem(const Words& words, int status, const std::vector<const char*>& said) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, status) << ran.err;
    EXPECT_EQ(ran.out, "");
    for (const char* one : said) EXPECT_NE(ran.err.find(one), std::string::npos) << "\"" << one << "\" is not in: " << ran.err;
  }
  Words locate(const std::string& of, const std::string& areas, const Words& more = {}) const {
    Words words = {"locate", of, areas, "--id", "block", "--x", "x", "--y", "y", "--crs", "EPSG:32617"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(BareVerbs, LocateNamesTheAreaAndLeavesTheOutsideEmpty) {
  const auto found = table(locate(points("a,500050,4000050,\nb,500100,4000050,\nc,500500,4000050,\n"), squares("areas.gpkg", {"B1", "B2"})));
  auto names = found.names();
  names.resize(8);  // then lon and lat, as in every table of points
  EXPECT_EQ(names, (std::vector<std::string>{"dog", "x", "y", "off_m", "area_id", "area_chance", "second_id", "second_chance"}));
  EXPECT_EQ(field(found, "area_id", 0), "B1");
  EXPECT_EQ(field(found, "area_chance", 0), "1");
  EXPECT_EQ(field(found, "area_id", 1), "B1");  // on the border: the first of the two
  for (const char* column : {"area_id", "area_chance", "second_id", "second_chance"}) EXPECT_EQ(field(found, column, 2), "") << column;
}

TEST_F(BareVerbs, LocateGivesChancesWhereThePlaceIsUnsure) {
  // A circular normal of 20 m a side, 20 m from the border of two squares of 100 m: by the normal's table (Phi(1) = 0.841344746, Phi(2.5) =
  // 0.993790335, Phi(4) = 0.999968329) along x 0.841344746 - (1 - Phi(4)) and 1 - 0.841344746 less what lies beyond 6 sigma; across y 2 Phi(2.5) - 1.
  const auto found = table(locate(points("a,500080,4000050,20\nb,500100,4000050,20\nc,500080,4000050,\nd,500080,4000050,0\n"), squares("areas.gpkg", {"B1", "B2"}), {"--uncertainty", "off_m"}));
  const double across = 2 * 0.993790335 - 1;
  EXPECT_NEAR(number(found, "area_chance", 0), (0.841344746 - 0.000031671) * across, 1e-8);
  EXPECT_EQ(field(found, "second_id", 0), "B2");
  EXPECT_NEAR(number(found, "second_chance", 0), 0.158655254 * across, 1e-8);
  EXPECT_EQ(field(found, "area_id", 1), "B1");  // even chances: the first
  EXPECT_NEAR(number(found, "area_chance", 1), number(found, "second_chance", 1), 1e-9);
  EXPECT_EQ(field(found, "area_id", 2), "B1");  // not known is not exact: an area, but no chance
  EXPECT_EQ(field(found, "area_chance", 2), "");
  EXPECT_EQ(field(found, "area_chance", 3), "1");
}

TEST_F(BareVerbs, LocateTakesTheRadiusThatPlaceWrites) {
  // 95 % of a circular normal lie within the root of 5.991465 (chi-squared table, two degrees of freedom) deviations: 20 m is 48.95493 m.
  const std::string areas = squares("areas.gpkg", {"B1", "B2"});
  const double expected = (0.841344746 - 0.000031671) * (2 * 0.993790335 - 1);
  const auto said = table(locate(points("a,500080,4000050,48.95493\n"), areas, {"--uncertainty", "off_m", "--holds", "0.95"}));
  EXPECT_NEAR(number(said, "area_chance", 0), expected, 1e-6);
  const auto placed = put(file("placed.csv"), "dog,x,y,uncertainty_m,placed_by\na,500080,4000050,48.95493,between\n");
  const Ran found = leeward(locate(placed, areas, {"--uncertainty", "uncertainty_m"}));
  EXPECT_NEAR(number(csvOfText(found.out), "area_chance", 0), expected, 1e-6);
  EXPECT_NE(found.err.find("95 %"), std::string::npos) << found.err;
  expectProblem(locate(placed, areas, {"--uncertainty", "uncertainty_m", "--holds", "95"}), 2, {"--holds", "between 0 and 1"});
}

TEST_F(BareVerbs, LocateBringsFilesOfDifferentCoordinatesTogether) {
  const auto one = table(locate(points("a,500020,4000050,\nb,500180,4000050,\n"), squares("degrees.gpkg", {"B1", "B2"}, "EPSG:4326")));
  EXPECT_EQ(field(one, "area_id", 0), "B1");
  EXPECT_EQ(field(one, "area_id", 1), "B2");
  const Ran far = leeward({"locate", points("a,5,4,\n"), squares("degrees.gpkg", {"B1"}, "EPSG:4326"), "--id", "block", "--x", "x", "--y", "y", "--crs", "EPSG:4326"});
  EXPECT_EQ(far.status, 0);
  EXPECT_NE(far.err.find("Nothing of"), std::string::npos) << far.err;
}

TEST_F(BareVerbs, LocateTakesRowsOfOneIdAsOneAreaAndRefusesAreasWithoutId) {
  const auto found = table(locate(points("a,500100,4000050,20\n"), squares("areas.gpkg", {"B1", "B1", "B2"}), {"--uncertainty", "off_m"}));
  EXPECT_EQ(field(found, "area_id", 0), "B1");
  EXPECT_GT(number(found, "area_chance", 0), 0.98);
  EXPECT_EQ(field(found, "second_id", 0), "B2");
  expectProblem(locate(points("a,500100,4000050,20\n"), squares("areas.gpkg", {"B1", ""})), 3, {"no id", "row 2", "--id"});
}

TEST_F(BareVerbs, ApportionSplitsCountsWithTheirMargins) {
  squares("to.gpkg", {"T1"});
  const std::string from = squares("from.geojson", {"B1", "B2"}, "EPSG:4326");
  const auto found = table({"apportion", from, file("to.gpkg"), "--counts", "people", "--margins", "people_moe", "--quiet"});
  // The target is the first square, and has a column of that name already.
  ASSERT_EQ(found.names(), (std::vector<std::string>{"block", "people", "people_moe", "median_income", "people_2", "people_moe_2"}));
  EXPECT_NEAR(number(found, "people_2", 0), 40, 0.01);  // corners in degrees of seven decimals: a centimetre of 100 m on each of two sides
  EXPECT_NEAR(number(found, "people_moe_2", 0), 6, 1e-2);
  const Ran told = leeward({"apportion", from, file("to.gpkg"), "--counts", "people", "--json"});
  const auto object = nlohmann::json::parse(told.out);
  EXPECT_EQ(object["totals"][0]["column"], "people_2");
  EXPECT_NEAR(object["totals"][0]["source_total"].get<double>(), 80, 1e-9);
  EXPECT_NEAR(object["totals"][0]["placed_total"].get<double>(), 40, 0.01);
  EXPECT_NE(told.err.find("people_2"), std::string::npos) << "the new name is not said";
}

TEST_F(BareVerbs, ApportionByPointsGoesWithTheDoors) {
  const std::string areas = squares("areas.gpkg", {"B1"});
  Progress quiet;
  Layer halves;
  halves.name = "halves";
  halves.crs = *Crs::parse("EPSG:32617");
  for (const double x : {500000.0, 500050.0}) halves.geometry.addArea(std::vector<Point>{{x, 4000000}, {x + 50, 4000000}, {x + 50, 4000100}, {x, 4000100}});
  halves.table.add(Column::text("half", {"west", "east"}));
  ASSERT_OK(writeLayer(halves, file("halves.gpkg"), quiet));
  Layer doors;
  doors.name = "doors";
  doors.crs = halves.crs;
  for (const double x : {500010.0, 500020.0, 500030.0, 500080.0}) doors.geometry.addPoint({x, 4000050});
  doors.table.add(Column::text("door", {"1", "2", "3", "4"}));
  ASSERT_OK(writeLayer(doors, file("doors.gpkg"), quiet));
  const auto found = table({"apportion", areas, file("halves.gpkg"), "--counts", "people", "--by", "points:" + file("doors.gpkg"), "--quiet"});
  EXPECT_NEAR(number(found, "people", 0), 30, 1e-9);
  EXPECT_NEAR(number(found, "people", 1), 10, 1e-9);
  // A table of doors serves if its headings say where they are.
  auto degrees = reprojected(std::move(doors), Crs::wgs84());
  ASSERT_OK(degrees);
  ASSERT_OK(writeLayer(*degrees, file("doors.csv"), quiet));
  const Ran by_table = leeward({"apportion", areas, file("halves.gpkg"), "--counts", "people", "--by", "points:" + file("doors.csv")});
  EXPECT_NEAR(number(csvOfText(by_table.out), "people", 0), 30, 1e-9);
  EXPECT_NE(by_table.err.find("points from the columns lon and lat"), std::string::npos) << by_table.err;
}

TEST_F(BareVerbs, ApportionRefusesMediansAndCallsThatDontFit) {
  const std::string areas = squares("areas.gpkg", {"B1"});
  expectProblem({"apportion", areas, areas, "--means", "median_income"}, 2, {"median", "counts"});
  expectProblem({"apportion", areas, areas}, 2, {"--counts", "--means"});
  expectProblem({"apportion", areas, areas, "--counts", "people", "--margins", "a,b"}, 2, {"2 margins for 1"});
  expectProblem({"apportion", areas, areas, "--counts", "peple"}, 3, {"Did you mean \"people\"", "areas.gpkg"});
  expectProblem({"apportion", areas, areas, "--counts", "people", "--by", "weight"}, 2, {"weight", "points:FILE"});
  expectProblem({"apportion", areas, points("a,1,1,\n"), "--counts", "people"}, 3, {"no areas", "points.csv"});
}

TEST_F(BareVerbs, ClassesGiveLimitsCountsAndFit) {
  // Worked example (from memory): 4, 5, 9, 10 in two natural classes; squared deviations 26 in all, 1 within them.
  const std::string values = put(file("values.csv"), "id,v\n1,4\n2,5\n3,9\n4,10\n5,\n");
  const Ran ran = leeward({"classes", values, "--value", "v", "--count", "2", "--by", "natural", "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto object = nlohmann::json::parse(ran.out);
  EXPECT_EQ(object["limits"], (nlohmann::json{4, 5, 10}));
  EXPECT_EQ(object["counts"], (nlohmann::json{2, 2}));
  EXPECT_NEAR(object["goodness_of_variance_fit"].get<double>(), 25.0 / 26, 1e-12);
  EXPECT_EQ(object["missing"], 1);
  const auto rows = table({"classes", values, "--value", "v", "--count", "2", "--by", "natural", "--quiet"});
  ASSERT_EQ(rows.names(), (std::vector<std::string>{"class", "lower", "upper", "count", "goodness_of_variance_fit"}));
  EXPECT_EQ(field(rows, "upper", 0), "5");
  EXPECT_EQ(field(rows, "count", 1), "2");
  expectProblem({"classes", values, "--value", "w", "--count", "2"}, 3, {"Columns are: id, v"});
  expectProblem({"classes", values, "--value", "v", "--count", "0"}, 2, {"--count"});
  expectProblem({"classes", values, "--value", "v", "--count", "2", "-o", file("out.gpkg")}, 2, {".gpkg", ".xlsx"});
}

TEST_F(BareVerbs, ClassesTakeLimitsAndMakeThemReadable) {
  const std::string values = put(file("values.csv"), "id,v\n1,4.12\n2,5.37\n3,9.81\n4,10.44\n5,\n");
  const auto given = nlohmann::json::parse(leeward({"classes", values, "--value", "v", "--limits", "5,10", "--json"}).out);
  EXPECT_EQ(given["counts"], (nlohmann::json{2}));
  EXPECT_EQ(given["outside"], 2);
  const auto plain = nlohmann::json::parse(leeward({"classes", values, "--value", "v", "--count", "2", "--by", "natural", "--json"}).out);
  const auto readable = nlohmann::json::parse(leeward({"classes", values, "--value", "v", "--count", "2", "--by", "natural", "--readable", "--json"}).out);
  EXPECT_EQ(readable["counts"], plain["counts"]);
  EXPECT_EQ(readable["limits"], (nlohmann::json{4, 6, 10.5}));
  expectProblem({"classes", values, "--value", "v"}, 2, {"--count", "--limits"});
  expectProblem({"classes", values, "--value", "v", "--count", "2", "--limits", "1,2"}, 2, {"--limits"});
  expectProblem({"classes", values, "--value", "v", "--limits", "5,1"}, 2, {"numbers that rise"});
  expectProblem({"classes", values, "--value", "v", "--limits", "90,100"}, 3, {"no value between"});
}

TEST_F(BareVerbs, ClassesOfAnOpenDataSetAreThoseOfAReferenceProgram) {
  LEEWARD_OUTSIDE_DATA(jenks, "checks/data/jenks71.csv");
  // R 4.2.2, classInt 0.4.9 on spData's jenks71 (CC0)
  const Ran ran = leeward({"classes", jenks.string(), "--value", "value", "--count", "5", "--by", "natural", "--json"});
  const auto object = nlohmann::json::parse(ran.out);
  EXPECT_EQ(object["counts"], (nlohmann::json{35, 33, 18, 11, 5}));
  EXPECT_NEAR(object["goodness_of_variance_fit"].get<double>(), 0.93135600626631, 1e-9);
  const Ran quantile = leeward({"classes", jenks.string(), "--value", "value", "--count", "3", "--json"});
  EXPECT_NEAR(nlohmann::json::parse(quantile.out)["limits"][2].get<double>(), 61.1266666666667, 1e-10);
}

TEST_F(BareVerbs, FeelsLikeComesOutInTheUnitOfTheAir) {
  // Formula of the Weather Service's page (86.341892 F at 80 F and 90 %) and the wind chill of 2001 (-10.509948 F at 0 F and 5 mph).
  const std::string days = put(file("days.csv"), "day,tmax,rh,wind\n1,80,90,\n2,0,,5\n3,60,40,20\n4,20,,3\n");
  const Words call = {"feels-like", days, "--air", "tmax", "--humidity", "rh", "--wind", "wind", "--wind-unit", "mph", "--unit", "F", "--quiet"};
  const auto found = table(call);
  EXPECT_NEAR(number(found, "heat_index_f", 0), 86.341892, 1e-6);
  EXPECT_EQ(field(found, "wind_chill_f", 0), "");
  EXPECT_NEAR(number(found, "wind_chill_f", 1), -10.509948, 1e-6);
  EXPECT_EQ(field(found, "wind_chill_f", 2), "");  // above 50 F
  EXPECT_EQ(field(found, "wind_chill_f", 3), "");  // 3 mph is no wind
  const std::string celsius = put(file("celsius.csv"), "day,t,rh,wind\n1,26.666666666666668,90,\n2,-17.77777777777778,,2.2352\n");
  const auto same = table({"feels-like", celsius, "--air", "t", "--humidity", "rh", "--wind", "wind", "--wind-unit", "ms", "--unit", "C", "--quiet"});
  EXPECT_NEAR(number(same, "heat_index_c", 0), (86.341892 - 32) / 1.8, 1e-6);
  EXPECT_NEAR(number(same, "wind_chill_c", 1), (-10.509948 - 32) / 1.8, 1e-6);
}

TEST_F(BareVerbs, FeelsLikeAsksForUnitsAndDoubtsWrongOnes) {
  const std::string days = put(file("days.csv"), "day,tmax_f,rh,wind\n1,80,90,5\n2,85,101,5\n3,90,high,5\n");
  expectProblem({"feels-like", days, "--air", "tmax_f", "--humidity", "rh"}, 2, {"--unit"});
  expectProblem({"feels-like", days, "--air", "tmax_f", "--wind", "wind", "--unit", "F"}, 2, {"--wind-unit"});
  expectProblem({"feels-like", days, "--air", "tmax_f", "--unit", "F"}, 2, {"--humidity", "--wind"});
  expectProblem({"feels-like", days, "--air", "tmax_f", "--humidity", "rh", "--unit", "C"}, 2, {"tmax_f", "--unit"});
  const std::string plain = put(file("plain.csv"), "t,rh\n80,90\n85,50\n61,20\n");
  expectProblem({"feels-like", plain, "--air", "t", "--humidity", "rh", "--unit", "C"}, 3, {"--unit F", "plain.csv"});
  const std::string share = put(file("share.csv"), "t,rh\n80,0.9\n85,0.5\n");
  expectProblem({"feels-like", share, "--air", "t", "--humidity", "rh", "--unit", "F"}, 3, {"per cent", "100"});
  // Rows that can't be keep their place, are named, and with --strict end the call with 3.
  const Ran ran = leeward({"feels-like", days, "--air", "tmax_f", "--humidity", "rh", "--unit", "F", "--strict"});
  EXPECT_EQ(ran.status, 3);
  EXPECT_EQ(csvOfText(ran.out).rows(), 3U);
  for (const char* said : {"row 3", "101", "row 4", "high"}) EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
  const Ran filed = leeward({"feels-like", days, "--air", "tmax_f", "--humidity", "rh", "--unit", "F", "-o", file("felt.csv")});
  EXPECT_EQ(filed.status, 0);
  const auto refused = csvOfFile(file("felt-refused.csv"));
  ASSERT_EQ(refused.rows(), 2U);
  EXPECT_EQ(field(refused, "column", 0), "rh");
  EXPECT_NE(filed.err.find("felt-refused.csv"), std::string::npos);
}

TEST_F(BareVerbs, ClumsyFilesEndWithAProblemThatHelps) {
  const std::string areas = squares("areas.gpkg", {"B1"});
  const std::string headings = put(file("headings.csv"), "x,y\n");
  const std::string words = put(file("words.csv"), "x,y\nhere,there\n");
  expectProblem(locate(headings, areas), 3, {"no rows", "headings.csv"});
  expectProblem(locate(words, areas), 3, {"no row has a point", "words.csv"});
  expectProblem({"locate", points("a,1,1,\n"), areas, "--id", "block"}, 3, {"no points", "--x"});
  expectProblem({"locate", points("a,1,1,\n"), areas, "--id", "block", "--x", "x", "--y", "y"}, 3, {"coordinates", "points.csv", "--crs"});
  expectProblem({"locate", points("a,1,1,\n"), areas, "--id", "blok", "--x", "x", "--y", "y", "--crs", "EPSG:32617"}, 3, {"Did you mean \"block\"", "areas.gpkg"});
  expectProblem({"locate", points("a,1,1,\n"), areas, "--id", "block", "--x", "x", "--y", "y", "--crs", "EPSG:1"}, 2, {"EPSG:1"});
  expectProblem({"cluster", headings, "--within", "5", "--at-least", "2", "--x", "x", "--y", "y", "--crs", "local"}, 3, {"no rows"});
  expectProblem({"zonal", areas, file("none.tif")}, 3, {"none.tif"});
  // One point alone is no mistake.
  const auto one = table({"cluster", points("a,1,1,\n"), "--within", "5", "--at-least", "2", "--x", "x", "--y", "y", "--crs", "local", "--quiet"});
  EXPECT_EQ(field(one, "role", 0), "alone");
}

TEST_F(BareVerbs, ClustersOfDifferingDensityNeedNoReach) {
  // A tight group, a loose one a hundred metres off, one point far from both, one without a place.
  std::string rows;
  for (int i = 0; i < 9; ++i) rows += "t," + std::to_string(i % 3) + "," + std::to_string(i / 3) + ",\nl," + std::to_string(100 + 9 * (i % 3)) + "," + std::to_string(9 * (i / 3)) + ",\n";
  const std::string some = points(rows + "far,400,400,\nnowhere,,,\n");
  const Words call = {"cluster", some, "--at-least", "4", "--x", "x", "--y", "y", "--crs", "local"};
  const auto with = [&](Words more) {
    more.insert(more.begin(), call.begin(), call.end());
    return more;
  };
  const auto found = table(with({"--method", "hierarchy"}));
  for (std::size_t row = 0; row < 18; ++row) EXPECT_EQ(field(found, "cluster", row), row % 2 == 0 ? "0" : "1") << row;
  EXPECT_EQ(field(found, "cluster", 18), "");
  EXPECT_EQ(field(found, "role", 18), "alone");
  EXPECT_GT(number(found, "outlier_score", 18), 0.9);
  EXPECT_EQ(field(found, "outlier_score", 19), "");
  const Ran said = leeward(with({"--method", "hierarchy"}));
  EXPECT_NE(said.err.find("18 of 20 points lie in 2 clusters"), std::string::npos) << said.err;
  EXPECT_NE(said.err.find("not where dogs are"), std::string::npos) << said.err;
  expectProblem(call, 2, {"--within", "--method hierarchy"});
  expectProblem(with({"--method", "hierarchy", "--within", "5"}), 2, {"--within"});
  expectProblem(with({"--method", "hierarchy", "--days", "5"}), 2, {"--days"});
}

TEST_F(BareVerbs, ClustersInSpaceAndTimeNeedBoth) {
  // Three reports at one corner within a week, three at another months apart; one without a day.
  const std::string some = put(file("days.csv"), "x,y,day\n0,0,2025-03-01\n1,0,2025-03-03T12:00\n0,1,2025-03-05\n90,0,2025-01-01\n91,0,2025-04-01\n90,1,2025-08-01\n91,1,\n");
  const Words call = {"cluster", some, "--within", "5", "--at-least", "3", "--days", "7", "--x", "x", "--y", "y", "--crs", "local"};
  expectProblem(call, 2, {"--when"});
  auto with = call;
  with.insert(with.end(), {"--when", "day"});
  const auto found = table(with);
  for (std::size_t row = 0; row < 3; ++row) EXPECT_EQ(field(found, "cluster", row), "0") << row;
  for (std::size_t row = 3; row < 6; ++row) EXPECT_EQ(field(found, "role", row), "alone") << row;
  EXPECT_EQ(field(found, "role", 6), "");
}

TEST_F(BareVerbs, ARowWithoutAPlaceKeepsItsRowAndIsNamed) {
  const std::string some = points("a,500050,4000050,\nb,,,\nc,500051,4000050,\n");
  const Ran located = leeward(locate(some, squares("areas.gpkg", {"B1"}), {"--json"}));
  EXPECT_EQ(located.status, 0);
  const auto object = nlohmann::json::parse(located.out);
  EXPECT_EQ(object["rows"].size(), 3U);
  EXPECT_TRUE(object["rows"][1]["area_id"].is_null());
  EXPECT_EQ(object["refused"], 1);
  EXPECT_EQ(object["inside"], 2);
  for (const auto& words : {locate(some, squares("areas.gpkg", {"B1"}), {"--strict"}),
                            Words{"cluster", some, "--within", "5", "--at-least", "2", "--x", "x", "--y", "y", "--crs", "local", "--strict"}}) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 3) << words[0];
    EXPECT_NE(ran.err.find("row 3"), std::string::npos) << ran.err;
  }
}

TEST_F(BareVerbs, ColumnsThatAreTakenAreNotOverwrittenAndThatIsSaid) {
  const std::string own = put(file("own.csv"), "x,y,Cluster,role\n1,1,mine,own\n");
  const Ran ran = leeward({"cluster", own, "--within", "5", "--at-least", "1", "--x", "x", "--y", "y", "--crs", "local"});
  const auto found = csvOfText(ran.out);
  ASSERT_EQ(found.names(), (std::vector<std::string>{"x", "y", "Cluster", "role", "cluster_2", "role_2"}));
  EXPECT_EQ(field(found, "Cluster", 0), "mine");
  for (const char* said : {"cluster_2", "role_2"}) EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
}

TEST_F(BareVerbs, WhatCouldRunInASpreadsheetIsWrittenAsText) {
  const std::string log = put(file("log.csv"), "typed,note,lon\n12 Oak St,=cmd|x,-71.05\n");
  const Ran ran = leeward({"parse", "--file", log, "--column", "typed", "--quiet"});
  EXPECT_NE(ran.out.find(",'=cmd|x,-71.05,"), std::string::npos) << ran.out;
}

TEST_F(BareVerbs, AWrongCallWithJsonIsStillOneObject) {
  for (const auto& words : {Words{"locate", "--json"}, Words{"parse", "--json", "12 Oak St", "-o", file("x.doc")}, Words{"next", "--level", "2", file(""), "--json"}}) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 2) << ran.err;
    const auto object = nlohmann::json::parse(ran.out, nullptr, false);
    ASSERT_TRUE(object.is_object()) << ran.out;
    EXPECT_FALSE(object["problem"]["what"].get<std::string>().empty());
  }
}

}  // namespace
}  // namespace leeward::test
