// Real open data: the City of Cambridge's open GIS data (PDDL 1.0), ACS block groups of Boone County (US Census Bureau, as
// packaged in stcos 0.3.1), NOAA daily weather of Seattle.
#include <gtest/gtest.h>

#include "tests/unit/importers/files.h"
#include "importers/public_layer.h"
#include "tests/support/data.h"

namespace leeward::importers {
namespace {

using test::remarks;

PublicLayer take(Kind kind, const std::string& file, const Overrides& overrides = {}) {
  Progress progress;
  auto layer = importPublic(kind, {.source = file}, overrides, progress);
  EXPECT_OK(layer);
  return layer ? *std::move(layer) : PublicLayer{};
}

TEST(OpenDataTest, CambridgeAddressPoints) {
  LEEWARD_OUTSIDE_DATA(file, "data/cambridge/cambridge_address_truth_DERIVED.csv");
  const PublicLayer premises = take(Kind::Premises, file.string());
  EXPECT_EQ(premises.layer.rows(), 20624U);
  EXPECT_TRUE(premises.report.refused.empty());
  const Table& table = premises.layer.table;
  EXPECT_EQ(table.find("id")->textAt(0), "14754");
  EXPECT_EQ(table.find("number")->textAt(0), "14");
  EXPECT_EQ(table.find("street")->textAt(0), "ABERDEEN AVE");
  EXPECT_EQ(table.find("postcode")->textAt(0), "02138");
  EXPECT_NEAR(premises.layer.geometry.point(0).x, -71.14635, 1e-9);
  std::size_t suffixed = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) suffixed += table.find("number")->textAt(row) == "6 1/2" ? 1 : 0;
  EXPECT_GT(suffixed, 0U) << "6-1/2 Acacia St";
  // 18 points carry 20 addresses and more; the largest 148 (counted with Python from the same file).
  EXPECT_TRUE(remarks(premises.report, "share 18 points"));
  EXPECT_TRUE(remarks(premises.report, "148 at -71.154283, 42.377125"));
}

TEST(OpenDataTest, CambridgeCenterlines) {
  LEEWARD_OUTSIDE_DATA(file, "data/cambridge/TRANS_Centerlines.geojson");
  const PublicLayer streets = take(Kind::Streets, file.string());
  EXPECT_EQ(streets.report.read, 2643U);
  EXPECT_EQ(streets.layer.rows() + streets.report.refused.size(), 2643U);
  EXPECT_EQ(streets.map.find("name")->heading, "Street");
  EXPECT_EQ(streets.map.find("l_from")->heading, "L_From");
  EXPECT_EQ(streets.map.find("r_to")->heading, "R_To");
  EXPECT_EQ(streets.map.find("l_postcode")->heading, "ZIP_Left");
  EXPECT_EQ(streets.map.find("from_node")->heading, "FromNode");
  const Table& table = streets.layer.table;
  bool found = false;
  for (std::size_t row = 0; row < table.rows() && !found; ++row) {
    found = table.find("name")->textAt(row) == "Cambridge St" && table.find("l_from")->textAt(row) == "1334" && table.find("l_to")->textAt(row) == "1378" &&
            table.find("r_from")->textAt(row) == "1337" && table.find("from_node")->textAt(row) == "1097";
  }
  EXPECT_TRUE(found) << "the piece of Cambridge St between nodes 1097 and 1094";
}

TEST(OpenDataTest, CambridgeBlocksOf2000HoldAllPeople) {
  LEEWARD_OUTSIDE_DATA(file, "data/cambridge/DEMOGRAPHICS_Blocks2000.geojson");
  const PublicLayer blocks = take(Kind::Blocks, file.string());
  EXPECT_EQ(blocks.map.find("id")->heading, "STFID");
  EXPECT_EQ(blocks.map.find("people")->heading, "POP_LAB");
  ASSERT_EQ(blocks.layer.rows(), 886U);
  double people = 0;
  for (const double value : blocks.layer.table.find("people")->toReals()) people += std::isnan(value) ? 0 : value;
  EXPECT_EQ(people, 101355) << "Census 2000, City of Cambridge";
  EXPECT_EQ(blocks.layer.table.find("group_id")->textAt(0).size(), 12U);
}

TEST(OpenDataTest, CambridgeContextLayers) {
  LEEWARD_OUTSIDE_DATA(folder, "data/cambridge");
  EXPECT_EQ(take(Kind::Areas, (folder / "HYDRO_WaterBodies.geojson").string()).layer.rows(), 74U);
  EXPECT_EQ(take(Kind::Areas, (folder / "BASEMAP_Vegetation.geojson").string()).layer.rows(), 96U);
  EXPECT_EQ(take(Kind::Areas, (folder / "BOUNDARY_CityBoundary.geojson").string()).layer.rows(), 1U);
  const PublicLayer parts = take(Kind::Areas, (folder / "BOUNDARY_CDDNeighborhoods.geojson").string());
  EXPECT_EQ(parts.map.find("name")->heading, "NAME");
  EXPECT_EQ(take(Kind::Blocks, (folder / "DEMOGRAPHICS_Blocks2020.geojson").string()).map.find("id")->heading, "GEOID20");
}

TEST(OpenDataTest, BooneBlockGroupsWithMargins) {
  LEEWARD_OUTSIDE_DATA(file, "data/boone/boone_acs.gpkg");
  const PublicLayer census = take(Kind::Census, file.string() + "#acs5_2017");
  EXPECT_EQ(census.layer.rows(), census.report.read);
  const Table& table = census.layer.table;
  EXPECT_EQ(table.find("id")->textAt(0), "290190005001");
  ASSERT_NE(table.find("DirectEst_moe"), nullptr);
  EXPECT_EQ(table.find("DirectEst")->asReal(0), 10995.0);
  EXPECT_EQ(table.find("DirectEst_moe")->asReal(0), 5563.0);
  std::size_t missing = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) missing += table.find("DirectEst")->isMissing(row) ? 1 : 0;
  EXPECT_EQ(missing, 4U) << "four block groups have no estimate in 2017";
  EXPECT_TRUE(census.layer.hasGeometry());
}

TEST(OpenDataTest, SeattleWeatherIsCelsius) {
  LEEWARD_OUTSIDE_DATA(file, "data/weather/seattle-weather.csv");
  const PublicLayer weather = take(Kind::Weather, file.string());
  ASSERT_EQ(weather.layer.rows(), 1461U);
  EXPECT_TRUE(remarks(weather.report, "Celsius"));
  std::size_t frost = 0, hot = 0;
  for (const double value : weather.layer.table.find("tmin_c")->toReals()) frost += value <= 0 ? 1 : 0;
  for (const double value : weather.layer.table.find("tmax_c")->toReals()) hot += value >= 30 ? 1 : 0;
  EXPECT_EQ(frost, 88U) << "days at or below 0 °C";
  EXPECT_EQ(hot, 63U) << "days at or above 30 °C";
}

}  // namespace
}  // namespace leeward::importers
