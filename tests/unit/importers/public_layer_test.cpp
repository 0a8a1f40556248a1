#include "importers/public_layer.h"

#include <gtest/gtest.h>

#include "tests/unit/importers/files.h"
#include "tests/support/data.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::refusedAt;
using test::remarks;

class PublicLayerTest : public ::testing::Test {
 protected:
  Result<PublicLayer> take(Kind kind, const std::string& name, const std::string& content, const Overrides& overrides = {}, const std::string& crs = {}) {
    LayerRequest request;
    request.source = folder_.file(name, content);
    request.crs = crs;
    Progress progress;
    return importPublic(kind, request, overrides, progress);
  }
  static std::string cell(const PublicLayer& layer, const char* column, std::size_t row) { return layer.layer.table.find(column)->asText(row); }
  Folder folder_;
};

TEST_F(PublicLayerTest, PremisesFromNumberAndStreetOrFromOneColumn) {
  const auto apart = take(Kind::Premises, "a.csv", "addr_id,house number,suffix number,street name,street suffix,zip,lon,lat\n"
                                                   "7,11,,Elm,St,45014,-84.6,39.4\n8,12,,Oak,Ave,45014,-84.61,39.41\n9,,,,,45014,-84.61,39.41\n10,13,,Oak,Ave,45014,0,0\n");
  ASSERT_OK(apart);
  ASSERT_EQ(apart->layer.rows(), 2U);
  EXPECT_EQ(apart->layer.table.names(), (std::vector<std::string>{"id", "number", "street", "unit", "place", "postcode"}));
  EXPECT_EQ(cell(*apart, "street", 1), "Oak Ave");
  EXPECT_EQ(apart->layer.geometry.point(0), (Point{-84.6, 39.4}));
  EXPECT_EQ(apart->layer.crs, Crs::wgs84());
  EXPECT_TRUE(remarks(apart->report, "WGS 84"));
  EXPECT_NE(refusedAt(apart->report, 4).reason.find("no street"), std::string::npos);
  EXPECT_NE(refusedAt(apart->report, 5).reason.find("0, 0"), std::string::npos);

  const auto whole = take(Kind::Premises, "b.csv", "Full address,Longitude,Latitude\n\"11-A Elm St Apt 2, Fairford, OH 45014\",-84.6,39.4\n");
  ASSERT_OK(whole);
  EXPECT_EQ(cell(*whole, "number", 0), "11-A");
  EXPECT_EQ(cell(*whole, "street", 0), "Elm St");
  EXPECT_EQ(cell(*whole, "place", 0), "Fairford");
  EXPECT_EQ(cell(*whole, "id", 0), "1");
}

TEST_F(PublicLayerTest, CoordinatesWithoutAReferenceSystemAreAProblem) {
  const std::string content = "address,x,y\n1 Elm St,231000.5,901000\n";
  const auto unknown = take(Kind::Premises, "a.csv", content);
  ASSERT_FALSE(unknown.ok());
  EXPECT_EQ(unknown.problem().code, ProblemCode::CrsMismatch);
  EXPECT_NE(unknown.problem().mend.find("--crs"), std::string::npos);
  const auto known = take(Kind::Premises, "a.csv", content, {}, "EPSG:26986");
  ASSERT_OK(known);
  EXPECT_EQ(known->layer.geometry.point(0), (Point{231000.5, 901000}));
}

TEST_F(PublicLayerTest, ManyAddressesOnOnePointAreReported) {
  std::string content = "address,lon,lat\n";
  for (int i = 1; i <= 20; ++i) content += fmt::format("{} Elm St,-84.6,39.4\n", i);
  const auto piled = take(Kind::Premises, "a.csv", content);
  ASSERT_OK(piled);
  EXPECT_EQ(piled->layer.rows(), 20U);
  EXPECT_TRUE(remarks(piled->report, "20 premises with different addresses share 1 point"));
}

