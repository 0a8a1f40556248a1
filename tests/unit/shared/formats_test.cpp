// Files as phones, spreadsheets and map makers give them, and files that mean harm; made here.
#include <cmath>
#include <fstream>

#include <gdal_priv.h>
#include <ogrsf_frmts.h>
#include <sys/resource.h>
#include <xlsxwriter.h>

#include "shared/base/files.h"
#include "shared/layer/layer.h"
#include "tests/support/data.h"
#include "tests/support/picture.h"
#include "tests/support/zip.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;
using test::Zip;

constexpr const char* kGpx = R"(<?xml version="1.0"?><gpx version="1.1" creator="made for a test" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="39.41" lon="-84.61"><time>2025-03-04T19:05:00Z</time><name>Brown dog</name><desc>chained, no water</desc></wpt>
<wpt lat="39.42" lon="-84.62"><name>Empty pen</name></wpt>
<trk><name>Monday</name><trkseg><trkpt lat="39.40" lon="-84.60"><time>2025-03-04T18:00:00Z</time></trkpt>
<trkpt lat="39.401" lon="-84.601"><time>2025-03-04T18:00:10Z</time></trkpt></trkseg></trk></gpx>)";
constexpr const char* kKml = R"(<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><name>Dogs</name>
<Placemark><name>Rex</name><description>brown</description><TimeStamp><when>2025-03-04</when></TimeStamp>
<ExtendedData><Data name="dogs"><value>2</value></Data></ExtendedData><Point><coordinates>-84.61,39.41,200</coordinates></Point></Placemark>
<Placemark><name>Luna</name><Point><coordinates>-84.62,39.42</coordinates></Point></Placemark></Folder></Document></kml>)";
constexpr const char* kEntities = R"(<!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]>)";

