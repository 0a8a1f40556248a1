#pragma once
/// Columnar tables: what every reader gives and every writer takes.
///
/// A Table has named columns of equal length; a column holds text, whole numbers or real numbers, each
/// value present or missing. Rows are 0-based here; messages to people count from 1 and name the line of
/// the file (Table::lines). Text lies in one arena per column, not in a string per row.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace leeward {

class Column {
 public:
  enum class Kind { Text, Integer, Real };

  Column(std::string name, Kind kind);
  static Column text(std::string name, const std::vector<std::string>& values);   ///< "" stays a present empty text
  static Column reals(std::string name, const std::vector<double>& values);       ///< nan becomes missing
  static Column integers(std::string name, const std::vector<std::int64_t>& values);

  /// From whole arrays, without a look at each value: present is 1 or 0 a row and as long as the rest. Text: row r is
  /// bytes[ends[r - 1], ends[r]), nothing where missing; reals become nan where missing.
  Column(std::string name, std::string bytes, std::vector<std::uint64_t> ends, std::vector<std::uint8_t> present);
  Column(std::string name, std::vector<std::int64_t> values, std::vector<std::uint8_t> present);
  Column(std::string name, std::vector<double> values, std::vector<std::uint8_t> present);

  const std::string& name() const { return name_; }
  void rename(std::string name) { name_ = std::move(name); }
  Kind kind() const { return kind_; }
  std::size_t size() const { return present_.size(); }
  void reserve(std::size_t rows);
  void expect(double times);  ///< makes room for so many times the rows held now, and their text

  void addMissing();                         ///< the next value is not there
  void addText(std::string_view value);      ///< on a Text column only
  void addInteger(std::int64_t value);       ///< on an Integer column only
  void addReal(double value);                ///< on a Real column only; nan is missing

  bool isMissing(std::size_t row) const { return present_[row] == 0; }
  /// The text as it is, or a number written in the C locale; "" when missing. Views live as long as the column.
  std::string asText(std::size_t row) const;
  std::string_view textAt(std::size_t row) const;        ///< Text columns only; "" when missing
  /// A number, or text that is wholly a plain number; nothing otherwise.
  std::optional<double> asReal(std::size_t row) const;
  std::optional<std::int64_t> asInteger(std::size_t row) const;
  /// All rows as doubles, nan where asReal gives nothing.
  std::vector<double> toReals() const;

 private:
  struct Texts {
    std::string bytes;
    std::vector<std::uint64_t> ends;
  };
  std::string name_;
  Kind kind_;
  std::variant<Texts, std::vector<std::int64_t>, std::vector<double>> values_;
  std::vector<std::uint8_t> present_;
};

class Table {
 public:
  std::size_t rows() const { return columns_.empty() ? rows_ : columns_.front().size(); }
  void setRows(std::size_t rows) { rows_ = rows; }  ///< for a table without columns (geometry alone)
  std::size_t width() const { return columns_.size(); }
  const std::vector<Column>& columns() const { return columns_; }
  Column& column(std::size_t index) { return columns_[index]; }
  const Column& column(std::size_t index) const { return columns_[index]; }

  /// Appends a column; the name is made unique ("name_2") if taken. Its size must equal rows() unless the table is empty.
  Column& add(Column column);
  /// Exact name first, else without regard to ASCII case; null if there is none.
  const Column* find(std::string_view name) const;
  std::optional<std::size_t> indexOf(std::string_view name) const;
  std::vector<std::string> names() const;
  /// The rows in the given order (rows may repeat or be left out).
  Table take(const std::vector<std::size_t>& rows) const;

  /// 1-based line of the file where each row began; empty if the source has no lines.
  std::vector<std::uint64_t> lines;

 private:
  std::vector<Column> columns_;
  std::size_t rows_ = 0;
};

}  // namespace leeward
