// Layers as map makers, phones and counties give them: packed, with parts missing, of several layers, broken, of another kind.
#include <gtest/gtest.h>

#include "shared/base/files.h"
#include "tests/journeys/odd_files/odd_files.h"
#include "tests/support/command.h"
#include "tests/support/zip.h"

namespace leeward::test {
namespace {

const MadeLayer kAreas{"blocks", 4326, {{"B1", squareWkt(-84.61, 39.39, 0.01)}, {"B2", squareWkt(-84.60, 39.39, 0.01)}}};
const MadeLayer kDoors{"doors", 4326, {{"D1", "POINT (-84.605 39.395)"}, {"D2", "POINT (-84.606 39.396)"}}};
const MadeLayer kWards{"wards", 4326, {{"W1", squareWkt(-84.61, 39.39, 0.02)}}};

std::string gpx(const std::string& inside) {
  return R"(<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">)" + inside + "</gpx>";
}
std::string kml(const std::string& inside) {
  return R"(<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>)" + inside + "</Document></kml>";
}
const std::string kMarks = R"(<wpt lat="39.395" lon="-84.605"><time>2025-03-04T19:05:00Z</time><name>Brown dog</name></wpt><wpt lat="39.396" lon="-84.606"><name>no time</name></wpt>)";
const std::string kWay = R"(<trk><trkseg><trkpt lat="39.395" lon="-84.605"><time>2025-03-04T18:00:00Z</time></trkpt></trkseg></trk>)";
const std::string kPlacemark = "<Placemark><name>Rex</name><TimeStamp><when>2025-03-04</when></TimeStamp><Point><coordinates>-84.605,39.395,200</coordinates></Point></Placemark>";

TEST(OddFilesTest, Shapefiles) {
  expectAll({
      {.what = "packed, whole", .kind = "blocks", .name = "b.zip", .made = packed("deep/er/blocks.shp", shapefile(kAreas)), .kept = 2},
      {.what = "packed, two of them", .kind = "blocks", .name = "b.zip", .made = [](const auto& path) {
         Zip zip;
         const TemporaryFolder folder;
         for (const char* name : {"old", "new"}) shapefile(kAreas)(folder.path() / (std::string(name) + ".shp"));
         for (const auto& file : std::filesystem::directory_iterator(folder.path())) zip.add(file.path().filename().string(), *readFile(file.path()));
         put(path, zip.bytes());
       }, .status = 3, .said = {"several layers", "\"old\"", "\"new\""}},
      {.what = "without .dbf", .kind = "areas", .name = "b.shp", .made = shapefile(kAreas, {"dbf"}), .said = {"no .dbf", "row's number"}, .kept = 2},
      {.what = "blocks without .dbf have no ids", .kind = "blocks", .name = "b.zip", .made = packed("blocks.shp", shapefile(kAreas, {"dbf"})), .status = 3, .said = {"id"}},
      {.what = "without .shx", .kind = "blocks", .name = "b.shp", .made = shapefile(kAreas, {"shx"}), .said = {".shx is missing"}, .kept = 2},
      {.what = "packed without .shx", .kind = "blocks", .name = "b.zip", .made = packed("blocks.shp", shapefile(kAreas, {"shx"})), .said = {".shx is missing"}, .kept = 2},
      {.what = "without .prj, in degrees where the study lies", .kind = "blocks", .name = "b.zip", .made = packed("blocks.shp", shapefile(kAreas, {"prj"})),
       .said = {"does not say in which reference system", "WGS 84"}, .kept = 2},
      {.what = "cut off", .kind = "blocks", .name = "b.shp", .made = cutOff(0.7, shapefile(kAreas)), .status = 3, .said = {"damaged"}},
      {.what = "its index instead of it", .kind = "blocks", .name = "b.shx", .made = [](const auto& path) { shapefile(kAreas)(std::filesystem::path(path).replace_extension("shp")); }, .status = 3,
       .said = {"part of a shapefile", ".shp"}},
      {.what = "its table instead of it", .kind = "blocks", .name = "b.dbf", .made = [](const auto& path) { shapefile(kAreas)(std::filesystem::path(path).replace_extension("shp")); }, .status = 3,
       .said = {"part of a shapefile", ".shp"}},
      {.what = "a ZIP with paths that lead out", .kind = "blocks", .name = "b.zip", .made = bytes(Zip().add("../../b.shp", "x").bytes()), .status = 3, .said = {"leads out"}},
      {.what = "a ZIP in a ZIP", .kind = "blocks", .name = "b.zip", .made = bytes(Zip().add("inner.zip", Zip().add("b.shp", "x").bytes()).bytes()), .status = 3, .said = {"inner.zip", "Unpack"}},
      {.what = "a ZIP without its end", .kind = "blocks", .name = "b.zip", .made = cutOff(0.5, packed("blocks.shp", shapefile(kAreas))), .status = 3, .said = {"cut off or damaged"}},
  });
}

TEST(OddFilesTest, PhonesAndGlobes) {
  expectAll({
      {.what = "marks of a phone", .kind = "sightings", .name = "p.gpx", .made = bytes(gpx(kMarks + kWay)), .said = {"UTC", "\"waypoints\" was taken"}, .kept = 1, .refused = {{3, "time", "no date"}}},
      {.what = "marks by the team's clock", .kind = "sightings", .name = "p.gpx", .made = bytes(gpx(kMarks)), .more = {"--map", "time_zone=EST5EDT"}, .said = {"converted"}, .kept = 1,
       .refused = {{3, "time", "no date"}}},
      {.what = "a way as tracks", .kind = "tracks", .name = "p.gpx", .made = bytes(gpx(kWay)), .status = 3, .said = {"not kept in the ledger yet", "sightings"}},
      {.what = "nothing in it", .kind = "sightings", .name = "p.gpx", .made = bytes(gpx("")), .status = 3, .said = {"no layer with rows"}},
      {.what = "cut off", .kind = "sightings", .name = "p.gpx", .made = cutOff(0.8, bytes(gpx(kMarks))), .status = 3, .said = {"can't be read as GPX"}},
      {.what = "a web page instead", .kind = "sightings", .name = "p.gpx", .made = bytes("<!DOCTYPE html><html></html>"), .status = 3, .said = {"web page", "download"}},
      {.what = "placemarks", .kind = "sightings", .name = "p.kml", .made = bytes(kml(kPlacemark)), .kept = 1},
      {.what = "placemarks, packed", .kind = "sightings", .name = "p.kmz", .made = bytes(Zip().add("doc.kml", kml(kPlacemark)).bytes()), .kept = 1},
      {.what = "a link to another place", .kind = "sightings", .name = "p.kml", .made = bytes(kml("<NetworkLink><name>live</name><Link><href>http://example.org/a.kml</href></Link></NetworkLink>")), .status = 3,
       .said = {"link"}},
      {.what = "entities that grow", .kind = "sightings", .name = "p.kml", .made = bytes("<?xml version=\"1.0\"?><!DOCTYPE a [<!ENTITY a \"aaaa\">]><kml>&a;</kml>"), .status = 3, .said = {"document type"}},
      {.what = "another kind of XML", .kind = "sightings", .name = "p.xml", .made = bytes("<?xml version=\"1.0\"?><osm><node id=\"1\"/></osm>"), .status = 3, .said = {"<osm>"}},
  });
}

TEST(OddFilesTest, Databases) {
  expectAll({
      {.what = "several layers, one of areas", .kind = "blocks", .name = "t.gpkg", .made = layers("GPKG", {kDoors, kAreas}), .said = {"\"blocks\" was taken"}, .kept = 2},
      {.what = "several layers of areas", .kind = "blocks", .name = "t.gpkg", .made = layers("GPKG", {kDoors, kAreas, kWards}), .status = 3, .said = {"several layers", "\"blocks\"", "\"wards\""}},
      {.what = "one of them by its name", .kind = "jurisdictions", .name = "t.gpkg#wards", .made = layers("GPKG", {kDoors, kAreas, kWards}), .kept = 1},
      {.what = "a layer that is not there", .kind = "blocks", .name = "t.gpkg#parks", .made = layers("GPKG", {kAreas}), .status = 3, .said = {"no layer \"parks\"", "\"blocks\""}},
      {.what = "a GeoPackage cut off", .kind = "blocks", .name = "t.gpkg", .made = cutOff(0.5, layers("GPKG", {kAreas})), .status = 3, .said = {"damaged"}},
      {.what = "a database that is no GeoPackage", .kind = "blocks", .name = "t.gpkg", .made = bytes("SQLite format 3" + std::string(200, '\0')), .status = 3, .said = {"can't be read as GeoPackage"}},
      {.what = "a file geodatabase", .kind = "blocks", .name = "t.gdb", .made = layers("OpenFileGDB", {kDoors, kAreas}), .said = {"\"blocks\" was taken"}, .kept = 2},
      {.what = "a file geodatabase, packed", .kind = "jurisdictions", .name = "t.gdb.zip#wards", .made = packed("t.gdb", layers("OpenFileGDB", {kAreas, kWards})), .kept = 1},
      {.what = "an empty geodatabase folder", .kind = "blocks", .name = "t.gdb", .made = [](const auto& path) { std::filesystem::create_directory(path); }, .status = 3, .said = {"can't be read as file geodatabase"}},
      {.what = "FlatGeobuf", .kind = "blocks", .name = "t.fgb", .made = layers("FlatGeobuf", {kAreas}), .kept = 2},
      {.what = "FlatGeobuf cut off", .kind = "blocks", .name = "t.fgb", .made = cutOff(0.8, layers("FlatGeobuf", {kAreas})), .status = 3, .said = {"FlatGeobuf"}},
  });
}

TEST(OddFilesTest, Json) {
  const std::string good = feature("B1", square(-84.61, 39.39, 0.01));
  expectAll({
      {.what = "a row without a shape", .kind = "areas", .name = "a.geojson", .made = bytes(collection({good, feature("B2", "null")})), .kept = 1, .refused = {{3, "", "no area"}}},
      {.what = "no row with a shape", .kind = "areas", .name = "a.geojson", .made = bytes(collection({feature("B1", "null"), feature("B2", "null")})), .status = 3, .said = {"None of the 2 rows", "no area"}},
      {.what = "a single feature", .kind = "boundary", .name = "a.geojson", .made = bytes(good), .kept = 1},
      {.what = "a bare shape", .kind = "boundary", .name = "a.geojson", .made = bytes(square(-84.61, 39.39, 0.01)), .kept = 1},
      {.what = "a feature a line", .kind = "areas", .name = "a.geojsonl", .made = bytes(good + "\n" + feature("B2", square(-84.60, 39.39, 0.01)) + "\n"), .kept = 2},
      {.what = "cut off", .kind = "areas", .name = "a.geojson", .made = cutOff(0.8, bytes(collection({good, good}))), .status = 3, .said = {"GeoJSON"}},
      {.what = "no features", .kind = "areas", .name = "a.geojson", .made = bytes(collection({})), .status = 3, .said = {"no rows"}},
      {.what = "JSON that is no map", .kind = "areas", .name = "a.json", .made = bytes(R"({"visits": [{"date": "2025-03-04"}]})"), .status = 3, .said = {"GeoJSON"}},
      {.what = "the answer of a server that failed", .kind = "areas", .name = "a.geojson", .made = bytes(R"({"error":{"code":400,"message":"Invalid query"}})"), .status = 3, .said = {"GeoJSON"}},
      {.what = "address points as blocks", .kind = "blocks", .name = "a.geojson",
       .made = bytes(R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"number":"101","street":"Elm St"},"geometry":{"type":"Point","coordinates":[-84.6,39.4]}}]})"), .status = 3,
       .said = {"looks like premises"}},
      {.what = "lines as blocks, for sure", .kind = "blocks", .name = "a.geojson", .made = bytes(collection({feature("B1", R"({"type":"LineString","coordinates":[[-84.6,39.4],[-84.6,39.41]]})")})),
       .more = {"--anyway"}, .status = 3, .said = {"no area"}},
      {.what = "areas as premises", .kind = "premises", .name = "a.geojson", .made = bytes(collection({good, feature("B2", square(-84.60, 39.39, 0.01))})), .status = 3, .said = {"address", "--map address="}},
      {.what = "another town's blocks", .kind = "blocks", .name = "a.geojson", .made = bytes(collection({feature("B1", square(-71.1, 42.3, 0.01))})), .status = 3, .said = {"km from the study", "--anyway"}},
      {.what = "a picture as blocks", .kind = "blocks", .name = "a.jpg", .made = bytes("\xFF\xD8\xFF\xE0" + std::string(40, '\1')), .status = 3, .said = {"picture"}},
      {.what = "a grid as blocks", .kind = "blocks", .name = "a.asc", .made = bytes("ncols 2\nnrows 2\nxllcorner -84.61\nyllcorner 39.39\ncellsize 0.01\n1 2\n3 4\n"), .status = 3, .said = {"raster"}},
      {.what = "a grid that does not say what it measures", .kind = "heat", .name = "a.asc", .made = bytes("ncols 2\nnrows 2\nxllcorner -84.61\nyllcorner 39.39\ncellsize 0.01\n1 2\n3 4\n"), .status = 3,
       .said = {"--measures"}},
      {.what = "a grid cut off", .kind = "heat", .name = "a.asc", .made = bytes("ncols 2\nnrows 2\nxllcorner -84.61\nyllcorner 39.39\ncellsize 0.01\n1 2\n3"), .more = {"--measures", "air", "--crs", "EPSG:4326"},
       .status = 3, .said = {"damaged"}},
  });
}

}  // namespace
}  // namespace leeward::test
