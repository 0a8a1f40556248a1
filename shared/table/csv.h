#pragma once
/// Comma-separated values (RFC 4180, and what spreadsheets make of it).
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/progress.h"
#include "shared/table/table.h"

namespace leeward {

struct CsvRead {
  Table table;                        ///< all columns Text; a field that is not there is missing, an empty one too
  char separator = ',';
  bool was_windows_1252 = false;      ///< not UTF-8: read as Windows-1252, and said so
  std::vector<std::uint64_t> ragged;  ///< lines with more fields than headings; the extra ones are left out
  std::vector<std::string> repeated;  ///< headings that stand twice; the later column is called NAME_2
};

/// Reads a file with one heading row. UTF-8 or UTF-16 with or without BOM, else Windows-1252; separator
/// , ; tab or | found from the heading row; quotes as RFC 4180; LF, CRLF or CR. Table::lines is filled.
/// Streamed in pieces: memory is that of the columns, not of the file twice.
/// Errors: NotFound, BadData (empty, binary content, an unclosed quote: its line), Cancelled.
Result<CsvRead> readCsv(const std::filesystem::path& file, Progress& progress, std::size_t row_limit = 0);

/// The same, a stretch of rows at a time: memory is that of one stretch, however long the file.
class CsvStretches {
 public:
  static Result<CsvStretches> open(const std::filesystem::path& file, bool as_windows_1252 = false);
  CsvStretches(CsvStretches&&) noexcept;
  CsvStretches& operator=(CsvStretches&&) noexcept;
  ~CsvStretches();

  /// The next rows: at most so many, and no more once their values have so many bytes (0 = no limit). The first stretch comes even if the
  /// file has headings alone. Nothing after the last row, or when the text turned out not to be UTF-8 (then open it anew).
  Result<std::optional<CsvRead>> next(std::size_t rows, std::size_t bytes, Progress& progress);
  bool notUtf8() const;
  bool ended() const;  ///< the end of the file was reached

 private:
  struct State;
  explicit CsvStretches(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

/// One field quoted as needed.
std::string csvField(std::string_view value);
/// The whole table, CRLF-free (LF), heading row first. For people and their spreadsheets: text that begins with = + - @, a tab or a
/// carriage return, and is no number, gets an apostrophe in front, so that nothing that somebody typed at a door is run as a formula.
std::string toCsv(const Table& table);
/// One row as a line without its line end.
std::string csvRow(const Table& table, std::size_t row);

}  // namespace leeward