TEST_F(PublicLayerTest, BlocksKeepTheirIdsNamesPeopleAndGroups) {
  const auto blocks = take(Kind::Blocks, "b.geojson", R"({"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"GEOID20":"390170101001000","POP100":12,"HOUSING20":5},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1],[0,0]]]}},
    {"type":"Feature","properties":{"GEOID20":"390170101001001","POP100":0,"HOUSING20":0},"geometry":{"type":"Polygon","coordinates":[[[1,0],[2,0],[2,1],[1,1],[1,0]]]}},
    {"type":"Feature","properties":{"GEOID20":"390170101001001","POP100":0,"HOUSING20":0},"geometry":{"type":"Polygon","coordinates":[[[5,0],[6,0],[6,1],[5,1],[5,0]]]}},
    {"type":"Feature","properties":{"GEOID20":"390170101001000","POP100":13,"HOUSING20":0},"geometry":{"type":"Polygon","coordinates":[[[7,0],[8,0],[8,1],[7,1],[7,0]]]}},
    {"type":"Feature","properties":{"GEOID20":"390170101001002","POP100":3,"HOUSING20":1},"geometry":{"type":"Polygon","coordinates":[[[0,5],[1,6],[1,5],[0,6],[0,5]]]}}]})");
  ASSERT_OK(blocks);
  ASSERT_EQ(blocks->layer.rows(), 3U);
  EXPECT_EQ(cell(*blocks, "id", 0), "390170101001000");
  EXPECT_EQ(cell(*blocks, "group_id", 0), "390170101001");
  EXPECT_EQ(cell(*blocks, "people", 0), "12");
  EXPECT_EQ(cell(*blocks, "housing_units", 0), "5");
  EXPECT_EQ(blocks->layer.geometry.paths(1), 2U) << "two pieces of one block are one row";
  EXPECT_EQ(blocks->report.refused.size(), 1U) << "the same id with other figures";
  EXPECT_TRUE(remarks(blocks->report, "repaired"));
}

TEST_F(PublicLayerTest, AreasWithoutAnIdGetTheirRowsNumber) {
  const auto areas = take(Kind::Areas, "a.geojson", R"({"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"colour":"blue"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1],[0,0]]]}}]})");
  ASSERT_OK(areas);
  EXPECT_EQ(cell(*areas, "id", 0), "1");
  const auto blocks = take(Kind::Blocks, "a.geojson", R"({"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"colour":"blue"},"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,1],[0,0]]]}}]})");
  ASSERT_FALSE(blocks.ok());
  EXPECT_NE(blocks.problem().mend.find("--map id="), std::string::npos);
}

TEST_F(PublicLayerTest, StreetsKeepTheirRangesAndLeaveOutWhatIsNoRoad) {
  const auto streets = take(Kind::Streets, "s.geojson", R"({"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"TLID":1,"FULLNAME":"Elm St","MTFCC":"S1400","LFROMADD":"1","LTOADD":"99","RFROMADD":"0","RTOADD":"0","ZIPL":"45014"},"geometry":{"type":"LineString","coordinates":[[0,0],[1,0]]}},
    {"type":"Feature","properties":{"TLID":2,"FULLNAME":"Old Creek","MTFCC":"H3010","LFROMADD":"","LTOADD":"","RFROMADD":"","RTOADD":"","ZIPL":""},"geometry":{"type":"LineString","coordinates":[[0,0],[1,0]]}},
    {"type":"Feature","properties":{"TLID":3,"FULLNAME":"Main St","MTFCC":"S1200","LFROMADD":"1","LTOADD":"99","RFROMADD":"2","RTOADD":"98","ZIPL":"45014"},"geometry":null}]})");
  ASSERT_OK(streets);
  ASSERT_EQ(streets->layer.rows(), 1U);
  EXPECT_EQ(cell(*streets, "id", 0), "1");
  EXPECT_EQ(cell(*streets, "l_to", 0), "99");
  EXPECT_TRUE(streets->layer.table.find("r_from")->isMissing(0)) << "0 is no number";
  EXPECT_EQ(cell(*streets, "l_postcode", 0), "45014");
  EXPECT_EQ(cell(*streets, "kind", 0), "street");
  EXPECT_TRUE(remarks(streets->report, "no roads"));
  EXPECT_EQ(streets->report.refused.size(), 1U);
}

TEST_F(PublicLayerTest, CensusFiguresComeWithTheirMarginsAndWithoutSpecialValues) {
  const auto census = take(Kind::Census, "c.csv",
                           "GEO_ID,NAME,B19013_001E,B19013_001M,B25003_001E,B25003_001M,B19013_001EA\n"
                           "Geography,Geographic Area Name,Estimate!!Median,Margin of Error!!Median,Estimate!!Total,Margin of Error!!Total,Annotation\n"
                           "1500000US390170101001,A,\"52,000\",9000,410,55,\n"
                           "1500000US390170101002,B,-666666666,-222222222,0,12,\n"
                           "1500000US390170101003,C,\"250,000+\",***,300,(X),\n"
                           "1500000US390170101003,D,1,1,1,1,\n"
                           "1500000US390170101004,E,about 5,1,1,1,\n");
  ASSERT_OK(census);
  ASSERT_EQ(census->layer.rows(), 3U);
  EXPECT_EQ(census->layer.table.names(),
            (std::vector<std::string>{"id", "name", "B19013_001E", "B19013_001E_moe", "B25003_001E", "B25003_001E_moe"}));
  EXPECT_EQ(cell(*census, "id", 0), "390170101001");
  EXPECT_EQ(cell(*census, "B19013_001E", 0), "52000");
  EXPECT_TRUE(census->layer.table.find("B19013_001E")->isMissing(1));
  EXPECT_TRUE(census->layer.table.find("B19013_001E")->isMissing(2));
  EXPECT_TRUE(census->layer.table.find("B25003_001E_moe")->isMissing(2));
  EXPECT_TRUE(remarks(census->report, "taken off"));
  EXPECT_TRUE(remarks(census->report, "labels"));
  EXPECT_TRUE(remarks(census->report, "too few sample cases"));
  EXPECT_EQ(census->report.refused.size(), 2U);
  EXPECT_NE(refusedAt(census->report, 6).reason.find("line 5"), std::string::npos);
}

