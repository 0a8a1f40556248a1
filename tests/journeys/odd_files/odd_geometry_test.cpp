// Shapes as they come: repaired and said, put where the study shows that they belong, or refused.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/journeys/odd_files/odd_files.h"

namespace leeward::test {
namespace {

std::string ring(const std::string& points) { return R"({"type":"Polygon","coordinates":[[)" + points + "]]}"; }

OddFile areas(const char* what, std::vector<std::string> features, std::size_t kept, std::vector<const char*> said, std::vector<RefusedLine> refused = {}) {
  return {.what = what, .kind = "areas", .name = "a.geojson", .made = bytes(collection(features)), .said = std::move(said), .kept = kept, .refused = std::move(refused)};
}

OddFile doors(const char* what, std::string text, int status, std::vector<const char*> said, std::size_t kept = 0, std::vector<RefusedLine> refused = {}) {
  return {.what = what, .kind = "premises", .name = "p.csv", .made = bytes(std::move(text)), .status = status, .said = std::move(said), .kept = kept, .refused = std::move(refused)};
}

TEST(OddFilesTest, BrokenShapes) {
  const std::string good = feature("good", square(-84.58, 39.39, 0.01));
  expectAll({
      areas("an outline that crosses itself", {good, feature("bow", ring("[-84.61,39.39],[-84.60,39.40],[-84.60,39.39],[-84.61,39.40],[-84.61,39.39]"))}, 2, {"the outline crosses itself (line 3)"}),
      areas("an open ring", {good, feature("open", ring("[-84.61,39.39],[-84.60,39.39],[-84.60,39.40],[-84.61,39.40]"))}, 2, {"not closed; it was closed (line 3)"}),
      areas("the wrong way round", {good, feature("turned", ring("[-84.61,39.39],[-84.61,39.40],[-84.60,39.40],[-84.60,39.39],[-84.61,39.39]"))}, 2, {"ran the wrong way round"}),
      areas("a corner twice", {good, feature("twice", ring("[-84.61,39.39],[-84.60,39.39],[-84.60,39.39],[-84.60,39.40],[-84.61,39.40],[-84.61,39.39]"))}, 2, {"a corner stands twice (line 3)"}),
      areas("a spike", {good, feature("spike", ring("[-84.61,39.39],[-84.60,39.39],[-84.60,39.395],[-84.595,39.395],[-84.60,39.395],[-84.60,39.40],[-84.61,39.40],[-84.61,39.39]"))}, 2, {"a spike"}),
      areas("slivers", {good, feature("a", square(-84.61, 39.39, 0.01)), feature("b", square(-84.61, 39.40, 0.01)),
                        feature("thin", ring("[-84.60,39.39],[-84.59999,39.39],[-84.59999,39.40],[-84.60,39.40],[-84.60,39.39]"))}, 4, {"1 area is a sliver", "line 5"}),
      areas("heights", {feature("high", ring("[-84.61,39.39,200],[-84.60,39.39,200],[-84.60,39.40,200],[-84.61,39.40,200],[-84.61,39.39,200]"))}, 1, {"heights or measures"}),
      areas("nothing, a line there and back, a point", {good, feature("empty", R"({"type":"Polygon","coordinates":[]})"), feature("line", ring("[-84.61,39.39],[-84.60,39.39],[-84.61,39.39]")),
                                                        feature("point", R"({"type":"Point","coordinates":[-84.6,39.39]})")}, 1, {},
            {{3, "", "no area"}, {4, "", "nothing is left"}, {5, "", "no area"}}),
      areas("one area over another", {feature("a", square(-84.61, 39.39, 0.01)), feature("b", square(-84.605, 39.39, 0.01))}, 2, {"1 pair of areas overlap (lines 2 and 3"}),
      areas("one id twice, joined", {feature("a", square(-84.61, 39.39, 0.01)), feature("a", square(-84.59, 39.39, 0.01))}, 2, {"repeat an id and were joined"}),
      {.what = "coordinates that are no numbers", .kind = "areas", .name = "a.geojson", .made = bytes(collection({good, feature("text", ring(R"(["x",39.39],[-84.60,39.39],[-84.60,39.40],["x",39.39])"))})), .status = 3,
       .said = {"Invalid 'x' coordinate"}},
      areas("coordinates beyond all numbers", {good, feature("huge", ring("[1e999,39.39],[-84.60,39.39],[-84.60,39.40],[1e999,39.39]"))}, 1, {}, {{3, "", "nothing is left"}}),
      {.what = "nan among the corners", .kind = "areas", .name = "a.gpkg",
       .made = layers("GPKG", {{"areas", 4326, {{"good", squareWkt(-84.58, 39.39, 0.01)}, {"nan", "POLYGON ((nan 39.39,-84.60 39.39,-84.60 39.40,nan 39.39))"}}}}), .kept = 1, .refused = {{3, "", "no area"}}},
  });
}

TEST(OddFilesTest, ShapesInTheWrongPlace) {
  const auto metres = [](int said, double x, double y) {
    return layers("GPKG", {{"areas", said, {{"A1", squareWkt(x, y, 800)}, {"A2", squareWkt(x + 800, y, 800)}}}});
  };
  expectAll({
      areas("latitude first", {feature("a", ring("[39.39,-84.61],[39.40,-84.61],[39.40,-84.60],[39.39,-84.60],[39.39,-84.61]"))}, 1, {"latitude first"}),
      {.what = "across the 180th meridian, elsewhere", .kind = "areas", .name = "a.geojson", .made = bytes(collection({feature("a", ring("[179.9,-17],[-179.9,-17],[-179.9,-16.9],[179.9,-16.9],[179.9,-17]"))})), .status = 3,
       .said = {"km from the study"}},
      // -84.61, 39.39: EPSG:32616 (705825, 4362782) and EPSG:3857 (-9418742, 4777690): PROJ 9.1.1, rounded.
      {.what = "zone metres that nobody names", .kind = "areas", .name = "a.gpkg", .made = metres(0, 705825, 4362782), .status = 3, .said = {"more than one system", "--crs EPSG:26916"}},
      {.what = "the same, said", .kind = "areas", .name = "a.gpkg", .made = metres(0, 705825, 4362782), .more = {"--crs", "EPSG:26916"}, .kept = 2},
      {.what = "zone metres under a wrong name", .kind = "areas", .name = "a.gpkg", .made = metres(32617, 705825, 4362782), .status = 3, .said = {"as the file says", "--crs EPSG:26916"}},
      {.what = "degrees that a file calls metres", .kind = "areas", .name = "a.gpkg", .made = layers("GPKG", {{"areas", 3857, {{"A1", squareWkt(-84.61, 39.39, 0.01)}}}}), .said = {"as the file says", "WGS 84"},
       .kept = 1},
      {.what = "Web Mercator that a file calls degrees", .kind = "areas", .name = "a.geojson", .made = bytes(collection({feature("a", square(-9418742, 4777690, 900))})), .said = {"can't be in WGS 84", "Mercator"}, .kept = 1},
      {.what = "metres of no system near the study", .kind = "areas", .name = "a.gpkg", .made = metres(0, 12, 40), .status = 3, .said = {"does not say in which reference system", "--crs EPSG:"}},
      {.what = "an unknown system on the call", .kind = "areas", .name = "a.gpkg", .made = metres(0, 705825, 4362782), .more = {"--crs", "EPSG:999999"}, .status = 2, .said = {"EPSG:999999"}, .where = "take-in"},
      {.what = "a system on the call that can't be", .kind = "areas", .name = "a.gpkg", .made = metres(0, 705825, 4362782), .more = {"--crs", "EPSG:4326"}, .status = 3, .said = {"can't be in WGS 84"}},
  });
}

TEST(OddFilesTest, PointsInTables) {
  expectAll({
      doors("longitude and latitude exchanged", "number,street,lon,lat\n1,Elm St,39.395,-84.605\n3,Elm St,39.396,-84.606\n", 0, {"latitude first"}, 2),
      doors("0, 0 and blank and words and nan", "number,street,lon,lat\n1,Elm St,0,0\n3,Elm St,,39.395\n5,Elm St,west,39.395\n7,Elm St,nan,39.395\n9,Elm St,-84.605,39.395\n11,Elm St,inf,39.395\n", 0, {}, 1,
            {{2, "lon", "0, 0"}, {3, "lon", "blank"}, {4, "lon", ""}, {5, "lon", ""}, {7, "lon", ""}}),
      // EPSG:3735 (Ohio South, US survey feet) of -84.605, 39.395: PROJ 9.1.1.
      doors("survey feet that nobody names", "number,street,x,y\n1,Elm St,1373677.28,515014.70\n", 0, {"ftUS"}, 1),
      doors("no columns of places", "number,street\n1,Elm St\n3,Elm St\n", 3, {"longitude and latitude", "--map lon="}),
      doors("no position at all", "number,street,lon,lat\n1,Elm St,,\n3,Elm St,,\n", 3, {"position"}),
      doors("another town's doors", "number,street,lon,lat\n1,Elm St,-71.1,42.3\n3,Elm St,-71.1,42.3\n", 3, {"km from the study", "--anyway"}),
  });
}

}  // namespace
}  // namespace leeward::test
