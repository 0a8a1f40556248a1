// The verbs that need no study: what they print, where they write, and that nothing but the input decides it.
#include <cmath>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using Words = std::vector<std::string>;

/// A raster of 4 rows and 6 columns with cells of 10 m and the values 1 to 24 from the top left, row by row.
Raster numberedGrid() {
  Raster raster{.columns = 6, .rows = 4, .left = 500000, .top = 4000040, .cell_x = 10, .cell_y = 10, .crs = *Crs::parse("EPSG:32617"), .values = {}};
  for (int value = 1; value <= 24; ++value) raster.values.push_back(static_cast<float>(value));
  return raster;
}

/// An area from x 5 to 35 and y 5 to 25 of that grid, one inside a single cell, one outside.
Layer threeAreas() {
  Layer layer;
  layer.name = "areas";
  layer.crs = *Crs::parse("EPSG:32617");
  for (const auto& [x, y, width, height] : std::initializer_list<std::array<double, 4>>{{5, 5, 30, 20}, {12, 12, 6, 6}, {500, 500, 10, 10}}) {
    const std::vector<Point> ring = {{500000 + x, 4000000 + y}, {500000 + x + width, 4000000 + y}, {500000 + x + width, 4000000 + y + height}, {500000 + x, 4000000 + y + height}};
    layer.geometry.addArea(ring);
  }
  layer.table.add(Column::text("zone", {"first", "second", "third"}));
  layer.table.add(Column::integers("dogs", {60, 5, 7}));
  return layer;
}