TEST_F(PublicLayerTest, LostLeadingZerosArePutBack) {
  const auto groups = take(Kind::Census, "c.csv", "geoid,est,moe\n10010201001,5,1\n120010201001,6,2\n");
  ASSERT_OK(groups);
  EXPECT_EQ(cell(*groups, "id", 0), "010010201001");
  EXPECT_TRUE(remarks(groups->report, "leading zero"));
  const auto tracts = take(Kind::Census, "t.csv", "geoid,est,moe\n25017352500,5,1\n25017352600,6,2\n");
  ASSERT_OK(tracts);
  EXPECT_EQ(cell(*tracts, "id", 0), "25017352500") << "a tract, whole";
  const auto rounded = take(Kind::Census, "r.csv", "geoid,est,moe\n2.50174E+11,5,1\n250173525001,6,2\n");
  ASSERT_OK(rounded);
  EXPECT_NE(refusedAt(rounded->report, 2).reason.find("rounded"), std::string::npos);
}

TEST_F(PublicLayerTest, WeatherIsConvertedAndFillersAreMissing) {
  std::string content = "Date,Max temp (F),Min temp (F),Precip (in),RH\n";
  for (int day = 1; day <= 28; ++day) content += fmt::format("2025-02-{:02},{},{},0.1,55\n", day, day == 3 ? 9999 : 50 + day % 5, 32);
  const auto weather = take(Kind::Weather, "w.csv", content + "2025-03-01,20,40,0,50\n2025-02-28,50,32,0,50\n");
  ASSERT_OK(weather);
  ASSERT_EQ(weather->layer.rows(), 28U);
  EXPECT_EQ(weather->unit, "°C");
  EXPECT_DOUBLE_EQ(*weather->layer.table.find("tmax_c")->asReal(4), 10);
  EXPECT_DOUBLE_EQ(*weather->layer.table.find("tmin_c")->asReal(0), 0);
  EXPECT_DOUBLE_EQ(*weather->layer.table.find("precipitation_mm")->asReal(0), 2.54);
  EXPECT_TRUE(weather->layer.table.find("tmax_c")->isMissing(2));
  EXPECT_TRUE(remarks(weather->report, "fillers"));
  EXPECT_NE(refusedAt(weather->report, 30).reason.find("above the highest"), std::string::npos);
  EXPECT_NE(refusedAt(weather->report, 31).reason.find("line 29"), std::string::npos);
}

TEST_F(PublicLayerTest, AnUnclearUnitIsAskedFor) {
  const std::string content = "date,tmax,tmin\n2025-02-01,45,20\n2025-02-02,44,20\n";
  const auto unclear = take(Kind::Weather, "w.csv", content);
  ASSERT_FALSE(unclear.ok());
  EXPECT_NE(unclear.problem().mend.find("unit=C"), std::string::npos);
  EXPECT_OK(take(Kind::Weather, "w.csv", content, {{"unit", "F"}}));
  const auto hot = take(Kind::Weather, "w.csv", "date,tmax,tmin\n2025-07-01,95,70\n2025-07-02,94,20\n");
  ASSERT_OK(hot);
  EXPECT_TRUE(remarks(hot->report, "Fahrenheit"));
}

TEST_F(PublicLayerTest, AHeatRasterIsLookedOver) {
  Raster raster;
  raster.columns = raster.rows = 10;
  raster.cell_x = raster.cell_y = 30;
  raster.crs = *Crs::parse("EPSG:26986");
  for (int i = 0; i < 100; ++i) raster.values.push_back(i == 7 ? 0.0F : i < 5 ? std::nanf("") : 95.0F + static_cast<float>(i % 7));
  Progress progress;
  ASSERT_OK(writeRaster(raster, folder_.path("heat.tif"), progress));
  const auto heat = importPublic(Kind::Heat, {.source = folder_.path("heat.tif")}, {{"unit", "F"}}, progress);
  ASSERT_OK(heat);
  EXPECT_TRUE(remarks(heat->report, "5.0 % without data"));
  EXPECT_TRUE(remarks(heat->report, "1 cells are 0"));
  EXPECT_EQ(heat->unit, "F");
}

}  // namespace
}  // namespace leeward::importers
