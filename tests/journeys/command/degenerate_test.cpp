// Files of which there is little or nothing to say, through the command: each verb gives a defined answer, or a problem that says what and where.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/base/text.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using nlohmann::json;

struct Square {
  double lon = -30, lat = 40;
  json events = 1, doors = 10;
  double width = 0.01;
};

std::string areas(const std::vector<Square>& squares) {
  json features = json::array();
  for (std::size_t i = 0; i < squares.size(); ++i) {
    const Square& one = squares[i];
    const double right = one.lon + one.width, top = one.lat + one.width;
    features.push_back({{"type", "Feature"}, {"properties", {{"id", std::to_string(i)}, {"events", one.events}, {"doors", one.doors}, {"other", i % 3}}},
                        {"geometry", {{"type", "Polygon"}, {"coordinates", {{{one.lon, one.lat}, {right, one.lat}, {right, top}, {one.lon, top}, {one.lon, one.lat}}}}}}});
  }
  return json{{"type", "FeatureCollection"}, {"features", features}}.dump();
}

/// Four by four squares that touch.
std::vector<Square> grid(const json& events = 1, const json& doors = 10) {
  std::vector<Square> squares;
  for (int i = 0; i < 16; ++i) squares.push_back({-30 + 0.01 * (i / 4), 40 + 0.01 * (i % 4), events, doors});
  return squares;
}

struct Asked {
  const char* file;
  std::string call;
  int status;
  const char* said;  ///< somewhere in what is said, or in the output
};

class Degenerate : public testing::Test {
 protected:
  Degenerate() {
    write("empty.csv", "id,lon,lat,date\n");
    write("one.csv", "id,lon,lat,date\n1,-30,40,2025-01-01\n");
    std::string same = "id,lon,lat,date\n", lost = same;
    for (int i = 0; i < 30; ++i) same += std::to_string(i) + ",-30,40,2025-01-01\n";
    for (int i = 0; i < 5; ++i) lost += std::to_string(i) + ",-30,40,2025-01-01\n";
    write("same.csv", same);
    write("lost.csv", lost + "5,NaN,40,2025-01-02\n6,,,2025-01-03\n7,inf,40,2025-01-03\n");
    write("none.geojson", areas({}));
    write("one.geojson", areas({{-30, 40, 3, 10}}));
    write("constant.geojson", areas(grid()));
    write("no_events.geojson", areas(grid(0)));
    write("no_exposure.geojson", areas(grid(1, 0)));
    auto squares = grid();
    for (std::size_t i = 0; i < squares.size(); ++i) squares[i].events = i % 5;
    squares[3].width = 0;
    write("zero_size.geojson", areas(squares));
    squares[3].width = 0.01, squares[2].events = nullptr;
    write("missing.geojson", areas(squares));
    squares[2].events = "NaN";
    write("nan.geojson", areas(squares));
    std::vector<Square> islands, date_line;
    for (int i = 0; i < 6; ++i) {
      islands.push_back({-30 + 0.1 * i, 40, i});
      const double lon = 179.97 + 0.01 * i;
      date_line.push_back({lon < 179.995 ? lon : lon - 360, 10, i});
    }
    write("islands.geojson", areas(islands));
    write("date_line.geojson", areas(date_line));
  }

