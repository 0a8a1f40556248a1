// What an analyst does with census figures and rasters from the command: margins of derived figures, housing units as weights, statistics of cells.
#include <cmath>

#include <gtest/gtest.h>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

class CensusFigures : public testing::Test {
 protected:
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  /// A strip of 100 m squares in UTM zone 17 north, cut into `pieces`, with columns of numbers.
  std::string strip(const std::string& name, double from, double to, std::size_t pieces, const std::vector<std::pair<std::string, std::vector<double>>>& columns) const {
    Layer layer;
    layer.name = "strip";
    layer.crs = *Crs::parse("EPSG:32617");
    const double step = (to - from) / static_cast<double>(pieces);
    for (std::size_t i = 0; i < pieces; ++i) {
      const double x = 500000 + from + step * static_cast<double>(i), y = 4000000;
      layer.geometry.addArea(std::vector<Point>{{x, y}, {x + step, y}, {x + step, y + 100}, {x, y + 100}});
    }
    for (const auto& [column, values] : columns) layer.table.add(Column::reals(column, values));
    Progress quiet;
    EXPECT_OK(writeLayer(layer, file(name), quiet));
    return file(name);
  }
  static Table table(const std::vector<std::string>& words) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 0) << ran.err;
    return csvOfText(ran.out);
  }

 private:
  TemporaryFolder folder_;
};

// ACS General Handbook, chapter 8 (components from memory): never-married females of three areas add up to 203,119 with margin 5,070, are 0.322 (margin 0.008) of 630,498
// (margin 831), and stand to 226,840 never-married males (margin 5,556) as 0.895 to 1 (margin 0.031). As printed there; coefficient of variation 1.5 %.
TEST_F(CensusFigures, DerivedFiguresAreThoseOfTheHandbook) {
  const auto from = strip("from.gpkg", 0, 100, 1, {{"a", {135173}}, {"a_moe", {3860}}, {"b", {43104}}, {"b_moe", {2642}}, {"c", {24842}}, {"c_moe", {1957}}, {"all", {630498}}, {"all_moe", {831}}, {"men", {226840}}, {"men_moe", {5556}}});
  const auto to = strip("to.gpkg", 0, 100, 1, {{"n", {1}}});
  const auto found = table({"apportion", from, to, "--counts", "a,b,c,all,men", "--margins", "a_moe,b_moe,c_moe,all_moe,men_moe", "--derive", "single=sum:a+b+c,share=proportion:single/all,to_men=ratio:single/men",
                            "--reliability", "--quiet"});
  ASSERT_EQ(found.rows(), 1U);
  EXPECT_NEAR(number(found, "single", 0), 203119, 1e-6);
  EXPECT_NEAR(number(found, "single_moe", 0), 5070, 0.5);
  EXPECT_NEAR(number(found, "share", 0), 0.322, 0.0005);
  EXPECT_NEAR(number(found, "share_moe", 0), 0.008, 0.0005);
  EXPECT_NEAR(number(found, "to_men", 0), 0.895, 0.0005);
  EXPECT_NEAR(number(found, "to_men_moe", 0), 0.031, 0.0005);
  EXPECT_NEAR(number(found, "single_cv", 0), 0.015, 0.0005);
  EXPECT_EQ(field(found, "single_reliability", 0), "high");
}

// By hand: margins of 20 % and 60 % of the estimate at 90 % are coefficients of variation of 0.2 / 1.645 = 12.2 % and 36.5 %; an estimate of 0 has none.
TEST_F(CensusFigures, WhatCanBeReliedOnIsSaid) {
  const auto from = strip("from.gpkg", 0, 300, 3, {{"people", {100, 100, 0}}, {"moe", {20, 60, 12}}, {"homes", {50, 40, 0}}});
  const auto to = strip("to.gpkg", 0, 300, 3, {{"n", {1, 2, 3}}});
  const auto found = table({"apportion", from, to, "--counts", "people,homes", "--margins", "moe,", "--derive", "per_home=ratio:people/homes,both=product:people*homes", "--reliability", "--quiet"});
  ASSERT_EQ(found.rows(), 3U);
  EXPECT_EQ(field(found, "people_reliability", 0), "high");
  EXPECT_EQ(field(found, "people_reliability", 1), "low");
  EXPECT_EQ(field(found, "people_reliability", 2), "");
  EXPECT_NEAR(number(found, "people_cv", 1), 0.6 / 1.645, 1e-9);
  EXPECT_NEAR(number(found, "per_home", 1), 2.5, 1e-9);
  EXPECT_EQ(field(found, "per_home", 2), "") << "nothing can be divided by 0";
  EXPECT_NEAR(number(found, "both", 0), 5000, 1e-6);
  EXPECT_EQ(found.find("per_home_moe"), nullptr) << "one part has no margin";
}

