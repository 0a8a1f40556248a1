#pragma once
/// Public layers (premises, streets, blocks, areas, jurisdictions, census, heat, weather) brought to one set of column names.
#include <map>
#include <string>
#include <vector>

#include "importers/column_map.h"
#include "shared/geo/geometry.h"
#include "shared/layer/layer.h"
#include "shared/table/row_report.h"

namespace leeward::importers {

/// What is known of a layer from its study.
struct Surroundings {
  Bbox study;             ///< longitude and latitude (lonLatBox), to hold coordinates against; empty = not known, or settled before
  bool is_local = false;  ///< a study in plane metres without a place
  std::string called;     ///< as people call the layer ("water"); "" = by its kind
  bool anyway = true;     ///< take the file even if it looks like one of another kind
};

struct PublicLayer {
  Layer layer;       ///< canonical columns only, in the CRS of the file
  ColumnMap map;
  RowReport report;  ///< refused rows; report.remarks: what was assumed, mended, or looks odd
  std::string unit;  ///< weather: "°C" (always, after conversion); heat: as said by the unit setting; else ""
  std::string crs;   ///< the system that was taken where the file doesn't say or can't be right (importers/whereabouts.h); else ""
  std::string heat_kind;  ///< heat: land surface, air, index or proxy, where names say it; else ""
  std::string year;  ///< blocks, areas, census: as headings or names say it (vintage.h), else ""
  std::map<std::string, std::string> meanings;  ///< census: what the second row of headings says of a column
};

/// Reads and tidies a public layer. Canonical columns (all there, missing where the file has none):
///
/// premises       points; id, number, street, unit, place, postcode (Text). A full address is split into number and rest;
///                a suffix column is joined to the number ("11" "-A" -> "11-A"). Areas become points inside them.
/// streets        lines; id, name, l_from, l_to, r_from, r_to (Text as in the file, "0" is missing), l_postcode, r_postcode,
///                l_place, r_place, kind, from_node, to_node (Text).
/// blocks, areas, jurisdictions
///                areas (repaired, with notes); id, name, group_id (Text; of 15-digit census block ids the first 12, else
///                missing), people, housing_units (Real).
/// census         id (Text), then each estimate as <name> and its margin as <name>_moe (Real; the margin column is there only
///                if the file has it), other text columns left out. Special values become missing (margins of
///                controlled estimates zero), counted in remarks. Areas
///                if the file has them.
/// weather        date (Text, ISO), tmax_c, tmin_c (°C), precipitation_mm, humidity (%), wind (Real, as in the file).
/// heat           a raster: no table, it is only checked (suspicious constants, share of no data, CRS); read it by readRaster. Areas:
///                value (Real), repaired.
///
/// request.x_column, y_column count as overrides lon, lat. Tables without geometry take points from them; without a CRS
/// they are WGS 84 only if the headings say longitude and latitude and the values fit (said in a remark).
/// Refused: rows without id where another row has one, twice the same id (both kept only for premises and streets, where ids
/// may repeat), areas of which nothing is left once they are repaired, 0,0 positions, unreadable numbers and dates, rows without geometry where one is needed.
/// Errors: those of readLayer; BadData (missing column, no rows, every row refused); CrsMismatch for a shapefile without
/// .prj and tables in unknown coordinates, mended by `crs`; InvalidArgument for overrides, for a kind of the crew, for weather
/// in an unknown unit; Cancelled.
/// around.anyway = false: BadData for a file that is clearly of another kind (what_is_it.h).
/// request.crs, said by a person, outranks what the file says.
Result<PublicLayer> importPublic(Kind kind, const LayerRequest& request, const Overrides& overrides, const Surroundings& around, Progress& progress);
Result<PublicLayer> importPublic(Kind kind, const LayerRequest& request, const Overrides& overrides, Progress& progress, bool anyway = true);

}  // namespace leeward::importers
