#pragma once
/// Reading a file for an importer: the table, and what had to be assumed on the way.
#include <string>
#include <string_view>
#include <vector>

#include "importers/column_map.h"
#include "shared/layer/layer.h"
#include "shared/table/csv.h"
#include "shared/table/row_report.h"

namespace leeward::importers {

/// Rows that spreadsheets write without meaning any: blank ones, and the headings once more on every printed page. Left out, and counted.
struct IdleRows {
  std::size_t blank = 0, repeats = 0;
  std::vector<std::string> lines;  ///< of the first repeats
  void drop(Layer& layer);
  std::vector<std::string> remarks() const;
};

struct Source {
  Layer layer;
  std::string path;                   ///< the file, without #LAYER
  bool is_csv = false;
  std::vector<std::string> remarks;   ///< Windows-1252, a layer chosen among several, and the like
  std::vector<std::uint64_t> ragged;  ///< lines with more fields than headings
};

/// Plain text by shared/table/csv.h, all else by readLayer. Rows that are blank throughout are left out and counted in a remark.
/// BadData if there are no rows or no columns.
Result<Source> readSource(const LayerRequest& request, Progress& progress);
/// What was read of plain text, idle rows and all.
Source sourceOf(CsvRead read, const std::string& path);
/// There are no rows: the problem that says so.
Problem noRows(const std::string& path);

/// SHA-256 of a file; of a shapefile with its side files, and of a folder (a geodatabase), over names and contents of all parts.
Result<std::string> sourceHash(const std::string& path);

/// The file of "FILE" or "FILE#LAYER".
std::string fileOf(const std::string& source);

/// The cells of a table as text, by field. Columns of numbers are written out once.
class Rows {
 public:
  /// Where a field stands; invalid if the file has no such column.
  struct Slot {
    int column = -1;
    explicit operator bool() const { return column >= 0; }
  };

  /// All arguments must outlive this.
  Rows(const Table& table, const ColumnMap& map, RowReport& report);

  std::size_t size() const { return table_.rows(); }
  Slot slot(std::string_view field) const;
  /// Trimmed; "" if blank, missing or without column.
  std::string_view at(Slot slot, std::size_t row) const;
  std::uint64_t line(std::size_t row) const { return table_.lines.empty() ? row + 2 : table_.lines[row]; }
  std::string heading(Slot slot) const;
  /// Keeps the row in the report.
  void refuse(std::size_t row, Slot slot, std::string reason);
  /// Refuses rows with more fields than headings; true at [row] if refused.
  std::vector<bool> refuseRagged(const std::vector<std::uint64_t>& ragged);

 private:
  const Table& table_;
  const ColumnMap& map_;
  RowReport& report_;
  Slot id_;                                  ///< visit_id or sighting_id
  std::vector<Column> written_;             ///< number columns as text
  std::vector<const Column*> text_columns_;  ///< by column: the table's own, or one of written_
};

}  // namespace leeward::importers