TEST_F(CensusFigures, CountsGoWithHousingUnits) {
  const auto from = strip("from.gpkg", 0, 100, 1, {{"people", {80}}});
  const auto to = strip("to.gpkg", 0, 100, 2, {{"n", {1, 2}}});
  const auto houses = put(file("houses.csv"), "lon,lat,units\n-80.9999,36.14497,1\n-80.9998,36.14497,1\n-80.9991,36.14497,6\n-80.9990,36.14497,\n");
  const auto found = table({"apportion", from, to, "--counts", "people", "--by", "points:" + houses, "--weight", "units", "--quiet"});
  ASSERT_EQ(found.rows(), 2U);
  EXPECT_NEAR(number(found, "people", 0), 20, 1e-9);  // two units of eight
  EXPECT_NEAR(number(found, "people", 1), 60, 1e-9);
  // A file of areas will do: each stands at a point inside.
  const auto blocks = strip("blocks.gpkg", 0, 100, 4, {{"units", {1, 0, 1, 2}}});
  const auto by_blocks = table({"apportion", from, to, "--counts", "people", "--by", "points:" + blocks, "--weight", "units", "--quiet"});
  EXPECT_NEAR(number(by_blocks, "people", 0), 20, 1e-9);
  const auto spoilt = put(file("spoilt.csv"), "lon,lat,units\n-80.9999,36.14497,-1\n");
  EXPECT_EQ(leeward({"apportion", from, to, "--counts", "people", "--by", "points:" + spoilt, "--weight", "units"}).status, 3);
  EXPECT_EQ(leeward({"apportion", from, to, "--counts", "people", "--weight", "units"}).status, 2);
}

TEST_F(CensusFigures, DerivedFiguresThatCannotBeMeantAreRefused) {
  const auto from = strip("from.gpkg", 0, 100, 1, {{"a", {1}}, {"b", {2}}});
  for (const char* words : {"x", "x=a/b", "x=share:a/b", "x=ratio:a", "x=ratio:a/", "=ratio:a/b", "x=ratio:a/b/a", "x=product:a/b", "x=sum:a+a", "x=ratio:a/c", "x=sum:a+b,X=ratio:a/b"}) {
    const Ran ran = leeward({"apportion", from, from, "--counts", "a,b", "--derive", words});
    EXPECT_EQ(ran.status, 2) << words << ": " << ran.err;
    EXPECT_NE(ran.err.find("--derive"), std::string::npos) << words << ": " << ran.err;
  }
}

// By hand: cells of 50 m with 1 2 / 3 6; the area covers the left column whole and half of the right one.
TEST_F(CensusFigures, StatisticsOfCellsAreWeightedByWhatIsCovered) {
  Raster cells;
  cells.columns = cells.rows = 2, cells.left = 500000, cells.top = 4000100, cells.cell_x = cells.cell_y = 50;
  cells.crs = *Crs::parse("EPSG:32617"), cells.values = {1, 2, 3, 6};
  Progress quiet;
  ASSERT_OK(writeRaster(cells, file("grid.tif"), quiet));
  const auto areas = strip("areas.gpkg", 0, 75, 1, {{"n", {1}}});  // 1 and 3 whole, 2 and 6 by half: weights 1, 1, 0.5, 0.5
  const auto found = table({"zonal", areas, file("grid.tif"), "--stats", "mean,min,max,sd,median,quantile:0.9,share-above:2.5", "--quiet"});
  ASSERT_EQ(found.rows(), 1U);
  const double mean = (1 + 3 + 1 + 3) / 3.0;
  EXPECT_NEAR(number(found, "mean", 0), mean, 1e-9);
  EXPECT_EQ(number(found, "min", 0), 1);
  EXPECT_EQ(number(found, "max", 0), 6);
  EXPECT_NEAR(number(found, "sd", 0), std::sqrt((1 + 9 + 0.5 * 4 + 0.5 * 36) / 3 - mean * mean), 1e-9);
  EXPECT_NEAR(number(found, "median", 0), 2.5, 1e-9);  // the weights up to 2 are half of all: the mean of 2 and 3
  EXPECT_EQ(number(found, "quantile_0.9", 0), 6);
  EXPECT_NEAR(number(found, "share_above_2.5", 0), 0.5, 1e-9);
}

}  // namespace
}  // namespace leeward::test
