#include "shared/layer/layer.h"

#include <cmath>
#include <fstream>

#include <sys/stat.h>

#include "shared/base/files.h"
#include "shared/geo/overlay.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;

class LayerTest : public testing::Test {
 protected:
  Result<Layer> read(const fs::path& file, const std::string& layer = "") {
    return readLayer({file.string() + (layer.empty() ? "" : "#" + layer), "", "", "", 0}, progress_);
  }
  fs::path path(const std::string& name) const { return folder_.path() / name; }
  fs::path text(const std::string& name, std::string_view content) const {
    std::ofstream(path(name), std::ios::binary) << content;
    return path(name);
  }
  /// Three areas (one with a hole, one in two parts, one missing) with a column of each kind and gaps.
  static Layer sample() {
    Layer layer;
    layer.name = "areas";
    layer.crs = *Crs::parse("EPSG:26986");
    layer.table.add(Column::text("name", {"one, \"quoted\"", "zw\xC3\xB6lf", ""}));
    Column count("count", Column::Kind::Integer);
    for (const int i : {1, 2}) count.addInteger(i * 5'000'000'000);
    count.addMissing();
    layer.table.add(std::move(count));
    layer.table.add(Column::reals("share", {0.1, std::nan(""), 1e-300}));
    const double x = 236000, y = 900000;
    layer.geometry.startRow(GeometryKind::Areas);
    layer.geometry.addRing(std::vector<Point>{{x, y}, {x + 100, y}, {x + 100, y + 100}, {x, y + 100}}, false);
    layer.geometry.addRing(std::vector<Point>{{x + 10, y + 10}, {x + 10, y + 20}, {x + 20, y + 20}, {x + 20, y + 10}}, true);
    layer.geometry.startRow(GeometryKind::Areas);
    for (const double shift : {200.0, 400.0}) {
      layer.geometry.addRing(std::vector<Point>{{x + shift, y}, {x + shift + 50, y}, {x + shift + 50, y + 50.5}}, false);
    }
    layer.geometry.addNone();
    return layer;
  }
  static Layer points(int count) {
    Layer layer;
    layer.name = "points";
    layer.crs = Crs::wgs84();
    Column id("id", Column::Kind::Integer);
    for (int i = 0; i < count; ++i) {
      id.addInteger(i);
      layer.geometry.addPoint({-71.0 - i * 0.001, 42.0 + i * 0.0005});
    }
    layer.table.add(std::move(id));
    return layer;
  }
  static void expectSame(const Layer& got, const Layer& expected, double tolerance) {
    ASSERT_EQ(got.rows(), expected.rows());
    ASSERT_EQ(got.table.names(), expected.table.names());
    for (std::size_t i = 0; i < expected.table.width(); ++i) {
      EXPECT_EQ(got.table.column(i).kind(), expected.table.column(i).kind()) << i;
      for (std::size_t row = 0; row < expected.rows(); ++row) EXPECT_EQ(got.table.column(i).asText(row), expected.table.column(i).asText(row));
    }
    ASSERT_EQ(got.geometry.size(), expected.geometry.size());
    for (std::size_t row = 0; row < expected.rows(); ++row) {
      EXPECT_EQ(got.geometry.kind(row), expected.geometry.kind(row));
      ASSERT_EQ(got.geometry.paths(row), expected.geometry.paths(row));
      for (std::size_t i = 0; i < expected.geometry.paths(row); ++i) {
        EXPECT_EQ(got.geometry.isHole(row, i), expected.geometry.isHole(row, i));
        ASSERT_EQ(got.geometry.path(row, i).size(), expected.geometry.path(row, i).size());
        for (std::size_t v = 0; v < expected.geometry.path(row, i).size(); ++v) {
          EXPECT_NEAR(got.geometry.path(row, i)[v].x, expected.geometry.path(row, i)[v].x, tolerance);
          EXPECT_NEAR(got.geometry.path(row, i)[v].y, expected.geometry.path(row, i)[v].y, tolerance);
        }
      }
    }
  }
  void expectProblem(const Result<Layer>& result, ProblemCode code, const std::string& says) {
    ASSERT_FALSE(result.ok());
    EXPECT_EQ(result.problem().code, code) << result.problem().text();
    EXPECT_THAT(result.problem().text(), testing::HasSubstr(says));
    EXPECT_FALSE(result.problem().mend.empty());
    EXPECT_FALSE(result.problem().where.empty());
  }
  TemporaryFolder folder_;
  Progress progress_;
};

TEST_F(LayerTest, GeoPackageAndFlatGeobufGiveBackWhatWasWritten) {
  ASSERT_OK(writeLayer(sample(), path("a.gpkg"), progress_));
  const auto back = read(path("a.gpkg"));
  ASSERT_OK(back);
  expectSame(*back, sample(), 0);
  EXPECT_EQ(back->crs.authority(), "EPSG:26986");
  EXPECT_EQ(back->name, "areas");
  const Layer many = points(100);
  ASSERT_OK(writeLayer(many, path("a.fgb"), progress_));
  const auto order = read(path("a.fgb"));
  ASSERT_OK(order);
  expectSame(*order, many, 0);
  EXPECT_EQ(writeLayer(sample(), path("b.fgb"), progress_).problem().code, ProblemCode::Unsupported);  // a row has no place
}

TEST_F(LayerTest, GeoJsonIsLongitudeAndLatitudeByTheStandard) {
  ASSERT_OK(writeLayer(sample(), path("a.geojson"), progress_));
  const auto back = read(path("a.geojson"));
  ASSERT_OK(back);
  EXPECT_TRUE(back->crs == Crs::wgs84());
  expectSame(*back, *reprojected(sample(), Crs::wgs84()), 1e-7);
  const std::string content = *readFile(path("a.geojson"));
  EXPECT_EQ(content.find("\"crs\""), std::string::npos);  // RFC 7946, section 4
  EXPECT_THAT(content, testing::HasSubstr("\"share\": null"));
}

TEST_F(LayerTest, EqualLayersGiveEqualBytes) {
  for (const char* extension : {".gpkg", ".geojson", ".fgb", ".csv"}) {
    const Layer layer = extension == std::string(".fgb") ? points(50) : sample();
    ASSERT_OK(writeLayer(layer, path(std::string("one") + extension), progress_));
    ASSERT_OK(writeLayer(layer, path(std::string("two") + extension), progress_));
    EXPECT_TRUE(*readFile(path(std::string("one") + extension)) == *readFile(path(std::string("two") + extension))) << extension;
  }
}

TEST_F(LayerTest, CsvGetsCoordinatesForPoints) {
  ASSERT_OK(writeLayer(points(2), path("p.csv"), progress_));
  EXPECT_EQ(*readFile(path("p.csv")), "id,lon,lat\n0,-71,42\n1,-71.001,42.0005\n");
  const auto back = readLayer({path("p.csv").string(), "lon", "lat", "", 0}, progress_);
  ASSERT_OK(back);
  EXPECT_TRUE(back->crs == Crs::wgs84());
  EXPECT_EQ(back->geometry.point(1), (Point{-71.001, 42.0005}));
  ASSERT_OK(writeLayer(sample(), path("a.csv"), progress_));
  EXPECT_EQ(read(path("a.csv"))->table.names(), sample().table.names());
}

TEST_F(LayerTest, TablePointsNeedGoodColumns) {
  const auto file = text("t.csv", "E,N\n1,2\n,3\nx,4\n");
  const auto good = readLayer({file.string(), "e", "n", "EPSG:26986", 0}, progress_);
  ASSERT_OK(good);
  EXPECT_EQ(good->crs.authority(), "EPSG:26986");
  EXPECT_EQ(good->geometry.kind(1), GeometryKind::None);
  EXPECT_EQ(good->geometry.kind(2), GeometryKind::None);
  expectProblem(readLayer({file.string(), "easting", "N", "", 0}, progress_), ProblemCode::NotFound, "\"easting\"");
  EXPECT_EQ(readLayer({file.string(), "E", "", "", 0}, progress_).problem().code, ProblemCode::InvalidArgument);
  EXPECT_TRUE(readLayer({file.string(), "E", "N", "", 0}, progress_)->crs.isUnknown());
}

TEST_F(LayerTest, OwnerOnlyFilesArePrivateAndFailuresLeaveNothing) {
  ASSERT_OK(writeLayer(points(10), path("p.gpkg"), progress_, true));
  struct stat status {};
  ASSERT_EQ(::stat(path("p.gpkg").c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777, 0600U);
  std::stop_source stop;
  stop.request_stop();
  Progress stopped({}, stop.get_token(), 1);
  EXPECT_EQ(writeLayer(points(10), path("q.gpkg"), stopped).problem().code, ProblemCode::Cancelled);
  EXPECT_EQ(writeLayer(points(1), path("p.docx"), progress_).problem().code, ProblemCode::InvalidArgument);
  EXPECT_FALSE(writeLayer(points(1), path("no/such/p.gpkg"), progress_).ok());
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_.path()), fs::directory_iterator()), 1);
}

