// `hotspots`, and `smooth --local`, as a person calls them. Figures: R 4.2.2 with spdep 1.2.7 on Columbus (Anselin 1988) and North Carolina (Cressie &
// Read 1985), ../shared/checks/04_autocorrelation.json and 05_empirical_bayes.json.
#include <cmath>
#include <fstream>

#include <gtest/gtest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using Words = std::vector<std::string>;
using Object = nlohmann::json;

Object caseOf(const std::filesystem::path& file, const std::string& id) {
  std::ifstream in(file);
  const Object all = Object::parse(in);
  for (const auto& one : all.at("cases")) {
    if (one.at("id") == id) return one.at("expected");
  }
  ADD_FAILURE() << "no case " << id;
  return {};
}

class Hotspots : public testing::Test {
 protected:
  /// Squares of 100 m, `across` a row, with columns finds and doors; blanks in `finds` stay blank.
  std::string squares(const std::string& name, std::size_t across, const Words& finds, const Words& doors) const {
    Layer layer;
    layer.name = "squares";
    layer.crs = *Crs::parse("EPSG:32617");
    for (std::size_t i = 0; i < finds.size(); ++i) {
      const double x = 500000 + 100.0 * static_cast<double>(i % across), y = 4000000 + 100.0 * static_cast<double>(i / across);
      layer.geometry.addArea(std::vector<Point>{{x, y}, {x + 100, y}, {x + 100, y + 100}, {x, y + 100}});
    }
    layer.table.add(Column::text("finds", finds));
    layer.table.add(Column::text("doors", doors));
    Progress quiet;
    EXPECT_OK(writeLayer(layer, file(name), quiet));
    return file(name);
  }
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  static Object told(Words words) {
    words.emplace_back("--json");
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 0) << ran.err;
    return Object::parse(ran.out, nullptr, false);
  }
  static void expectProblem(const Words& words, int status, const std::vector<const char*>& said) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, status) << ran.err;
    EXPECT_EQ(ran.out, "");
    for (const char* one : said) EXPECT_NE(ran.err.find(one), std::string::npos) << "\"" << one << "\" is not in: " << ran.err;
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(Hotspots, ColumbusIsThatOfAReferenceProgram) {
  LEEWARD_OUTSIDE_DATA(checks, "checks");
  const std::string edges = "edges:" + (checks / "data/columbus_gal_edges.csv").string();
  const Words call = {"hotspots", (checks / "data/columbus.csv").string(), "--events", "CRIME", "--neighbours", edges};
  const Object found = told(call);
  const auto values = checks / "04_autocorrelation.json";
  const Object moran = caseOf(values, "CRIME_W_moran_rand"), geary = caseOf(values, "CRIME_W_geary_rand"), general = caseOf(values, "CRIME_globalG_B");
  for (const auto& [ours, theirs, name] : {std::tuple(found["moran"], moran, "i"), {found["geary"], geary, "c"}, {found["general_g"], general, "g"}}) {
    EXPECT_NEAR(ours[name].get<double>(), theirs["stat"].get<double>(), 1e-10);
    for (const char* one : {"expectation", "variance", "z"}) EXPECT_NEAR(ours[one].get<double>(), theirs[one].get<double>(), 1e-9) << name << ' ' << one;
    EXPECT_NEAR(ours["p"].get<double>(), 2 * theirs["p"].get<double>(), 1e-9) << "two-sided";
  }
  const Object local = caseOf(values, "CRIME_W_localmoran"), star = caseOf(values, "CRIME_gistar_B"), p = caseOf(values, "CRIME_W_local_perm");
  for (std::size_t row = 0; row < 49; ++row) {
    EXPECT_NEAR(found["rows"][row]["moran_i"].get<double>(), local["Ii"][row].get<double>(), 1e-8);
    EXPECT_NEAR(found["rows"][row]["gstar_z"].get<double>(), star["z"][row].get<double>(), 1e-8);
    const double folded = p["p_folded"][row];
    EXPECT_NEAR(found["rows"][row]["gstar_p"].get<double>() / 2, folded, 4 * std::sqrt(folded * (1 - folded) / 999) + 2e-3) << row;
  }
  Words equal = call, gi = call;
  equal.insert(equal.end(), {"--weights", "equal", "--permutations", "9"});
  EXPECT_NEAR(told(equal)["moran"]["i"].get<double>(), caseOf(values, "CRIME_B_moran_rand")["stat"].get<double>(), 1e-10);
  gi.insert(gi.end(), {"--statistic", "gi", "--permutations", "9"});
  EXPECT_NEAR(told(gi)["rows"][7]["gi_z"].get<double>(), caseOf(values, "CRIME_gi_B")["z"][7].get<double>(), 1e-8);
}

