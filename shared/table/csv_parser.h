#pragma once
/// Fields and rows of comma-separated text that comes in pieces. For shared/table/*.cpp only.
#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "shared/table/csv.h"

namespace leeward {

/// Takes text in pieces and fills columns. The first row names them.
class CsvParser {
 public:
  /// Reads on until the text ends or the table is full; from where the rest is to be taken later.
  std::size_t take(std::string_view text);
  /// The table is full at so many rows or bytes of values, whichever comes first; 0 = never.
  void limit(std::size_t rows, std::size_t bytes) { row_limit_ = rows, byte_limit_ = bytes; }
  bool full() const;

  /// Makes room for `times` the rows read so far.
  void expect(double times);
  /// After the last piece. The line where a quote was opened and never closed, or 0.
  std::uint64_t finish();

  /// A cell of over 16 MB, or over 20,000 headings: no table, but a quote that was never closed or a file without line ends. Whoever goes
  /// on taking text holds all of it in memory.
  bool isBeyondMeasure() const { return field_.size() > 16'000'000 || headings_.size() > 20'000; }
  std::uint64_t line() const { return in_quotes_ ? quote_line_ : row_line_; }  ///< where what is being read began
  bool headed() const { return headed_; }
  bool started() const { return started_; }
  std::size_t rows() const { return read_.table.lines.size(); }
  /// The rows since the last time, with the headings; only between rows (full() or after finish()).
  CsvRead result();

 private:
  std::size_t start(std::string_view text);
  std::size_t takePlain(std::string_view text, std::size_t at);
  std::size_t takeQuoted(std::string_view text, std::size_t at);
  void append(std::string_view run);
  void endField(std::string_view value);
  void endRow();
  void makeColumns();
  void emptyColumns();

  std::size_t row_limit_ = 0, byte_limit_ = 0, bytes_ = 0;
  CsvRead read_;
  std::vector<std::string> headings_;
  std::vector<Column> columns_;
  std::array<bool, 256> special_{};
  char separator_ = ',';
  std::string field_;
  std::size_t field_index_ = 0;
  std::uint64_t line_ = 1;
  std::uint64_t row_line_ = 1;
  std::uint64_t quote_line_ = 0;
  bool started_ = false;
  bool headed_ = false;
  bool in_quotes_ = false;
  bool quoted_cr_ = false;
  bool after_quote_ = false;
  bool after_cr_ = false;
  bool field_used_ = false;
  bool extra_ = false;
};

}  // namespace leeward
