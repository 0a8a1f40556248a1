#pragma once
/// What the readers of public layers share: the file at hand, and one function a kind.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/public_layer.h"
#include "importers/source.h"

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

  void refuse(std::size_t row, Rows::Slot slot, std::string reason) {
    refused[row] = true;
    rows.refuse(row, slot, std::move(reason));
  }
  void remark(std::string sentence) { report.remarks.push_back(std::move(sentence)); }
  const Geometries& geometry() const { return source.layer.geometry; }
};

Result<Layer> tidyPremises(PublicParts& parts, const LayerRequest& request, Progress& progress);
Result<Layer> tidyStreets(PublicParts& parts, Progress& progress);
Result<Layer> tidyAreas(PublicParts& parts, Progress& progress);   ///< blocks, areas, jurisdictions
Result<Layer> tidyCensus(PublicParts& parts, Progress& progress);
Result<Layer> tidyWeather(PublicParts& parts, Progress& progress);
/// Remarks on a raster.
Result<std::vector<std::string>> checkRaster(const LayerRequest& request, const std::string& unit, Progress& progress);

/// A Text column of one field, rows that are not refused; blank is missing.
Column textColumn(const PublicParts& parts, std::string name, Rows::Slot slot);

// Areas of the kept rows, repaired; notes become remarks.
Geometries repairedAreas(PublicParts& parts, const Geometries& areas);

/// A census code as it should be.
struct GeoId {
  std::string id;
  bool prefix_cut = false;  ///< "1500000US" was in front
  bool padded = false;      ///< a leading zero was put back
};
/// digits: the usual length of the codes in the column (usualDigits), for putting leading zeros back; 0 = leave.
GeoId mendGeoId(std::string_view text, std::size_t digits);
/// Length that ids of lost zeros should have: 15, 12, 11 or 5; 0 if the ids are no census codes.
std::size_t usualDigits(const Rows& rows, Rows::Slot slot);
/// Ids of all rows, mended, with remarks; blank ids, ids rounded by a spreadsheet are refused. Without an id column: row numbers.
std::vector<std::string> idsOf(PublicParts& parts, Rows::Slot slot);

/// The ACS's special values ("-666666666", "(X)", "250,000+" ...): what it stands for, or nothing for other text.
std::optional<std::string_view> specialValue(std::string_view text);

}  // namespace leeward::importers
