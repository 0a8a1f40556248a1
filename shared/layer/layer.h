#pragma once
/// Layers and rasters: files that GDAL reads, as columns and back. No GDAL type leaves this folder.
///
/// Only an allow-list of drivers is opened (CSV and other plain text is read by shared/table/csv.h), without
/// network, without virtual file systems from names, with limits on size.
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/geo/crs.h"
#include "shared/geo/geometry.h"
#include "shared/table/table.h"

namespace leeward {

struct Layer {
  std::string name;
  Table table;
  Geometries geometry;  ///< empty, or one row for each row of the table
  Crs crs;              ///< unknown if the file doesn't say (or there is no geometry)
  std::vector<std::string> remarks;  ///< what was read otherwise than it stands in the file, one sentence each

  std::size_t rows() const { return geometry.empty() ? table.rows() : geometry.size(); }
  bool hasGeometry() const { return !geometry.empty(); }
};

/// How to read points out of a plain table, and what to believe about the file.
struct LayerRequest {
  std::string source;               ///< FILE or FILE#LAYER
  std::string x_column, y_column;   ///< for tables; both or neither
  std::string crs;                  ///< for tables and files that don't say; "" = unknown, or EPSG:4326 for lon/lat headings
  std::size_t row_limit = 0;        ///< 0 = all; previews read a few
};

/// Reads a vector file or table by its content and extension: CSV, TSV, XLSX, GeoPackage, GeoJSON, Shapefile,
/// FlatGeobuf. Text columns that hold only plain numbers without leading zeros are still Text for CSV and XLSX
/// (Column::asReal reads them); typed formats keep their types. Dates come as ISO text.
/// Errors: NotFound (file, layer, column), Unsupported (no such driver, a text file named .xlsx), BadData
/// (broken, empty), Cancelled.
Result<Layer> readLayer(const LayerRequest& request, Progress& progress);
/// Layer names in a file, in order.
Result<std::vector<std::string>> layerNames(const std::string& file);

/// Writes by extension: .gpkg .geojson .csv .fgb (GeoJSON in EPSG:4326; CSV without geometry, or with lon and
/// lat columns for points). Written beside and renamed in. owner_only: mode 0600. Rows keep their order; a layer with
/// rows without a place can't become .fgb (Unsupported). Equal layers give equal bytes.
Result<void> writeLayer(const Layer& layer, const std::filesystem::path& file, Progress& progress, bool owner_only = false);

/// Reprojects a whole layer; the count of vertices that could not be placed goes to `lost`.
Result<Layer> reprojected(Layer layer, const Crs& to, std::size_t* lost = nullptr);

/// A north-up single-band raster, row 0 at the top.
struct Raster {
  std::size_t columns = 0;
  std::size_t rows = 0;
  double left = 0;    ///< x of the left edge of column 0
  double top = 0;     ///< y of the top edge of row 0
  double cell_x = 1;  ///< > 0
  double cell_y = 1;  ///< > 0, downwards
  Crs crs;
  std::vector<float> values;  ///< row-major; nan = no data

  float at(std::size_t row, std::size_t column) const { return values[row * columns + column]; }
};

/// GeoTIFF or ASCII grid; the first band, scale and offset applied, no-data as nan. Rotated rasters: Unsupported.
Result<Raster> readRaster(const std::filesystem::path& file, Progress& progress);
/// GeoTIFF (float32, deflate), written beside and renamed in.
Result<void> writeRaster(const Raster& raster, const std::filesystem::path& file, Progress& progress);

}  // namespace leeward
