#include "shared/table/csv.h"

#include <fstream>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "shared/table/csv_parser.h"
#include "shared/table/csv_text.h"

namespace leeward {
namespace {

Problem bad(const std::filesystem::path& file, std::string what, std::string mend) {
  return {ProblemCode::BadData, std::move(what), file.string(), std::move(mend)};
}

/// What a file that is no table of text looks like from its first bytes; null for text.
const char* notText(std::string_view start) {
  if (start.starts_with("PK\x03\x04")) return "a ZIP archive or a spreadsheet workbook";
  if (start.starts_with("\xD0\xCF\x11\xE0")) return "an old spreadsheet workbook";
  if (start.starts_with("SQLite format 3")) return "a database";
  if (start.starts_with("%PDF")) return "a PDF";
  const std::string text = lowerAscii(trim(start.substr(0, 200)));
  if (text.starts_with("<!doctype html") || text.starts_with("<html")) return "a web page";
  if (text.starts_with('{')) return "JSON, such as a map";
  return start.find('\0') != std::string_view::npos ? "binary content" : nullptr;
}

/// The problem of a name that is no file that can be read.
Result<void> checkFile(const std::filesystem::path& file) {
  std::error_code error;
  if (!std::filesystem::exists(file, error)) {
    return Problem{ProblemCode::NotFound, "there is no such file", file.string(), "Check the name and the folder"};
  }
  if (std::filesystem::is_directory(file, error)) return bad(file, "this is a folder, not a file", "Name a file in it");
  if (!std::filesystem::is_regular_file(file, error)) return bad(file, "this is no ordinary file but a pipe or a device", "Save what comes from it in a file first");
  if (!std::ifstream(file)) return Problem{ProblemCode::Io, "the file can't be read", file.string(), "Check its permissions"};
  return {};
}

}  // namespace

struct CsvStretches::State {
  State(const std::filesystem::path& path, bool as_windows_1252) : file(path), windows_1252(as_windows_1252), text(path, as_windows_1252) {
    std::error_code error;
    size = static_cast<double>(std::filesystem::file_size(path, error));
  }

  std::filesystem::path file;
  bool windows_1252;
  CsvText text;
  CsvParser parser;
  double size = 0;
  std::size_t taken = 0;  ///< of text's present piece
  bool ended = false;
  bool begun = false;     ///< the first stretch, which may have no rows, was given

  /// Takes what is left of the present piece, or the next one.
  Result<void> advance(std::size_t rows, std::size_t bytes, Progress& progress) {
    if (taken >= text.text().size()) {
      if (!text.next()) {
        ended = true;
        if (text.failed()) return Problem{ProblemCode::Io, "reading failed in the middle of the file", file.string(), "Check the disk"};
        if (const std::uint64_t line = parser.finish(); line != 0) {
          return bad(file, "a quote is opened and never closed", "Close it, or write it twice if it belongs to the text").at(fmt::format("line {}", line));
        }
        return {};
      }
      taken = 0;
      LEEWARD_TRY(progress.checkStop());
      if (const char* kind = text.first() ? notText(text.text()) : text.text().find('\0') != std::string::npos ? "binary content" : nullptr) {
        return bad(file, fmt::format("this is not text but {}", kind), "Save it as CSV, or give it the name that belongs to its format");
      }
      if (text.notUtf8()) return {};
      progress.report(static_cast<double>(text.bytes()) / std::max(size, 1.0), "reading " + file.filename().string());
    }
    const bool fresh = parser.rows() == 0;
    taken += parser.take(std::string_view(text.text()).substr(taken));
    if (parser.isBeyondMeasure()) {
      return bad(file, "a cell is longer than 16 MB, or there are more than 20,000 columns: a quote may be open, or line ends missing", "Close the quote, or save the file anew as CSV")
          .at(fmt::format("line {}", parser.line()));
    }
    if (fresh && !parser.full() && parser.rows() > 0) {
      const double wanted = std::min(size, bytes == 0 ? size : static_cast<double>(bytes)) / static_cast<double>(text.text().size());
      parser.expect(rows == 0 ? wanted : std::min(wanted, static_cast<double>(rows) / static_cast<double>(parser.rows())));
    }
    return {};
  }
};

CsvStretches::CsvStretches(std::unique_ptr<State> state) : state_(std::move(state)) {}
CsvStretches::CsvStretches(CsvStretches&&) noexcept = default;
CsvStretches& CsvStretches::operator=(CsvStretches&&) noexcept = default;
CsvStretches::~CsvStretches() = default;

Result<CsvStretches> CsvStretches::open(const std::filesystem::path& file, bool as_windows_1252) {
  LEEWARD_TRY(checkFile(file));
  return CsvStretches(std::make_unique<State>(file, as_windows_1252));
}

bool CsvStretches::notUtf8() const { return state_->text.notUtf8(); }
bool CsvStretches::ended() const { return state_->ended; }

Result<std::optional<CsvRead>> CsvStretches::next(std::size_t rows, std::size_t bytes, Progress& progress) {
  CsvParser& parser = state_->parser;
  parser.limit(rows, bytes);
  while (!state_->ended && !parser.full() && !notUtf8()) LEEWARD_TRY(state_->advance(rows, bytes, progress));
  if (notUtf8() && !state_->windows_1252) return std::optional<CsvRead>{};
  if (!parser.headed() && parser.rows() == 0 && state_->ended && !state_->begun) return bad(state_->file, "the file is empty", "It needs a row of headings and rows under it");
  if (state_->begun && parser.rows() == 0) return std::optional<CsvRead>{};
  state_->begun = true;
  CsvRead read = parser.result();
  read.was_windows_1252 = state_->windows_1252;
  return std::optional(std::move(read));
}

Result<CsvRead> readCsv(const std::filesystem::path& file, Progress& progress, std::size_t row_limit) {
  for (const bool as_windows_1252 : {false, true}) {
    LEEWARD_ASSIGN(stretches, CsvStretches::open(file, as_windows_1252));
    LEEWARD_ASSIGN(read, stretches.next(row_limit, 0, progress));
    if (read) return *std::move(read);
  }
  return bad(file, "this is not text", "Save it as CSV");
}

}  // namespace leeward
