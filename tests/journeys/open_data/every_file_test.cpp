// No open file beside the project is forgotten: each can be read, with as many rows as an outside count gives.
#include <gtest/gtest.h>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;

struct Count {
  const char* file;  ///< FILE#LAYER of several
  std::size_t rows;
};

// Counted with Python 3.11's csv, json and sqlite3 modules (rows less the headings, features, SELECT count(*)), not by this code.
constexpr Count kRows[] = {
    {"checks/data/aml.csv", 23}, {"checks/data/apportion_source.geojson", 3}, {"checks/data/apportion_target.geojson", 4}, {"checks/data/auckland.csv", 167},
    {"checks/data/auckland_edges.csv", 772}, {"checks/data/columbus.csv", 49}, {"checks/data/columbus_gal_edges.csv", 230}, {"checks/data/jenks71.csv", 102},
    {"checks/data/lux.geojson", 12}, {"checks/data/nc_counties_nad27.geojson", 100}, {"checks/data/nc_glm.csv", 100}, {"checks/data/nc_queen_edges.csv", 490},
    {"checks/data/nc_sids74.csv", 100}, {"checks/data/nc_sids_spdata.csv", 100}, {"checks/data/pts_cycle_hire_27700.csv", 742}, {"checks/data/pts_hagelloch.csv", 188},
    {"checks/data/pts_properties.csv", 1000}, {"checks/data/pts_redwoodfull.csv", 195}, {"checks/data/pts_sk_moons.csv", 200}, {"checks/data/quine.csv", 146},
    {"checks/data/usps_suffix_primary.csv", 206}, {"checks/data/zonal_grid.csv", 3}, {"checks/data/zonal_polys.geojson", 5}, {"data/boone/boone_acs.gpkg#acs5_2013", 87},
    {"data/boone/boone_acs.gpkg#acs5_2014", 87}, {"data/boone/boone_acs.gpkg#acs5_2015", 85}, {"data/boone/boone_acs.gpkg#acs5_2016", 87}, {"data/boone/boone_acs.gpkg#acs5_2017", 87},
    {"data/boone/boone_acs.gpkg#columbia_neighbs", 4}, {"data/cambridge/BASEMAP_Vegetation.geojson", 96}, {"data/cambridge/BOUNDARY_CDDNeighborhoods.geojson", 13},
    {"data/cambridge/BOUNDARY_CityBoundary.geojson", 1}, {"data/cambridge/BOUNDARY_Zipcodes.geojson", 5}, {"data/cambridge/DEMOGRAPHICS_BlockGroups2020.geojson", 87},
    {"data/cambridge/DEMOGRAPHICS_Blocks1990.geojson", 802}, {"data/cambridge/DEMOGRAPHICS_Blocks2000.geojson", 886}, {"data/cambridge/DEMOGRAPHICS_Blocks2020.geojson", 1044},
    {"data/cambridge/DEMOGRAPHICS_Tracts2020.geojson", 33}, {"data/cambridge/HYDRO_WaterBodies.geojson", 74}, {"data/cambridge/Master_Address_Database_2020-06-15.csv", 22834},
    {"data/cambridge/TRANS_Centerlines.geojson", 2643}, {"data/cambridge/TRANS_Intersections.geojson", 1872}, {"data/cambridge/camDogs.csv", 3942},
    {"data/cambridge/cambridge_address_truth_DERIVED.csv", 20624}, {"data/cambridge/doorway_points_17.csv", 17}, {"data/weather/seattle-weather.csv", 1461}};

struct Size {
  const char* file;
  std::size_t columns, rows;
};
// From the files' own headers (TIFF tags 256 and 257, ncols and nrows), read with Python.
constexpr Size kGrids[] = {{"checks/data/lux_elev.tif", 95, 90}, {"checks/data/zonal_grid.asc", 6, 4}, {"data/cambridge/cambridge_paved_fraction_30m_DERIVED.tif", 267, 195}};

TEST(EveryFileTest, EachLayerAndTableHasItsRows) {
  LEEWARD_OUTSIDE_DATA(folder, "");
  Progress quiet;
  for (const Count& one : kRows) {
    const auto layer = readLayer({.source = (folder / one.file).string()}, quiet);
    ASSERT_OK(layer);
    EXPECT_EQ(layer->rows(), one.rows) << one.file;
  }
  for (const Size& one : kGrids) {
    const auto raster = readRaster(folder / one.file, quiet);
    ASSERT_OK(raster);
    EXPECT_EQ(raster->columns, one.columns) << one.file;
    EXPECT_EQ(raster->rows, one.rows) << one.file;
  }
}

TEST(EveryFileTest, NoneIsForgotten) {
  LEEWARD_OUTSIDE_DATA(folder, "");
  std::vector<std::string> known;
  for (const Count& one : kRows) known.emplace_back(std::string(one.file).substr(0, std::string_view(one.file).find('#')));
  for (const Size& one : kGrids) known.emplace_back(one.file);
  for (const char* place : {"data", "checks/data"}) {
    for (const auto& file : filesIn(folder / place)) {
      const auto ending = file.extension();
      if (ending == ".md" || ending == ".xml" || ending == ".txt" || ending == "") continue;  // words about them, and labelled strings that are no layer
      EXPECT_TRUE(std::ranges::find(known, fs::relative(file, folder).string()) != known.end()) << file;
    }
  }
  Progress quiet;
  EXPECT_EQ(layerNames((folder / "data/boone/boone_acs.gpkg").string())->size(), 6U);
}

TEST(EveryFileTest, TablesWithoutPlacesAreReadByABareVerb) {
  LEEWARD_OUTSIDE_DATA(folder, "checks/data");
  for (const auto& [file, value] : std::vector<std::pair<const char*, const char*>>{{"jenks71.csv", "value"}, {"quine.csv", "Days"}, {"aml.csv", "time"}}) {
    const Ran ran = leeward({"classes", (folder / file).string(), "--value", value, "--count", "3", "--by", "equal", "--quiet"});
    EXPECT_EQ(ran.status, 0) << file << ": " << ran.err;
  }
}

}  // namespace
}  // namespace leeward::test