  void write(const char* name, const std::string& text) { EXPECT_OK(writeFile(folder_.path() / name, text)); }
  Ran call(const Asked& asked) const {
    std::vector<std::string> words;
    for (const auto word : split(asked.call, ' ')) words.emplace_back(word == "FILE" ? (folder_.path() / asked.file).string() : word == "GRID" ? (folder_.path() / "constant.geojson").string() : word == "OUT.tif" ? (folder_.path() / "out.tif").string() : std::string(word));
    return leeward(words);
  }
  void expectAll(const std::vector<Asked>& all) const {
    for (const auto& asked : all) {
      const Ran ran = call(asked);
      EXPECT_EQ(ran.status, asked.status) << asked.file << ": " << asked.call << "\n" << ran.err;
      EXPECT_NE((ran.err + ran.out).find(asked.said), std::string::npos) << asked.file << ": " << asked.call << "\n" << ran.err << ran.out;
      EXPECT_EQ((ran.err + ran.out).find(",nan"), std::string::npos) << asked.file << ": " << asked.call << "\n" << ran.out;
    }
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(Degenerate, Points) {
  const std::string place = " --x lon --y lat --crs EPSG:4326";
  std::vector<Asked> all;
  for (const std::string verb : {"cluster FILE --within 100 --at-least 3", "cluster FILE --method hierarchy --at-least 3", "cluster FILE --within 100 --at-least 3 --days 10 --when date"}) {
    all.push_back({"empty.csv", verb + place, 3, "there are headings, but no rows"});
    all.push_back({"one.csv", verb + place, 0, "0 of 1 points lie in 0 clusters"});
    all.push_back({"same.csv", verb + place, 0, "30 of 30 points lie in 1 cluster"});
    all.push_back({"lost.csv", verb + place, 0, "5 of 8 points lie in 1 cluster"});
    all.push_back({"lost.csv", verb + place, 0, "row 7: no place that can be used"});
    all.push_back({"same.csv", verb, 3, "--x COLUMN --y COLUMN"});
  }
  const std::string density = "density FILE --bandwidth 100 --cell 50 -o OUT.tif" + place, locate = "locate FILE GRID --id id" + place;
  // By hand: a gaussian of 100 m has 1 / (2 pi 100^2) a square metre on top, 0.159 points a hectare; a cell's middle lies up to 35 m aside: at least 0.149.
  all.insert(all.end(), {{"empty.csv", density, 3, "no rows"}, {"one.csv", density, 0, "1 point spread by 100 m; the densest spot, 0.15"}, {"same.csv", density, 0, "30 points spread by 100 m; the densest spot, 4."},
                         {"lost.csv", density, 0, "3 rows have no place and took no part"}, {"empty.csv", locate, 3, "no rows"}, {"one.csv", locate, 0, "1 point in an area, 0 outside all"},
                         {"lost.csv", locate, 0, "5 points in an area"}});
  expectAll(all);
}

TEST_F(Degenerate, Patterns) {
  const std::string values = "hotspots FILE --events events", rates = values + " --exposure doors --statistic eb-moran";
  expectAll({{"none.geojson", values, 3, "the file holds no rows"}, {"one.geojson", values, 0, "fewer than four areas have a value and a neighbour"}, {"one.geojson", values, 0, "1 of 1 areas has no neighbour"},
             {"constant.geojson", values, 0, "the values are all equal"}, {"constant.geojson", rates, 0, "the values are all equal"}, {"no_events.geojson", rates, 0, "no area has an event"},
             {"no_exposure.geojson", rates, 0, "16 of 16 areas have no exposure"}, {"islands.geojson", values, 0, "6 of 6 areas have no neighbour"}, {"islands.geojson", values, 0, "No area could be tested"},
             {"zero_size.geojson", values, 0, "1 of 16 areas has no neighbour (row 4)"}, {"missing.geojson", values, 0, "no number"}, {"nan.geojson", values, 3, "row 3, column events"},
             // Six squares in a row across the 180th meridian: each has its neighbours. By hand, weights by share: I = 5/7.
             {"date_line.geojson", values, 0, "Moran's I 0.714, expected -0.200"}});
}

TEST_F(Degenerate, Scans) {
  const std::string scan = "scan FILE --events events --exposure doors --replicates 99";
  expectAll({{"none.geojson", scan, 3, "the file holds no rows"}, {"one.geojson", scan, 0, "No window has more than its share of the 3 events"}, {"constant.geojson", scan, 0, "No window has more than its share"},
             {"no_events.geojson", scan, 0, "There are no events, so there is nothing to find"}, {"no_exposure.geojson", scan, 3, "no row can take part"}, {"nan.geojson", scan, 3, "row 3, column events"},
             {"zero_size.geojson", scan, 0, "Most likely cluster"}, {"islands.geojson", scan, 0, "12 events where 7.5 were expected"}, {"date_line.geojson", scan, 0, "12 events where 7.5 were expected"}});
}

TEST_F(Degenerate, RatesRegressionAndClasses) {
  const std::string smooth = "smooth FILE --events events --exposure doors", regress = "regress FILE --events events --exposure doors --on other", classes = "classes FILE --value events --count 3";
  expectAll({{"none.geojson", smooth, 3, "the file holds no rows"}, {"one.geojson", smooth, 0, "0.3"}, {"constant.geojson", smooth, 0, "0.1"}, {"no_events.geojson", smooth, 0, "0,10"},
             {"no_exposure.geojson", smooth, 3, "no row has any exposure"}, {"nan.geojson", smooth, 3, "row 3, column events"},
             {"one.geojson", regress, 3, "too few"}, {"no_events.geojson", regress, 3, "there is no event in any row"}, {"constant.geojson", "regress FILE --events events --on doors", 3, "has one value in all rows"},
             {"no_exposure.geojson", regress, 3, "no_exposure.geojson"}, {"none.geojson", regress, 3, "the file holds no rows"},
             {"constant.geojson", classes, 0, "1"}, {"one.geojson", classes, 0, "3"}, {"none.geojson", classes, 3, "the file holds no rows"}, {"nan.geojson", classes, 0, "row 3, column events, \"NaN\": not a number"}});
}

}  // namespace
}  // namespace leeward::test
