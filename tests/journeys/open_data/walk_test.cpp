// Every open file beside the project goes in, by take-in or by the bare verb that fits, with as many rows as its README says. Sources:
// City of Cambridge open GIS data (PDDL 1.0), US Census Bureau block groups of Boone County as packaged in stcos 0.3.1, NOAA weather of Seattle
// (vega-datasets), and the inputs of the reference checks (spData CC0 and others, see their README).
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;

struct Layer {
  const char* file;  ///< below the folder of open data; FILE#LAYER for one of several
  const char* kind;
  std::uint64_t rows;     ///< read
  std::uint64_t refused;  ///< of them
  std::vector<std::string> more = {};
};

/// Takes one file in and holds its counts against the README's.
void expectTakenIn(const StudyFolder& study, const Layer& layer) {
  std::vector<std::string> words = {layer.kind, (*outsideData() / layer.file).string(), "--json"};
  words.insert(words.end(), layer.more.begin(), layer.more.end());
  const Ran ran = study.call("take-in", words);
  ASSERT_EQ(ran.status, 0) << layer.file << ": " << ran.err;
  const auto told = nlohmann::json::parse(ran.out);
  EXPECT_EQ(told["read"], layer.rows) << layer.file;
  EXPECT_EQ(told["refused"], layer.refused) << layer.file << " " << told["remarks"].dump();
  EXPECT_EQ(told["kept"], layer.rows - layer.refused) << layer.file;
}

// Rows: the README of the data, and `python -c "len(json.load(...)['features'])"` for layers that it gives no number for.
TEST(OpenDataWalkTest, CambridgeGoesInWholly) {
  LEEWARD_OUTSIDE_DATA(folder, "data/cambridge");
  const StudyFolder study("Cambridge");
  const std::vector<Layer> layers = {
      {"data/cambridge/DEMOGRAPHICS_Blocks2020.geojson", "blocks", 1044, 0},
      {"data/cambridge/DEMOGRAPHICS_Blocks1990.geojson", "blocks", 802, 0},
      {"data/cambridge/DEMOGRAPHICS_Blocks2000.geojson", "blocks", 886, 0},
      {"data/cambridge/DEMOGRAPHICS_BlockGroups2020.geojson", "areas", 87, 0},
      {"data/cambridge/DEMOGRAPHICS_Tracts2020.geojson", "areas", 33, 0},
      {"data/cambridge/BOUNDARY_CityBoundary.geojson", "boundary", 1, 0},
      {"data/cambridge/BOUNDARY_CDDNeighborhoods.geojson", "jurisdictions", 13, 0},
      {"data/cambridge/BOUNDARY_Zipcodes.geojson", "areas", 5, 0},
      {"data/cambridge/HYDRO_WaterBodies.geojson", "water", 74, 0},
      {"data/cambridge/BASEMAP_Vegetation.geojson", "parks", 96, 0},
      {"data/cambridge/TRANS_Centerlines.geojson", "streets", 2643, 0},
      {"data/cambridge/cambridge_address_truth_DERIVED.csv", "premises", 20624, 0},
      {"data/cambridge/doorway_points_17.csv", "premises", 17, 0},
      {"data/weather/seattle-weather.csv", "weather", 1461, 0},
      {"data/cambridge/cambridge_paved_fraction_30m_DERIVED.tif", "heat", 0, 0},  // a raster has no rows
  };
  for (const Layer& layer : layers) expectTakenIn(study, layer);
  const auto settings = readFile(study.path() / "study.toml");
  ASSERT_OK(settings);
  EXPECT_NE(settings->find("kind = 'proxy'"), std::string::npos) << "a paved fraction, by its name";
  EXPECT_NE(settings->find("year = '2000'"), std::string::npos) << "blocks of 2000, by the file's name";
}

// A verb without a study, and the rows that it must give.
struct Verb {
  std::vector<std::string> words;  ///< words that begin with '@' are files below the folder of open data
  std::size_t rows;
};