TEST_F(Hotspots, CountiesOfNorthCarolinaByTheirBorders) {
  LEEWARD_OUTSIDE_DATA(checks, "checks");
  const std::string counties = (checks / "data/nc_counties_nad27.geojson").string();
  for (const auto& [weights, id] : {std::pair("share", "SID74_EBI_W"), {"equal", "SID74_EBI_B"}}) {
    const Object found = told({"hotspots", counties, "--events", "SID74", "--exposure", "BIR74", "--statistic", "eb-moran", "--weights", weights});
    EXPECT_NEAR(found["moran"]["i"].get<double>(), caseOf(checks / "05_empirical_bayes.json", id)["EBI"].get<double>(), 1e-10);
    EXPECT_EQ(found["general_g"]["undefined"], "G needs values that are not negative");
  }
  // The same by the list of pairs as by the borders, to the last digit, and by names as by rows.
  const Words call = {"hotspots", counties, "--events", "SID74", "--exposure", "BIR74", "--quiet"};
  Words listed = call;
  listed.insert(listed.end(), {"--neighbours", "edges:" + (checks / "data/nc_queen_edges.csv").string()});
  EXPECT_TRUE(leeward(call).out == leeward(listed).out);
  // Marshall's local form, its textbook definition; neighbours by border.
  const Object smooth = told({"smooth", counties, "--events", "SID74", "--exposure", "BIR74", "--local"});
  const Object wanted = caseOf(checks / "05_empirical_bayes.json", "SID74_EBlocal_fixedmean");
  for (std::size_t row = 0; row < 100; ++row) EXPECT_NEAR(smooth["rows"][row]["smoothed"].get<double>(), wanted["eb"][row].get<double>(), 1e-12);
}

TEST_F(Hotspots, BlocksOfCambridgeAreAllConnected) {
  LEEWARD_OUTSIDE_DATA(blocks, "data/cambridge/DEMOGRAPHICS_Blocks2020.geojson");
  const Object found = told({"hotspots", blocks.string(), "--events", "ALAND20", "--neighbours", "rook", "--permutations", "199"});
  EXPECT_EQ(found["islands"], 0);
  EXPECT_EQ(found["rows"].size(), found["tested"].get<std::size_t>());
}

TEST_F(Hotspots, ThreadsChangeNothingAndTheSeedDoes) {
  Words finds, doors;
  for (int i = 0; i < 400; ++i) finds.push_back(std::to_string((i * 37) % 11)), doors.push_back(std::to_string(10 + i % 7));
  const std::string areas = squares("areas.gpkg", 20, finds, doors);
  const Words call = {"hotspots", areas, "--events", "finds", "--exposure", "doors", "--quiet"};
  const auto with = [&](const Words& more) {
    Words words = call;
    words.insert(words.end(), more.begin(), more.end());
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 0);
    return ran.out;
  };
  EXPECT_TRUE(with({"--threads", "1"}) == with({"--threads", "3"}));
  EXPECT_FALSE(with({}) == with({"--seed", "2"}));
  EXPECT_FALSE(with({}) == with({"--neighbours", "within:250"}));
  const Table found = csvOfText(with({"--neighbours", "nearest:4"}));
  EXPECT_EQ(found.names(), (Words{"finds", "doors", "gstar_z", "gstar_p", "gstar_q", "moran_i", "moran_p", "moran_q"}));
}