TEST_F(LayerTest, ColumnsNamedLikeAFormatsOwnSurvive) {
  Layer layer = points(2);
  layer.table.add(Column::text("fid", {"a", "b"}));
  layer.table.add(Column::text("geom", {"c", "d"}));
  layer.table.add(Column::text("ID", {"e", "f"}));  // differs from "id" by case only
  ASSERT_OK(writeLayer(layer, path("n.gpkg"), progress_));
  const auto back = read(path("n.gpkg"));
  ASSERT_OK(back);
  EXPECT_EQ(back->table.names(), (std::vector<std::string>{"id", "fid", "geom", "ID_2"}));
  EXPECT_EQ(back->table.find("fid")->asText(1), "b");
}

TEST_F(LayerTest, LocalPlanesStayLocal) {
  Layer layer = points(3);
  layer.crs = Crs::local();
  ASSERT_OK(writeLayer(layer, path("l.gpkg"), progress_));
  EXPECT_TRUE(read(path("l.gpkg"))->crs.isLocal());
  layer.crs = Crs();
  ASSERT_OK(writeLayer(layer, path("u.gpkg"), progress_));
  EXPECT_TRUE(read(path("u.gpkg"))->crs.isUnknown());
  EXPECT_EQ(writeLayer(layer, path("u.geojson"), progress_).problem().code, ProblemCode::CrsMismatch);
  layer.crs = Crs::equalAreaAt({-71, 42});
  ASSERT_OK(writeLayer(layer, path("e.gpkg"), progress_));
  EXPECT_EQ(read(path("e.gpkg"))->crs.metresPerUnit(), 1);
}

