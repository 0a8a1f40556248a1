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
  std::optional<GeometryKind> wanted{};  ///< of several layers the only one with such shapes is taken, and said; else one must be named
};

/// Reads a vector file or table by its content and extension: CSV, TSV, XLSX, ODS, GeoPackage, GeoJSON, Shapefile (without
/// .shx, .dbf or .prj too), FlatGeobuf, GPX (waypoints, else track points), KML, KMZ, file geodatabase (folder, or packed),
/// and shapefiles and the like packed in a ZIP. Text columns that hold only plain numbers without leading zeros are still Text
/// for CSV, XLSX and ODS (Column::asReal reads them); typed formats keep their types. Dates come as ISO text, with Z or an offset
/// where the file has one. Nothing is unpacked to disk or written beside the file.
/// Errors: NotFound (file, layer, column), Unsupported (no such driver, a text file named .xlsx), BadData
/// (broken, empty, XML that declares a document type), ResourceExhausted (an archive beyond the limits of FORMATS.md), Cancelled.
Result<Layer> readLayer(const LayerRequest& request, Progress& progress);
/// Whether readLayer reads the file as plain text (CSV and the like): by its name, or by its content under a strange name.
bool isPlainText(const std::string& file);
/// Layer names in a file, in order.
Result<std::vector<std::string>> layerNames(const std::string& file);

/// Writes by extension: .gpkg .geojson .csv .fgb (GeoJSON in EPSG:4326; CSV without geometry, or with lon and
/// lat columns for points). Written beside and renamed in. owner_only: mode 0600. Rows keep their order; a layer with
/// rows without a place can't become .fgb (Unsupported). Equal layers give equal bytes.
Result<void> writeLayer(const Layer& layer, const std::filesystem::path& file, Progress& progress, bool owner_only = false);

/// The table as CSV shows it: layers of single points get the columns lon and lat (x and y where they lie in plane metres or nobody
/// knows where), unless both are there.
Result<Table> tableWithPlaces(const Layer& layer);

/// Reprojects a whole layer; the count of vertices that could not be placed goes to `lost`.
Result<Layer> reprojected(Layer layer, const Crs& to, std::size_t* lost = nullptr);

/// What a camera or phone wrote into a picture (EXIF).
struct Picture {
  std::string taken;             ///< "2025-03-04T14:05:33" by the camera's clock, wherever that was set to; "" if it doesn't say
  std::optional<Point> lon_lat;  ///< EPSG:4326; nothing if it doesn't say (0/0 is a device without a fix)
};
/// A JPEG's time and place; the file isn't changed. NotFound, Unsupported (no JPEG), BadData (cut off).
/// Source: Exif 2.32 (CIPA DC-008), tags DateTimeOriginal, DateTimeDigitized, DateTime, GPSLatitude(Ref), GPSLongitude(Ref).
Result<Picture> readPicture(const std::filesystem::path& file);

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

/// A picture of the ground, north up, row 0 at the top: an aerial photograph, a scanned map.
struct GroundPicture {
  std::size_t columns = 0, rows = 0;
  double left = 0, top = 0, cell_x = 1, cell_y = 1;  ///< as Raster's
  Crs crs;
  std::vector<std::uint32_t> argb;  ///< row-major, 0xAARRGGBB; alpha 0 = nothing there
};
/// GeoTIFF: one band (grey, or by its table of colours), or red, green, blue and perhaps alpha, of eight bits. At most `longest` pixels along the
/// longer side, the mean of what they stand for. Unsupported: turned, more than eight bits, other files; BadData: it doesn't say where it lies.
Result<GroundPicture> readGround(const std::filesystem::path& file, std::size_t longest, Progress& progress);

/// Whether a file is a raster by its content; false for what isn't there.
bool isRaster(const std::filesystem::path& file);
/// GeoTIFF or ASCII grid; the first band, scale and offset applied, no-data as nan. Rotated rasters: Unsupported.
Result<Raster> readRaster(const std::filesystem::path& file, Progress& progress);
/// GeoTIFF (float32, deflate), written beside and renamed in.
Result<void> writeRaster(const Raster& raster, const std::filesystem::path& file, Progress& progress);

}  // namespace leeward