class FormatsTest : public testing::Test {
 protected:
  fs::path path(const std::string& name) const { return folder_.path() / name; }
  std::string write(const std::string& name, std::string_view bytes) const {
    std::ofstream(path(name), std::ios::binary) << bytes;
    return path(name).string();
  }
  Result<Layer> read(const std::string& source, std::optional<GeometryKind> wanted = {}) { return readLayer({.source = source, .wanted = wanted}, progress_); }
  static std::string cell(const Layer& layer, const char* column, std::size_t row) {
    const Column* found = layer.table.find(column);
    return found == nullptr ? "no column" : found->asText(row);
  }
  /// A layer of points or areas with a name column, by the given driver.
  static void make(GDALDataset& dataset, const char* name, OGRwkbGeometryType type, int rows) {
    OGRSpatialReference wgs84;
    wgs84.SetFromUserInput("EPSG:4326");
    wgs84.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRLayer* layer = dataset.CreateLayer(name, &wgs84, type, nullptr);
    ASSERT_NE(layer, nullptr);
    OGRFieldDefn field("name", OFTString);
    ASSERT_EQ(layer->CreateField(&field), OGRERR_NONE);
    for (int i = 0; i < rows; ++i) {
      OGRFeature feature(layer->GetLayerDefn());
      feature.SetField("name", (std::string(name) + std::to_string(i)).c_str());
      const double x = -84.6 - i * 0.01;
      OGRPoint point(x, 39.4);
      OGRLinearRing ring;
      for (const auto& [dx, dy] : {std::pair(0.0, 0.0), {0.0, 0.005}, {0.005, 0.005}, {0.005, 0.0}, {0.0, 0.0}}) ring.addPoint(x + dx, 39.4 + dy);
      OGRPolygon area;
      area.addRing(&ring);
      if (wkbFlatten(type) == wkbPoint) feature.SetGeometry(&point);
      else feature.SetGeometry(&area);
      ASSERT_EQ(layer->CreateFeature(&feature), OGRERR_NONE);
    }
  }
  std::string made(const char* driver, const std::string& name, const std::vector<std::pair<const char*, OGRwkbGeometryType>>& layers) {
    GDALAllRegister();
    GDALDataset* dataset = GetGDALDriverManager()->GetDriverByName(driver)->Create(path(name).c_str(), 0, 0, 0, GDT_Unknown, nullptr);
    EXPECT_NE(dataset, nullptr);
    if (dataset == nullptr) return {};
    int rows = 2;
    for (const auto& [layer, type] : layers) make(*dataset, layer, type, rows++);
    GDALClose(dataset);
    return path(name).string();
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

TEST_F(FormatsTest, GpxGivesItsWaypointsWithTimeAndSaysThatThereIsATrack) {
  const auto file = write("phone.gpx", kGpx);
  const auto layer = read(file);
  ASSERT_OK(layer);
  ASSERT_EQ(layer->rows(), 2U);
  EXPECT_EQ(layer->geometry.point(0), (Point{-84.61, 39.41}));
  EXPECT_TRUE(layer->crs == Crs::wgs84());
  EXPECT_EQ(cell(*layer, "time", 0), "2025-03-04T19:05:00Z");
  EXPECT_EQ(cell(*layer, "name", 1), "Empty pen");
  EXPECT_EQ(layer->table.names(), (std::vector<std::string>{"time", "name", "desc"})) << "columns that the file hasn't are left out";
  EXPECT_THAT(layer->remarks, testing::ElementsAre(testing::AllOf(testing::HasSubstr("waypoints"), testing::HasSubstr("track_points"))));
  const auto track = read(file + "#track_points");
  ASSERT_OK(track);
  EXPECT_EQ(track->rows(), 2U);
  EXPECT_EQ(cell(*track, "time", 1), "2025-03-04T18:00:10Z");
  expectProblem(read(file, GeometryKind::Areas), ProblemCode::BadData, "several layers");
  const auto lines = read(file, GeometryKind::Lines);
  ASSERT_OK(lines);
  EXPECT_EQ(lines->name, "tracks");
}

TEST_F(FormatsTest, KmlAndKmzKeepNamesTimesAndOwnData) {
  for (const std::string& file : {write("a.kml", kKml), write("a.kmz", Zip().add("doc.kml", kKml).bytes()), write("unlike.bin", kKml)}) {
    const auto layer = read(file);
    ASSERT_OK(layer);
    ASSERT_EQ(layer->rows(), 2U) << file;
    EXPECT_EQ(layer->geometry.point(1), (Point{-84.62, 39.42}));
    EXPECT_EQ(cell(*layer, "Name", 0), "Rex");
    EXPECT_EQ(cell(*layer, "dogs", 0), "2");
    EXPECT_EQ(cell(*layer, "timestamp", 0).substr(0, 10), "2025-03-04");
    EXPECT_EQ(layer->table.find("tessellate"), nullptr) << "how it is drawn is none of our business";
  }
}

TEST_F(FormatsTest, OpenDocumentSheetsReadLikeWorkbooks) {
  using test::odsRow;
  const auto rows = odsRow({"date", "address", "dogs"}) + odsRow({"@2025-03-04", "1 Elm St", "=2"}) + odsRow({"@2025-03-05T14:05:00", "2 Elm St", ""}) +
                    "<table:table-row table:number-rows-repeated=\"1048570\"><table:table-cell table:number-columns-repeated=\"1024\"/></table:table-row>";
  const auto bytes = test::odsBytes(test::odsSheet("visits", rows) + test::odsSheet("empty", ""));
  for (const std::string& file : {write("v.ods", bytes), write("v.dat", bytes)}) {
    const auto layer = read(file);
    ASSERT_OK(layer);
    ASSERT_EQ(layer->rows(), 2U);
    EXPECT_EQ(cell(*layer, "date", 0), "2025-03-04");
    EXPECT_EQ(cell(*layer, "date", 1), "2025-03-05T14:05:00");
    EXPECT_EQ(cell(*layer, "dogs", 0), "2");
    EXPECT_EQ(layer->table.lines, (std::vector<std::uint64_t>{2, 3}));
  }
  const auto two = write("two.ods", test::odsBytes(test::odsSheet("spring", rows) + test::odsSheet("autumn", rows)));
  expectProblem(read(two), ProblemCode::BadData, "FILE#SHEET");
  EXPECT_OK(read(two + "#autumn"));
}

TEST_F(FormatsTest, AWorkbookUnderAnotherNameIsAWorkbook) {
  lxw_workbook* book = workbook_new(path("a.xlsx").c_str());
  lxw_worksheet* sheet = workbook_add_worksheet(book, nullptr);
  worksheet_write_string(sheet, 0, 0, "date", nullptr);
  worksheet_write_string(sheet, 1, 0, "2025-03-04", nullptr);
  ASSERT_EQ(workbook_close(book), LXW_NO_ERROR);
  fs::rename(path("a.xlsx"), path("download"));
  const auto layer = read(path("download").string());
  ASSERT_OK(layer);
  EXPECT_EQ(cell(*layer, "date", 0), "2025-03-04");
}

TEST_F(FormatsTest, TextOfAnyNameAndSeparatorIsATable) {
  for (const auto& [name, content] : std::vector<std::pair<const char*, const char*>>{
           {"a.tsv", "date\taddress\n2025-03-04\t1 Elm St\n"}, {"b.csv", "date;address\n2025-03-04;1 Elm St\n"}, {"c.txt", "date|address\n2025-03-04|1 Elm St\n"},
           {"d.psv", "date|address\n2025-03-04|1 Elm St\n"}, {"export", "date,address\n2025-03-04,1 Elm St\n"}, {"e.dat", "sep=;\ndate;address\n2025-03-04;1 Elm St\n"}}) {
    const auto file = write(name, content);
    EXPECT_TRUE(isPlainText(file)) << name;
    const auto layer = read(file);
    ASSERT_OK(layer);
    EXPECT_EQ(cell(*layer, "address", 0), "1 Elm St") << name;
  }
  EXPECT_FALSE(isPlainText(write("f.geojson", "{\"a\":1,\n")));
}

TEST_F(FormatsTest, AFileGeodatabaseIsReadAsFolderAndPacked) {
  const std::string folder = made("OpenFileGDB", "town.gdb", {{"doors", wkbPoint}, {"blocks", wkbMultiPolygon}});
  EXPECT_THAT(*layerNames(folder), testing::UnorderedElementsAre("doors", "blocks"));
  expectProblem(read(folder), ProblemCode::BadData, "\"doors\"");
  const auto doors = read(folder + "#doors");
  ASSERT_OK(doors);
  EXPECT_EQ(doors->rows(), 2U);
  EXPECT_EQ(cell(*doors, "name", 1), "doors1");
  const auto blocks = read(folder, GeometryKind::Areas);
  ASSERT_OK(blocks);
  EXPECT_EQ(blocks->name, "blocks");
  EXPECT_THAT(blocks->remarks, testing::ElementsAre(testing::HasSubstr("\"blocks\" was taken")));
  Zip zip;
  for (const auto& entry : fs::directory_iterator(folder)) zip.add("town.gdb/" + entry.path().filename().string(), *readFile(entry.path()));
  const auto packed = read(write("town.gdb.zip", zip.bytes()) + "#doors");
  ASSERT_OK(packed);
  EXPECT_EQ(packed->rows(), 2U);
  EXPECT_NEAR(packed->geometry.point(0).x, -84.6, 1e-8);  // a geodatabase keeps places on a grid
}

TEST_F(FormatsTest, OfSeveralLayersTheOnlyFittingOneIsTakenAndSaid) {
  const std::string file = made("GPKG", "town.gpkg", {{"doors", wkbPoint}, {"blocks", wkbPolygon}, {"wards", wkbPolygon}});
  expectProblem(read(file), ProblemCode::BadData, "\"doors\", \"blocks\", \"wards\"");
  expectProblem(read(file, GeometryKind::Areas), ProblemCode::BadData, "several layers");
  const auto doors = read(file, GeometryKind::Points);
  ASSERT_OK(doors);
  EXPECT_EQ(doors->name, "doors");
  EXPECT_THAT(doors->remarks, testing::ElementsAre(testing::HasSubstr("\"blocks\", \"wards\"")));
}

TEST_F(FormatsTest, ShapefilesArePackedAndLackPartsAndAreReadAllTheSame) {
  const std::string shape = made("ESRI Shapefile", "blocks.shp", {{"blocks", wkbPolygon}});
  std::map<std::string, std::string> parts;
  for (const char* part : {"shp", "shx", "dbf", "prj"}) parts[part] = *readFile(path("blocks." + std::string(part)));
  const auto zipped = [&](std::initializer_list<const char*> kept, const std::string& inside) {
    Zip zip;
    for (const char* part : kept) zip.add(inside + "blocks." + part, parts[part]);
    return write("z.zip", zip.bytes());
  };
  struct Case {
    std::initializer_list<const char*> kept;
    bool has_name, has_crs;
  };
  for (const Case& one : std::initializer_list<Case>{{{"shp", "shx", "dbf", "prj"}, true, true},
                                                     {{"shp", "shx", "dbf"}, true, false},
                                                     {{"shp", "dbf", "prj"}, true, true},
                                                     {{"shp", "shx", "prj"}, false, true},
                                                     {{"shp"}, false, false}}) {
    const TemporaryFolder loose;
    for (const char* part : one.kept) std::ofstream(loose.path() / ("blocks." + std::string(part)), std::ios::binary) << parts[part];
    const auto before = std::distance(fs::directory_iterator(loose.path()), fs::directory_iterator());
    for (const std::string& file : {zipped(one.kept, "deep/er/"), (loose.path() / "blocks.shp").string()}) {
      const auto layer = read(file);
      ASSERT_OK(layer);
      EXPECT_EQ(layer->rows(), 2U);
      EXPECT_EQ(layer->geometry.kind(1), GeometryKind::Areas);
      EXPECT_EQ(cell(*layer, "name", 1), one.has_name ? "blocks1" : "no column");
      EXPECT_EQ(!layer->crs.isUnknown(), one.has_crs) << file;
    }
    EXPECT_EQ(std::distance(fs::directory_iterator(loose.path()), fs::directory_iterator()), before) << "nothing is written beside a source";
  }
  Zip two;
  for (const char* name : {"a", "b"}) {
    for (const char* part : {"shp", "shx", "dbf", "prj"}) two.add(std::string(name) + "." + part, parts[part]);
  }
  const auto several = write("two.zip", two.bytes());
  expectProblem(read(several), ProblemCode::BadData, "\"a\", \"b\"");
  EXPECT_EQ(*layerNames(several), (std::vector<std::string>{"a", "b"}));
  EXPECT_OK(read(several + "#b"));
  expectProblem(read(several + "#c"), ProblemCode::NotFound, "\"c\"");
}

TEST_F(FormatsTest, ArchivesThatMeanHarmAreRefusedBeforeTheyAreUnpacked) {
  const std::string ods = test::odsSheet("s", test::odsRow({"a"}) + test::odsRow({"1"}));
  Zip many;
  many.add("readme.txt", "x");
  for (int i = 0; i < 10'001; ++i) many.claim("f" + std::to_string(i), 0, 0);
  // What says that it unpacks to a little and goes on for 40 MB; the sheet's start is as it should be.
  const std::string bomb = test::deflatedRun("<a>", 40'000'000);
  const std::string nested = Zip().add("inner.zip", Zip().add("x.shp", "x").bytes()).bytes();
  struct Case {
    const char* name;
    std::string bytes;
    ProblemCode code;
    const char* says;
  };
  for (const Case& bad : std::initializer_list<Case>{
           {"big.xlsx", Zip().add("xl/styles.xml", "<a/>").claim("xl/workbook.xml", 10, 3'000'000'000U).bytes(), ProblemCode::ResourceExhausted, "more than 2 GB"},
           {"ratio.xlsx", Zip().add("xl/workbook.xml", "<a/>").claim("xl/worksheets/sheet1.xml", 20, 900'000'000).bytes(), ProblemCode::ResourceExhausted, "150 times"},
           {"many.kmz", many.bytes(), ProblemCode::ResourceExhausted, "10,002"},
           {"lying.xlsx", Zip().addDeflated("xl/workbook.xml", bomb, 1000).bytes(), ProblemCode::ResourceExhausted, "less of its size"},
           {"out.kmz", Zip().add("doc.kml", kKml).add("../../evil.kml", kKml).bytes(), ProblemCode::BadData, "leads out"},
           {"root.zip", Zip().add("/etc/evil.shp", "x").bytes(), ProblemCode::BadData, "leads out"},
           {"locked.zip", Zip().add("readme.txt", "x").claim("a.shp", 0, 10, 1).bytes(), ProblemCode::Unsupported, "password"},
           {"nested.zip", nested, ProblemCode::Unsupported, "inner.zip"},
           {"cut.xlsx", Zip().add("xl/workbook.xml", "<a/>").bytes().substr(0, 60), ProblemCode::BadData, "cut off"},
           {"overlap.zip", Zip().add("readme.txt", "x").claim("a.shp", 200, 300).claim("b.shp", 200, 300).bytes(), ProblemCode::BadData, "damaged"},
           {"bomb.kml", std::string("<?xml version=\"1.0\"?>") + kEntities + "<kml><name>&c;</name></kml>", ProblemCode::BadData, "document type"},
           {"bomb.gpx", std::string("<?xml version=\"1.0\"?><!-- late -->\n") + kEntities + "<gpx><name>&c;</name></gpx>", ProblemCode::BadData, "document type"},
           {"bomb.kmz", Zip().add("doc.kml", std::string(kEntities) + "<kml/>").bytes(), ProblemCode::BadData, "document type"},
           {"bomb.ods", test::odsBytes(ods, kEntities), ProblemCode::BadData, "document type"},
           {"bomb.xlsx", Zip().add("xl/workbook.xml", "<a/>").add("xl/sharedStrings.xml", std::string(kEntities) + "<sst/>").bytes(), ProblemCode::BadData, "sharedStrings"},
           {"late.kml", "<?xml version=\"1.0\"?><!--" + std::string(70'000, ' ') + "-->" + kEntities + "<kml/>", ProblemCode::BadData, "64 kB"},
           {"page.kml", "<!DOCTYPE html><html><body>Sign in</body></html>", ProblemCode::BadData, "web page"},
           {"empty.zip", Zip().bytes(), ProblemCode::Unsupported, "holds nothing"},
           {"letter.docx", Zip().add("word/document.xml", "<w/>").bytes(), ProblemCode::Unsupported, "word/document.xml"},
       }) {
    SCOPED_TRACE(bad.name);
    expectProblem(read(write(bad.name, bad.bytes)), bad.code, bad.says);
  }
}

TEST_F(FormatsTest, PicturesGiveTimeAndPlace) {
  GDALAllRegister();
  // The cell's own bytes come from the driver; the EXIF block is put in behind the start marker.
  GDALDataset* grey = GetGDALDriverManager()->GetDriverByName("MEM")->Create("", 8, 8, 1, GDT_Byte, nullptr);
  GDALClose(GetGDALDriverManager()->GetDriverByName("JPEG")->CreateCopy(path("plain.jpg").c_str(), grey, 0, nullptr, nullptr, nullptr));
  GDALClose(grey);
  const std::string plain = *readFile(path("plain.jpg"));
  const test::ExifPlace yard{{39, 24, 3600}, {84, 36, 3600}};
  const auto placed = readPicture(write("a.jpg", test::withExif(plain, test::exifBlock("2025:03:04 14:05:33", yard))));
  ASSERT_OK(placed);
  EXPECT_EQ(placed->taken, "2025-03-04T14:05:33");
  ASSERT_TRUE(placed->lon_lat);
  EXPECT_NEAR(placed->lon_lat->x, -84.61, 1e-9);  // 84 36' 36"
  EXPECT_NEAR(placed->lon_lat->y, 39.41, 1e-9);
  const auto nowhere = readPicture(write("b.jpg", test::withExif(plain, test::exifBlock("0000:00:00 00:00:00", test::kNoFix))));
  ASSERT_OK(nowhere);
  EXPECT_EQ(nowhere->taken, "");
  EXPECT_FALSE(nowhere->lon_lat) << "0, 0 is a device without a fix";
  const auto bare = readPicture(path("plain.jpg"));
  ASSERT_OK(bare);
  EXPECT_EQ(bare->taken, "");
  EXPECT_EQ(*readFile(path("plain.jpg")), plain) << "the original is never altered";
  EXPECT_EQ(readPicture(write("c.jpg", "no picture")).problem().code, ProblemCode::BadData);
  EXPECT_EQ(readPicture(write("d.heic", std::string("\0\0\0\x18" "ftypheic", 12) + "xxxx")).problem().code, ProblemCode::Unsupported);
  expectProblem(read(path("plain.jpg").string()), ProblemCode::Unsupported, "picture");
}

}  // namespace
}  // namespace leeward