TEST_F(LayerTest, MixedGeometriesHeightsAndNullsAreHandledAndSaid) {
  const auto file = text("m.geojson", R"({"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"a":1,"d":"2025-03-01"},"geometry":{"type":"Point","coordinates":[1,2,30]}},
    {"type":"Feature","properties":{"a":null},"geometry":null},
    {"type":"Feature","properties":{},"geometry":{"type":"GeometryCollection","geometries":[{"type":"Point","coordinates":[0,0]},
      {"type":"Polygon","coordinates":[[[0,0],[0,1],[1,1],[0,0]]]}]}},
    {"type":"Feature","properties":{"a":4,"list":[1,2]},"geometry":{"type":"MultiPoint","coordinates":[[5,6],[7,8]]}}]})");
  const auto layer = read(file);
  ASSERT_OK(layer);
  ASSERT_EQ(layer->rows(), 4U);
  EXPECT_EQ(layer->geometry.point(0), (Point{1, 2}));
  EXPECT_EQ(layer->geometry.kind(1), GeometryKind::None);
  EXPECT_EQ(layer->geometry.kind(2), GeometryKind::Areas);
  EXPECT_EQ(layer->geometry.path(2, 0)[1], (Point{1, 1}));  // turned counter-clockwise
  EXPECT_EQ(layer->geometry.path(3, 0).size(), 2U);
  EXPECT_EQ(layer->table.find("d")->asText(0), "2025-03-01");
  EXPECT_TRUE(layer->table.find("a")->isMissing(1));
  EXPECT_THAT(layer->remarks, testing::Contains(testing::HasSubstr("1 row mix")));
}

