#pragma once
/// Which column of a file is taken for which field: guessed, shown, corrected.
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importers/fields.h"
#include "shared/base/result.h"
#include "shared/table/table.h"

namespace leeward::importers {

/// Corrections by hand, field -> heading; an empty heading means "take nothing for this field". Settings go the same
/// way: unit -> "F" or "C" (weather, heat), date_order -> "mdy" or "dmy".
using Overrides = std::map<std::string, std::string>;

/// "address=Street address,date=When". A heading that holds a comma is written in double quotes.
/// InvalidArgument for a pair without '='.
Result<Overrides> parseOverrides(std::string_view pairs);

struct Pick {
  std::string field;
  std::size_t column = 0;            ///< in the table that was guessed from
  std::string heading;
  std::string unit;                  ///< said in the heading: "Max temp (F)" -> "f"; "" none
  double confidence = 0;             ///< 0..1; 1 when given by hand
  std::vector<std::string> samples;  ///< up to three different values, shortened
};

struct ColumnMap {
  Kind kind = Kind::Visits;
  std::vector<Pick> picks;          ///< in the order of fields(kind); a field without column has none
  std::vector<std::string> unused;  ///< headings that serve no field, in the order of the file
  std::map<std::string, std::string> settings;

  const Pick* find(std::string_view field) const;
  std::optional<std::size_t> column(std::string_view field) const;
  std::string setting(const std::string& name) const;  ///< "" if not given
  /// For people: "address <- Street address (0.95): 1402 Oak St | 9 Elm Ave" a line.
  std::string describe() const;
  /// For the ledger: "address=Street address" lines, settings too.
  std::string pairs() const;
};

/// A heading as it is compared: lower case, words parted by single blanks, a unit in brackets taken off
/// ("Max temp (°F)" -> "max temp", "StreetName" -> "street name").
std::string normalHeading(std::string_view heading, std::string* unit = nullptr);

/// Every field's likeliest column, from heading names and contents (the first 200 rows with values). Each column serves
/// one field: the assignment with the best total of squared confidences is taken, ties go to the earlier field and column. Below 0.5 a field
/// stays without column.
ColumnMap guessColumns(Kind kind, const Table& table);

/// The guess corrected by hand; columns that are freed serve no other field. InvalidArgument for a field or column that
/// does not exist (with the nearest names) or one column given to two fields.
Result<ColumnMap> withOverrides(ColumnMap map, const Overrides& overrides, const Table& table);

/// BadData if a required field has no column: what was looked for, which headings are there, how to mend. Visits and
/// sightings need address or lon and lat; premises need number and street, or one full address; blocks their id.
Result<void> checkRequired(const ColumnMap& map, const Table& table);

/// guessColumns, withOverrides and checkRequired in one.
Result<ColumnMap> mapColumns(Kind kind, const Table& table, const Overrides& overrides);

}  // namespace leeward::importers
