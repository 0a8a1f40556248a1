#pragma once
/// What the readers of public layers share: the file at hand, and one function a kind.
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/public_layer.h"
#include "importers/source.h"
#include "importers/whereabouts.h"

namespace leeward::importers {

/// One public file while it is tidied. Refused rows are marked and go to the report through refuse().
struct PublicParts {
  Kind kind;
  const Source& source;
  const ColumnMap& map;
  Rows& rows;
  RowReport& report;
  std::vector<bool> refused;
  std::string unit;  ///< out: weather, heat
  Whereabouts known = {};  ///< where the study lies, what a person said of the coordinates
  std::optional<Believed> believed = {};  ///< out: what was assumed of them
  std::map<std::string, std::string> meanings = {};  ///< out: census, what a second row of headings says of a column

  void refuse(std::size_t row, Rows::Slot slot, std::string reason) {
    refused[row] = true;
    rows.refuse(row, slot, std::move(reason));
  }
  void remark(std::string sentence) { report.remarks.push_back(std::move(sentence)); }
  const Geometries& geometry() const { return source.layer.geometry; }
};

Result<Layer> tidyPremises(PublicParts& parts, Progress& progress);
Result<Layer> tidyStreets(PublicParts& parts, Progress& progress);
Result<Layer> tidyAreas(PublicParts& parts, Progress& progress);   ///< blocks, areas, jurisdictions
Result<Layer> tidyCensus(PublicParts& parts, Progress& progress);
Result<Layer> tidyWeather(PublicParts& parts, Progress& progress);
Result<Layer> tidyHeatAreas(PublicParts& parts, Progress& progress);

/// A raster looked over: what is odd about it, and the system that its coordinates are in.
struct RasterLook {
  std::vector<std::string> remarks;
  Believed crs;
};
Result<RasterLook> lookAtRaster(const LayerRequest& request, const Whereabouts& known, const std::string& unit, Progress& progress);
/// "land surface", "air", "index" or "proxy" where names of files and columns say what a heat layer measures; else "".
std::string heatKindIn(std::string_view names);

/// A Text column of one field, rows that are not refused; blank is missing.
Column textColumn(const PublicParts& parts, std::string name, Rows::Slot slot);

/// Areas repaired; what was changed and what is odd about them (slivers, neighbours that overlap) becomes remarks that name the first
/// lines. row_of: the file's row of each area.
Result<Geometries> repairedAreas(PublicParts& parts, const Geometries& areas, const std::vector<std::size_t>& row_of, Progress& progress);

/// A census code as it should be.
struct GeoId {
  std::string id;
  bool prefix_cut = false;  ///< "1500000US" was in front
  bool padded = false;      ///< a leading zero was put back
};
/// digits: the usual length of the codes in the column (usualDigits), for putting leading zeros back; 0 = leave.
GeoId mendGeoId(std::string_view text, std::size_t digits);
/// Length that ids of lost zeros should have: 15, 12, 11, 5 or 2; 0 if the ids are no census codes.
std::size_t usualDigits(const Rows& rows, Rows::Slot slot);
/// Ids of all rows, mended, with remarks; blank ids, ids rounded by a spreadsheet are refused. Without an id column: row numbers.
std::vector<std::string> idsOf(PublicParts& parts, Rows::Slot slot);

/// The ACS's special values ("-666666666", "(X)", "250,000+" ...): what it stands for, or nothing for other text.
std::optional<std::string_view> specialValue(std::string_view text);

}  // namespace leeward::importers