TEST_F(LayerTest, BadInputsAreProblemsWithPlaceAndMend) {
  expectProblem(read(path("absent.gpkg")), ProblemCode::NotFound, "absent.gpkg");
  expectProblem(read("https://example.org/a.geojson"), ProblemCode::InvalidArgument, "this machine");
  expectProblem(read("/vsicurl/https/a.geojson"), ProblemCode::InvalidArgument, "this machine");
  expectProblem(read("/vsizip/a.zip"), ProblemCode::InvalidArgument, "this machine");
  expectProblem(read(folder_.path()), ProblemCode::BadData, "folder");
  expectProblem(read(text("empty.geojson", "")), ProblemCode::BadData, "empty");
  expectProblem(read(text("none.geojson", R"({"type":"FeatureCollection","features":[]})")), ProblemCode::BadData, "no ");
  expectProblem(read(text("cut.geojson", R"({"type":"FeatureCollection","features":[{"type":"Fea)")), ProblemCode::BadData, "GeoJSON");
  expectProblem(read(text("not.geojson", "hello")), ProblemCode::BadData, "GeoJSON");
  expectProblem(read(text("text.xlsx", "a,b\n1,2\n")), ProblemCode::BadData, "no workbook");
  expectProblem(read(text("old.xlsx", "\xD0\xCF\x11\xE0 etc")), ProblemCode::Unsupported, "old kind");
  expectProblem(read(text("broken.xlsx", "PK\x03\x04 and then nothing")), ProblemCode::BadData, "damaged");
  expectProblem(read(text("zip.csv", "PK\x03\x04 and then nothing")), ProblemCode::BadData, "ZIP");
  expectProblem(read(text("a.kml", "<kml/>")), ProblemCode::BadData, "no ");
  expectProblem(read(text("a.svg", "<svg/>")), ProblemCode::Unsupported, "<svg>");
  expectProblem(read(text("a.zip", "PK\x03\x04")), ProblemCode::BadData, "archive");
  expectProblem(read(text("raster.asc", "ncols 1\nnrows 1\n")), ProblemCode::Unsupported, "raster");
}

TEST_F(LayerTest, LayersAreNamedWhenThereAreSeveral) {
  LEEWARD_OUTSIDE_DATA(file, "data/boone/boone_acs.gpkg");  // US Census Bureau, public domain
  const auto names = layerNames(file.string());
  ASSERT_OK(names);
  EXPECT_THAT(*names, testing::IsSupersetOf({"acs5_2013", "acs5_2017"}));
  expectProblem(read(file), ProblemCode::BadData, "several layers");
  expectProblem(read(file, "acs5_1917"), ProblemCode::NotFound, "acs5_1917");
  const auto layer = read(file, "acs5_2017");
  ASSERT_OK(layer);
  EXPECT_EQ(layer->rows(), 87U);
  EXPECT_EQ(layer->crs.authority(), "EPSG:3857");
  const Column* estimate = layer->table.find("DirectEst");
  ASSERT_NE(estimate, nullptr);
  std::size_t missing = 0;
  for (std::size_t row = 0; row < layer->rows(); ++row) missing += estimate->isMissing(row) ? 1 : 0;
  EXPECT_EQ(missing, 4U);  // the data's own notes: four block groups without an estimate
}

TEST_F(LayerTest, ATruncatedGeoPackageIsAProblem) {
  ASSERT_OK(writeLayer(points(20'000), path("p.gpkg"), progress_));
  const std::string whole = *readFile(path("p.gpkg"));
  for (const std::size_t kept : {std::size_t{50}, std::size_t{5000}, whole.size() / 2, whole.size() - 5000}) {
    const auto result = read(text("cut.gpkg", whole.substr(0, kept)));
    ASSERT_FALSE(result.ok()) << kept;
    EXPECT_EQ(result.problem().code, ProblemCode::BadData);
  }
}

TEST_F(LayerTest, RealCityLayersAreReadWhole) {
  LEEWARD_OUTSIDE_DATA(folder, "data/cambridge");  // City of Cambridge open data, PDDL 1.0
  const auto streets = read(folder / "TRANS_Centerlines.geojson");
  ASSERT_OK(streets);
  EXPECT_EQ(streets->rows(), 2643U);
  EXPECT_TRUE(streets->crs == Crs::wgs84());
  const auto blocks = read(folder / "DEMOGRAPHICS_Blocks2000.geojson");
  ASSERT_OK(blocks);
  EXPECT_EQ(blocks->rows(), 886U);
  double people = 0;
  for (const double n : blocks->table.find("POP_LAB")->toReals()) people += std::isnan(n) ? 0 : n;
  EXPECT_EQ(people, 101355);
  const auto addresses = read(folder / "Master_Address_Database_2020-06-15.csv");
  ASSERT_OK(addresses);
  EXPECT_EQ(addresses->rows(), 22834U);
}

TEST_F(LayerTest, ReprojectionCountsWhatItLoses) {
  Layer layer = points(3);
  layer.geometry.addPoint({0, 1000});
  Column id("id", Column::Kind::Integer);
  std::size_t lost = 0;
  const auto moved = reprojected(layer, *Crs::parse("EPSG:26986"), &lost);
  ASSERT_OK(moved);
  EXPECT_EQ(lost, 1U);
  EXPECT_EQ(moved->crs.authority(), "EPSG:26986");
  layer.crs = Crs();
  EXPECT_EQ(reprojected(layer, Crs::wgs84()).problem().code, ProblemCode::CrsMismatch);
}

}  // namespace
}  // namespace leeward