TEST(OpenDataWalkTest, EveryOtherFileIsReadByTheVerbThatFits) {
  LEEWARD_OUTSIDE_DATA(folder, "");
  const std::vector<Verb> verbs = {
      {{"parse", "--file", "@data/cambridge/Master_Address_Database_2020-06-15.csv", "--column", "full_address"}, 22834},
      {{"cluster", "@data/cambridge/TRANS_Intersections.geojson", "--within", "100", "--at-least", "4"}, 1872},
      {{"cluster", "@data/cambridge/camDogs.csv", "--x", "Longitude_masked", "--y", "Latitude_masked", "--crs", "EPSG:4326", "--within", "100", "--at-least", "5"}, 3942},
      {{"cluster", "@checks/data/pts_cycle_hire_27700.csv", "--x", "x", "--y", "y", "--crs", "EPSG:27700", "--within", "300", "--at-least", "5"}, 742},
      {{"cluster", "@checks/data/pts_hagelloch.csv", "--x", "x_m", "--y", "y_m", "--crs", "local", "--within", "20", "--at-least", "5"}, 188},
      {{"cluster", "@checks/data/pts_properties.csv", "--x", "x", "--y", "y", "--crs", "local", "--within", "500", "--at-least", "5"}, 1000},
      {{"cluster", "@checks/data/pts_redwoodfull.csv", "--x", "x", "--y", "y", "--crs", "local", "--within", "0.05", "--at-least", "5"}, 195},
      {{"cluster", "@checks/data/pts_sk_moons.csv", "--x", "x", "--y", "y", "--crs", "local", "--within", "0.3", "--at-least", "5"}, 200},
      {{"smooth", "@checks/data/auckland.csv", "--events", "deaths_1977_85", "--exposure", "under5_1981", "--neighbours", "edges:@checks/data/auckland_edges.csv"}, 167},
      {{"smooth", "@checks/data/columbus.csv", "--events", "POLYID", "--exposure", "INC", "--neighbours", "edges:@checks/data/columbus_gal_edges.csv"}, 49},
      {{"smooth", "@checks/data/nc_sids74.csv", "--events", "SID74", "--exposure", "BIR74", "--neighbours", "edges:@checks/data/nc_queen_edges.csv"}, 100},
      {{"smooth", "@checks/data/nc_sids_spdata.csv", "--events", "SID79", "--exposure", "BIR79"}, 100},
      {{"smooth", "@checks/data/nc_glm.csv", "--events", "SID74", "--exposure", "BIR74"}, 100},
      {{"smooth", "@checks/data/nc_counties_nad27.geojson", "--events", "SID79", "--exposure", "BIR79"}, 100},
      {{"hotspots", "@checks/data/auckland.csv", "--events", "deaths_1977_85", "--exposure", "under5_1981", "--neighbours", "edges:@checks/data/auckland_edges.csv"}, 167},
      {{"hotspots", "@data/cambridge/DEMOGRAPHICS_Tracts2020.geojson", "--events", "ALAND20", "--neighbours", "nearest:4"}, 33},
      {{"regress", "@checks/data/nc_sids74.csv", "--events", "SID74", "--exposure", "BIR74", "--on", "centroid_lon,centroid_lat", "--rows"}, 100},
      {{"parse", "--file", "@checks/data/usps_suffix_primary.csv", "--column", "standard"}, 206},
      {{"zonal", "@checks/data/lux.geojson", "@checks/data/lux_elev.tif"}, 12},
  };
  for (const Verb& verb : verbs) {
    std::vector<std::string> words = verb.words;
    for (std::string& word : words) {
      if (const auto at = word.find('@'); at != std::string::npos) word.replace(at, 1, folder.string() + "/");
    }
    words.emplace_back("--quiet");
    const Ran ran = leeward(words);
    ASSERT_EQ(ran.status, 0) << verb.words[0] << " " << verb.words[1] << ": " << ran.err;
    EXPECT_EQ(csvOfText(ran.out).rows(), verb.rows) << verb.words[0] << " " << verb.words[1];
  }
}

TEST(OpenDataWalkTest, TheChecksAreasAndGridsGoIntoStudies) {
  LEEWARD_OUTSIDE_DATA(folder, "");
  const StudyFolder grid("Grid");
  expectTakenIn(grid, {"checks/data/zonal_polys.geojson", "areas", 5, 0});
  expectTakenIn(grid, {"checks/data/zonal_grid.asc", "heat", 0, 0, {"--crs", "EPSG:32617", "--measures", "proxy", "--unit", "share"}});
  const StudyFolder counties("Counties");
  expectTakenIn(counties, {"checks/data/nc_counties_nad27.geojson", "areas", 100, 0});
  expectTakenIn(counties, {"checks/data/nc_counties_nad27.geojson", "census", 100, 0, {"--map", "id=FIPSNO"}});
  const StudyFolder squares("Squares");
  expectTakenIn(squares, {"checks/data/apportion_source.geojson", "areas", 3, 0});
  expectTakenIn(squares, {"checks/data/apportion_target.geojson", "jurisdictions", 4, 0});
  const StudyFolder lux("Hills");
  expectTakenIn(lux, {"checks/data/lux.geojson", "areas", 12, 0});
  expectTakenIn(lux, {"checks/data/lux_elev.tif", "heat", 0, 0, {"--measures", "proxy", "--unit", "m"}});
}

}  // namespace
}  // namespace leeward::test
