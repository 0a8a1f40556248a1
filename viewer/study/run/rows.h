#pragma once
/// Small helpers to read and build tables row by row.
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "shared/base/dates.h"
#include "shared/geo/geometry.h"
#include "shared/table/table.h"

namespace leeward::study {

/// A column that must be there (a table of our own making); its absence is a bug, so it ends the program.
const Column& columnOf(const Table& table, const std::string& name);
std::optional<Date> dateAt(const Column& column, std::size_t row);
/// lon and lat columns as a point; nothing if either is missing.
std::optional<Point> pointAt(const Table& table, std::size_t row);

/// Builds a table column by column from values that may be missing.
class TableMaker {
 public:
  TableMaker& texts(std::string name, const std::vector<std::optional<std::string>>& values);
  TableMaker& texts(std::string name, const std::vector<std::string>& values);     ///< "" stays ""
  TableMaker& named(std::string name, const std::vector<std::string>& values);     ///< "" becomes missing
  TableMaker& reals(std::string name, const std::vector<double>& values);          ///< nan is missing
  TableMaker& rounded(std::string name, std::vector<double> values);  ///< to seven significant digits: what a sum adds behind them says nothing
  TableMaker& integers(std::string name, const std::vector<std::int64_t>& values);
  TableMaker& integers(std::string name, const std::vector<std::optional<std::int64_t>>& values);
  Table done() { return std::move(table_); }

 private:
  Table table_;
};

}  // namespace leeward::study