/// Eight fields of a tenth of a degree, four on each side of the 180th meridian, as RFC 7946 wants them: the same neighbours as anywhere else.
TEST_F(Hotspots, BothSidesOfTheDateLineAreNeighbours) {
  const auto fields = [&](const std::string& name, double shift) {
    std::string text;
    for (int i = 0; i < 8; ++i) {
      const double west = shift + 0.1 * (i % 4 - 2), south = -17 + 0.1 * (i / 4);
      const auto lon = [](double x) { return x > 180 ? x - 360 : x; };
      const double left = west >= 180 ? west - 360 : west, right = left < 0 ? lon(west + 0.1 + 1e-9) : west + 0.1;
      text += fmt::format("{}{{\"type\":\"Feature\",\"properties\":{{\"finds\":{}}},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[[{:.3f},{:.3f}],[{:.3f},{:.3f}],[{:.3f},{:.3f}],[{:.3f},{:.3f}],[{:.3f},{:.3f}]]]}}}}",
                          text.empty() ? "" : ",", (i * 5) % 7, left, south, right, south, right, south + 0.1, left, south + 0.1, left, south);
    }
    return put(file(name), "{\"type\":\"FeatureCollection\",\"features\":[" + text + "]}");
  };
  const std::string there = fields("there.geojson", 180), here = fields("here.geojson", 20);
  for (const char* kind : {"queen", "rook", "nearest:2", "within:12000"}) {
    const Words more = {"--events", "finds", "--neighbours", kind, "--permutations", "99", "--quiet"};
    Words at_line = {"hotspots", there}, elsewhere = {"hotspots", here};
    at_line.insert(at_line.end(), more.begin(), more.end()), elsewhere.insert(elsewhere.end(), more.begin(), more.end());
    EXPECT_EQ(leeward(at_line).out, leeward(elsewhere).out) << kind;
  }
}

TEST_F(Hotspots, ACornerOfHighRatesIsFoundAndSaid) {
  Words finds, doors;
  for (int i = 0; i < 100; ++i) finds.push_back(i % 10 < 3 && i / 10 < 3 ? "8" : std::to_string(i % 3)), doors.emplace_back("20");
  const Ran ran = leeward({"hotspots", squares("areas.gpkg", 10, finds, doors), "--events", "finds", "--exposure", "doors", "--permutations", "9999", "-o", file("out.gpkg")});
  EXPECT_EQ(ran.status, 0) << ran.err;
  for (const char* one : {"more alike than chance", "stand out as high among high", "not why"}) EXPECT_NE(ran.err.find(one), std::string::npos) << ran.err;
  Progress quiet;
  const auto back = readLayer({.source = file("out.gpkg"), .x_column = "", .y_column = "", .crs = ""}, quiet);
  ASSERT_OK(back);
  EXPECT_LE(number(back->table, "gstar_q", 0), 0.05);
  EXPECT_GT(number(back->table, "gstar_q", 99), 0.05);
  const Table stricter = csvOfText(leeward({"hotspots", file("areas.gpkg"), "--events", "finds", "--exposure", "doors", "--permutations", "9999", "--adjust", "by", "--quiet"}).out);
  EXPECT_GT(number(stricter, "gstar_q", 0), number(back->table, "gstar_q", 0));
}

TEST_F(Hotspots, WhatCantBeSaidStaysBlankWithItsReason) {
  const Words doors(9, "10");
  struct Degenerate {
    const char* what;
    Words finds, doors;
    const char* why;
  };
  const std::vector<Degenerate> all = {{"one area", {"3"}, {"10"}, "fewer than four areas"},
                                       {"all equal", Words(9, "2"), doors, "all equal"},
                                       {"no event", Words(9, "0"), doors, "no area has an event"},
                                       {"no exposure", Words(9, "2"), Words(9, "0"), "fewer than four areas"},
                                       {"all blank", Words(9, ""), doors, "fewer than four areas"}};
  for (const auto& [what, finds, exposure, why] : all) {
    SCOPED_TRACE(what);
    for (const char* statistic : {"gistar", "gi", "eb-moran"}) {
      const std::string areas = squares("areas.gpkg", 3, finds, exposure);
      const Object found = told({"hotspots", areas, "--events", "finds", "--exposure", "doors", "--statistic", statistic});
      EXPECT_TRUE(found["moran"]["i"].is_null());
      EXPECT_TRUE(found["rows"][0]["moran_p"].is_null());
      EXPECT_EQ(found["tested"], 0);
      const std::string said = found["moran"]["undefined"];
      // Rates without any event have no spread at all, so none of them can be put on one footing.
      const bool is_put_on_one_footing = std::string(statistic) == "eb-moran";
      EXPECT_TRUE(is_put_on_one_footing || said.find(why) != std::string::npos) << said;
    }
  }
  // A blank and a door without exposure leave their areas out, and nobody else.
  const std::string areas = squares("some.gpkg", 3, {"1", "5", "", "2", "7", "3", "9", "4", "6"}, {"10", "10", "10", "0", "10", "10", "10", "10", "10"});
  const Ran ran = leeward({"hotspots", areas, "--events", "finds", "--exposure", "doors", "--json"});
  const Object found = Object::parse(ran.out, nullptr, false);
  EXPECT_EQ(found["refused"], 1);
  EXPECT_EQ(found["tested"], 6) << "the middle one neighbours all others, so its sum can't vary";
  EXPECT_TRUE(found["rows"][2]["gstar_z"].is_null() && found["rows"][3]["gstar_z"].is_null());
  EXPECT_NE(ran.err.find("1 of 9 areas have no exposure"), std::string::npos) << ran.err;
  EXPECT_EQ(leeward({"hotspots", areas, "--events", "finds", "--exposure", "doors", "--strict", "--quiet"}).status, 3);
}