class BareFiles : public testing::Test {
 protected:
  BareFiles() {
    Progress quiet;
    EXPECT_OK(writeRaster(numberedGrid(), file("grid.tif"), quiet));
    EXPECT_OK(writeLayer(threeAreas(), file("areas.gpkg"), quiet));
    put(file("points.csv"), "name,x,y\na,500000,4000000\nb,500001,4000000\nc,500000,4000001\nd,500100,4000100\ne,500101,4000100\n");
    put(file("rates.csv"), "area,deaths,people\n1,8,2268\n2,2,405\n3,5,3240\n");
    put(file("days.csv"), "day,tmax,rh\n1,95,50\n2,70,\n3,86,90\n");
    put(file("log.csv"), "visit,typed,town\n1,12 oak street,Faraway\n2,\"14 Oak St, apt 2\",Faraway\n3,9999 Nowhere Rd,Faraway\n4,,\n");
    put(file("doors.csv"), "id,number,street,unit,place,postcode,lon,lat\nD1,12,Oak St,,Faraway,00001,-30.0010,40.0000\nD2,14,Oak St,,Faraway,00001,-30.0012,40.0000\n"
                           "D3,14,Elm St,,Faraway,00001,-30.0012,40.0100\n");
  }
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  /// Every verb with the small files above.
  std::vector<Words> calls() const {
    return {{"parse", "--file", file("log.csv"), "--column", "typed"},
            {"place", file("log.csv"), "--address", "typed", "--city", "town", "--points", file("doors.csv")},
            {"cluster", file("points.csv"), "--within", "2", "--at-least", "3", "--x", "x", "--y", "y", "--crs", "EPSG:32617"},
            {"zonal", file("areas.gpkg"), file("grid.tif"), "--stats", "mean,min,max,sd,median,share-above:12"},
            {"smooth", file("rates.csv"), "--events", "deaths", "--exposure", "people"},
            {"smooth", file("rates.csv"), "--events", "deaths", "--exposure", "people", "--by", "gamma-poisson"},
            {"locate", file("points.csv"), file("areas.gpkg"), "--id", "zone", "--x", "x", "--y", "y", "--crs", "EPSG:32617"},
            {"apportion", file("areas.gpkg"), file("areas.gpkg"), "--counts", "dogs"},
            {"feels-like", file("days.csv"), "--air", "tmax", "--humidity", "rh", "--unit", "F"}};
  }
  static Ran quietly(Words words, const Words& more = {}, const std::map<std::string, std::string>& environment = {}) {
    words.insert(words.end(), more.begin(), more.end());
    words.emplace_back("--quiet");
    Ran ran = leeward(words, environment);
    EXPECT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(ran.err, "");
    return ran;
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(BareFiles, ParseSplitsWordsAsTypedAndWritesTheStandardLine) {
  const Table parsed = csvOfText(quietly({"parse", "1204 north Main avenue Apt 4", "PO Box 12"}).out);
  ASSERT_EQ(parsed.rows(), 2U);
  // FGDC-STD-016-2011 names the elements; USPS Publication 28, section 233 and appendix C1: NORTH N, AVENUE AVE
  EXPECT_EQ(field(parsed, "AddressNumber", 0), "1204");
  EXPECT_EQ(field(parsed, "StreetNamePreDirectional", 0), "north");
  EXPECT_EQ(field(parsed, "StreetName", 0), "Main");
  EXPECT_EQ(field(parsed, "StreetNamePostType", 0), "avenue");
  EXPECT_EQ(field(parsed, "OccupancyType", 0), "Apt");
  EXPECT_EQ(field(parsed, "OccupancyIdentifier", 0), "4");
  EXPECT_EQ(field(parsed, "standard", 0), "1204 N MAIN AVE APT 4");
  EXPECT_EQ(field(parsed, "USPSBoxID", 1), "12");
}

TEST_F(BareFiles, PlaceFindsTheDoorAndSaysWhenThereIsNone) {
  const Table placed = csvOfText(quietly(calls()[1]).out);
  ASSERT_EQ(placed.rows(), 4U);
  EXPECT_EQ(field(placed, "matched_id", 0), "D1");
  EXPECT_EQ(field(placed, "decision", 0), "placed");
  EXPECT_NEAR(number(placed, "lon", 0), -30.0010, 1e-7);  // a centimetre
  EXPECT_NEAR(number(placed, "lat", 0), 40.0000, 1e-7);
  EXPECT_EQ(field(placed, "matched_id", 1), "D2");
  for (const std::size_t row : {2U, 3U}) {
    EXPECT_EQ(field(placed, "decision", row), "none");
    EXPECT_EQ(field(placed, "lon", row), "");
  }
}

TEST_F(BareFiles, ClusterCountsThePointItself) {
  // By hand: a, b and c lie within 2 of each other, which makes three; d and e are only two.
  const Table found = csvOfText(quietly(calls()[2]).out);
  ASSERT_EQ(found.rows(), 5U);
  for (const std::size_t row : {0U, 1U, 2U}) {
    EXPECT_EQ(field(found, "cluster", row), "0");
    EXPECT_EQ(field(found, "role", row), "core");
  }
  for (const std::size_t row : {3U, 4U}) {
    EXPECT_EQ(field(found, "cluster", row), "");
    EXPECT_EQ(field(found, "role", row), "alone");
  }
}

TEST_F(BareFiles, ZonalWeighsCellsByTheirShare) {
  // By hand: the first area covers 6 cells' worth around the middle of the values 7..22; their weighted mean is 14.5 and
  // variance 18.91667 (also computed with R terra 1.7.3, extract(exact = TRUE)). The second lies in the cell of row 3, column 2: 14.
  const Table found = csvOfText(quietly(calls()[3]).out);
  ASSERT_EQ(found.rows(), 3U);
  EXPECT_NEAR(number(found, "mean", 0), 14.5, 1e-9);
  EXPECT_NEAR(number(found, "sd", 0), std::sqrt(18.9166666666667), 1e-9);
  EXPECT_EQ(number(found, "min", 0), 7);
  EXPECT_EQ(number(found, "max", 0), 22);
  EXPECT_NEAR(number(found, "mean", 1), 14, 1e-9);
  EXPECT_EQ(field(found, "mean", 2), "");
}

/// A surface that rises evenly with longitude and latitude, as a raster in any frame.
Raster risingSurface(const Crs& crs, const Bbox& box, double cell) {
  const auto to_degrees = Transform::between(crs, Crs::wgs84());
  EXPECT_OK(to_degrees);
  Raster raster{.columns = static_cast<std::size_t>(std::ceil((box.max_x - box.min_x) / cell)), .rows = static_cast<std::size_t>(std::ceil((box.max_y - box.min_y) / cell)),
                .left = box.min_x, .top = box.max_y, .cell_x = cell, .cell_y = cell, .crs = crs, .values = {}};
  for (std::size_t row = 0; row < raster.rows; ++row) {
    for (std::size_t column = 0; column < raster.columns; ++column) {
      const Point at = (*to_degrees)({raster.left + (static_cast<double>(column) + 0.5) * cell, raster.top - (static_cast<double>(row) + 0.5) * cell});
      raster.values.push_back(static_cast<float>(100 * (at.x + 37.3) + 200 * (at.y - 41.4)));
    }
  }
  return raster;
}

TEST_F(BareFiles, ZonalGivesTheSameMeansWhateverTheRastersFrame) {
  Progress quiet;
  const std::string blocks = townFile("blocks.geojson").string();
  const auto layer = readLayer({.source = blocks, .x_column = "", .y_column = "", .crs = ""}, quiet);
  ASSERT_OK(layer);
  Bbox degrees;
  for (std::size_t row = 0; row < layer->rows(); ++row) degrees.add(layer->geometry.bbox(row));
  const Crs utm = *Crs::parse("EPSG:32624");
  const auto to_utm = Transform::between(Crs::wgs84(), utm);
  Bbox metres;
  for (const double x : {degrees.min_x, degrees.max_x}) {
    for (const double y : {degrees.min_y, degrees.max_y}) metres.add((*to_utm)({x, y}));
  }
  ASSERT_OK(writeRaster(risingSurface(Crs::wgs84(), degrees.grownBy(0.002), 0.0002), file("degrees.tif"), quiet));
  ASSERT_OK(writeRaster(risingSurface(utm, metres.grownBy(300), 20), file("metres.tif"), quiet));
  const Table one = csvOfText(quietly({"zonal", blocks, file("degrees.tif")}).out), other = csvOfText(quietly({"zonal", blocks, file("metres.tif")}).out);
  ASSERT_EQ(one.rows(), layer->rows());
  ASSERT_EQ(other.rows(), one.rows());
  // The surface rises by 100 a degree: 0.01 is a tenth of what it rises over one 20 m cell and a hundredth of a block.
  for (std::size_t row = 0; row < one.rows(); ++row) EXPECT_NEAR(number(one, "mean", row), number(other, "mean", row), 0.01) << row;
}

TEST_F(BareFiles, MarshallsRatesAreThoseOfAReferenceProgram) {
  LEEWARD_OUTSIDE_DATA(auckland, "checks/data/auckland.csv");
  const Table rates = csvOfText(quietly({"smooth", auckland.string(), "--events", "deaths_1977_85", "--exposure", "population9"}).out);
  ASSERT_EQ(rates.rows(), 167U);
  // Marshall 1991 on the Auckland data printed there; computed with R 4.2.2, spdep 1.2.7 (EBest)
  EXPECT_NEAR(number(rates, "rate", 0), 0.00352733686067019, 1e-13);
  const double smoothed[] = {0.00297803392572109, 0.00286562329254096, 0.00211816466150202, 0.0025358083187526};
  for (std::size_t row = 0; row < 4; ++row) EXPECT_NEAR(number(rates, "smoothed", row), smoothed[row], 1e-12);
}

TEST_F(BareFiles, JsonIsOneObjectAndNothingElse) {
  for (const auto& call : calls()) {
    const Ran ran = quietly(call, {"--json"});
    const auto read = nlohmann::json::parse(ran.out, nullptr, false);
    ASSERT_TRUE(read.is_object()) << call[0];
    EXPECT_EQ(read["rows"].size(), csvOfText(quietly(call).out).rows()) << call[0];
    EXPECT_EQ(std::ranges::count(ran.out, '\n'), 1) << call[0];
  }
}

TEST_F(BareFiles, EveryFormatKeepsRowsOrderAndInputColumnsFirst) {
  const std::map<std::string, std::pair<std::string, std::size_t>> first = {{"parse", {"visit", 4}}, {"place", {"visit", 4}}, {"cluster", {"name", 5}}, {"zonal", {"zone", 3}}, {"smooth", {"area", 3}},
                                                                           {"locate", {"name", 5}}, {"apportion", {"zone", 3}}, {"feels-like", {"day", 3}}};
  for (const auto& call : calls()) {
    const auto& [column, rows] = first.at(call[0]);
    const Table printed = csvOfText(quietly(call).out);
    ASSERT_EQ(printed.rows(), rows) << call[0];
    EXPECT_EQ(printed.names().front(), column);
    for (const char* ending : {".csv", ".gpkg", ".geojson", ".fgb", ".xlsx"}) {
      SCOPED_TRACE(call[0] + ending);
      const bool has_places = call[0] == "cluster" || call[0] == "zonal" || call[0] == "locate" || call[0] == "apportion";
      if (ending == std::string_view(".fgb") && !has_places) {
        Words refused = call;
        refused.insert(refused.end(), {"-o", file("out.fgb"), "--quiet"});
        EXPECT_EQ(leeward(refused).status, 3);  // rows without a place can't stand in this format
        EXPECT_FALSE(std::filesystem::exists(file("out.fgb")));
        continue;
      }
      const std::string out = file(std::string("out") + ending);
      quietly(call, {"-o", out});
      Progress quiet;
      const auto back = readLayer({.source = out, .x_column = "", .y_column = "", .crs = ""}, quiet);
      ASSERT_OK(back);
      ASSERT_EQ(back->table.rows(), rows);
      const auto order = [&](const Table& table) {
        std::vector<std::string> values;
        for (std::size_t row = 0; row < rows; ++row) values.push_back(field(table, column, row));
        return values;
      };
      EXPECT_EQ(order(back->table), order(printed));
      std::filesystem::remove(out);
    }
  }
}

TEST_F(BareFiles, NeitherLocaleNorTimeZoneNorThreadsChangeAByte) {
  const std::vector<std::map<std::string, std::string>> places = {
      {{"LC_ALL", "de_DE.UTF-8"}, {"LANG", "de_DE.UTF-8"}, {"TZ", "Pacific/Kiritimati"}}, {{"LC_ALL", "tr_TR.UTF-8"}, {"TZ", "America/St_Johns"}}, {{"LC_ALL", "C"}, {"TZ", "UTC"}}};
  for (const auto& call : calls()) {
    const std::string as_usual = quietly(call).out;
    for (const auto& place : places) {
      for (const char* threads : {"1", "4"}) EXPECT_EQ(quietly(call, {"--threads", threads}, place).out, as_usual) << call[0] << ", " << threads << " threads";
    }
  }
  const std::string log = townFile("visits.csv").string(), doors = townFile("address_points.csv").string();
  const Words large = {"place", log, "--address", "address", "--city", "place", "--points", doors};
  EXPECT_TRUE(quietly(large, {"--threads", "1"}, places[0]).out == quietly(large, {"--threads", "4"}).out) << "the town's log is placed otherwise";
}

}  // namespace
}  // namespace leeward::test