TEST_F(Hotspots, IslandsAreNamed) {
  put(file("edges.csv"), "from,to,weight\na,b,1\nb,a,1\nb,c,2\nc,b,2\nc,d,1\nd,c,1\nd,e,0.5\n");
  put(file("areas.csv"), "who,finds\na,1\nb,5\nc,4\nd,9\ne,2\nlonely,7\n");
  const Words call = {"hotspots", file("areas.csv"), "--events", "finds", "--neighbours", "edges:" + file("edges.csv"), "--id", "who", "--json"};
  const Ran ran = leeward(call);
  const Object found = Object::parse(ran.out, nullptr, false);
  EXPECT_EQ(found["islands"], 2);
  EXPECT_TRUE(found["rows"][5]["gstar_z"].is_null());
  for (const char* one : {"2 of 6 areas have no neighbour (who e, lonely)", "1 of 7 pairs", "one way only"}) EXPECT_NE(ran.err.find(one), std::string::npos) << ran.err;
}

TEST_F(Hotspots, WrongCallsEndBeforeAnyWork) {
  const std::string areas = squares("areas.gpkg", 2, {"1", "2", "3", "4"}, {"5", "5", "5", "-5"});
  const Words call = {"hotspots", areas, "--events", "finds"};
  const auto with = [&](const Words& more) {
    Words words = call;
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  for (const char* kind : {"knight", "nearest:0", "nearest:1.5", "nearest:", "within:-3", "within:nan", "edges:", "edges"}) expectProblem(with({"--neighbours", kind}), 2, {"--neighbours", kind});
  expectProblem(with({"--statistic", "eb-moran"}), 2, {"--exposure"});
  expectProblem(with({"--permutations", "-1"}), 2, {"--permutations"});
  expectProblem(with({"--exposure", "doors"}), 3, {"-5 is below 0", "row 4"});
  expectProblem(with({"--exposure", "windows"}), 3, {"no column \"windows\""});
  put(file("edges.csv"), "from,to\n1,2\n2,9\n");
  expectProblem(with({"--neighbours", "edges:" + file("edges.csv")}), 3, {"no area is called \"9\"", "line 3"});
  put(file("weights.csv"), "from,to,weight\n1,2,1\n2,1,0\n");
  expectProblem(with({"--neighbours", "edges:" + file("weights.csv")}), 3, {"\"0\" is no weight", "line 3"});
  put(file("twice.csv"), "from,to,weight\n1,2,1\n1,2,3\n");
  expectProblem(with({"--neighbours", "edges:" + file("twice.csv")}), 3, {"stands twice", "twice.csv"});
  put(file("table.csv"), "who,finds\na,1\na,2\n");
  put(file("pairs.csv"), "from,to\na,a\n");
  expectProblem({"hotspots", file("table.csv"), "--events", "finds"}, 3, {"no areas", "edges:FILE"});
  expectProblem({"hotspots", file("table.csv"), "--events", "finds", "--neighbours", "nearest:2"}, 3, {"no place", "--x"});
  expectProblem({"hotspots", file("table.csv"), "--events", "finds", "--neighbours", "edges:" + file("pairs.csv"), "--id", "who"}, 3, {"two rows are called \"a\"", "line 3"});
  expectProblem({"smooth", areas, "--events", "finds", "--exposure", "finds", "--local", "--neighbours", "bishop"}, 2, {"bishop"});
}

}  // namespace
}  // namespace leeward::test
