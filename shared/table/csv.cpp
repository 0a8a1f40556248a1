#include "shared/table/csv.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <fstream>
#include <optional>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward {
namespace {

constexpr std::size_t kPieceBytes = 1U << 20U;

enum class Encoding { Utf8, Utf16Little, Utf16Big, Windows1252 };

/// How many of the last bytes belong to a UTF-8 sequence that goes on in the next piece.
std::size_t unfinishedTail(std::string_view text) {
  for (std::size_t back = 1; back <= std::min<std::size_t>(3, text.size()); ++back) {
    const auto byte = static_cast<unsigned char>(text[text.size() - back]);
    if (byte < 0x80) return 0;
    if (byte >= 0xC0) return (byte >= 0xF0 ? 4U : byte >= 0xE0 ? 3U : 2U) > back ? back : 0;
  }
  return 0;
}

/// isValidUtf8 after a quick look for plain ASCII, which most pieces are.
bool isUtf8Piece(std::string_view text) {
  std::size_t at = 0;
  for (; at + 8 <= text.size(); at += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, text.data() + at, 8);
    if ((word & 0x8080808080808080ULL) != 0) break;
  }
  return isValidUtf8(text.substr(at));
}

void appendUtf8(std::string& out, std::uint32_t code) {
  if (code < 0x80) {
    out += static_cast<char>(code);
    return;
  }
  if (code < 0x800) {
    out += static_cast<char>(0xC0U | (code >> 6U));
  } else {
    if (code < 0x10000) {
      out += static_cast<char>(0xE0U | (code >> 12U));
    } else {
      out += static_cast<char>(0xF0U | (code >> 18U));
      out += static_cast<char>(0x80U | ((code >> 12U) & 0x3FU));
    }
    out += static_cast<char>(0x80U | ((code >> 6U) & 0x3FU));
  }
  out += static_cast<char>(0x80U | (code & 0x3FU));
}

/// Gives a file as pieces of UTF-8 that end between characters.
class Pieces {
 public:
  Pieces(const std::filesystem::path& file, bool as_windows_1252) : in_(file, std::ios::binary) {
    std::array<char, 3> mark{};
    in_.read(mark.data(), 3);
    const std::string_view read(mark.data(), static_cast<std::size_t>(in_.gcount()));
    std::streamoff skip = 0;
    if (read.starts_with("\xFF\xFE")) encoding_ = Encoding::Utf16Little, skip = 2;
    else if (const auto unmarked = unmarkedUtf16()) encoding_ = *unmarked;
    else if (read.starts_with("\xFE\xFF")) encoding_ = Encoding::Utf16Big, skip = 2;
    else if (read == "\xEF\xBB\xBF") skip = 3;
    if (as_windows_1252 && encoding_ == Encoding::Utf8) encoding_ = Encoding::Windows1252;
    in_.clear();
    in_.seekg(skip);
    raw_.resize(kPieceBytes + 4);
  }

  /// Reads the next piece into text(); false at the end of the file.
  bool next() {
    in_.read(raw_.data() + kept_, static_cast<std::streamsize>(kPieceBytes));
    const auto got = static_cast<std::size_t>(in_.gcount());
    bytes_ += got;
    std::string_view bytes(raw_.data(), kept_ + got);
    std::size_t tail = 0;
    if (encoding_ == Encoding::Utf8) {
      tail = got == 0 ? 0 : unfinishedTail(bytes);
      bytes.remove_suffix(tail);
      not_utf8_ = not_utf8_ || !isUtf8Piece(bytes);
      text_.assign(bytes);
    } else if (encoding_ == Encoding::Windows1252) {
      text_ = fromWindows1252(bytes);
    } else {
      tail = decodeUtf16(bytes, got == 0);
    }
    std::memmove(raw_.data(), raw_.data() + (kept_ + got - tail), tail);
    kept_ = tail;
    return got != 0 || !text_.empty();
  }

  const std::string& text() const { return text_; }
  bool notUtf8() const { return not_utf8_; }
  bool failed() const { return in_.bad(); }
  std::uint64_t bytes() const { return bytes_; }

  bool first() const { return bytes_ <= kPieceBytes; }

 private:
  /// Without a mark: plain text has a zero in every second byte and nowhere else.
  std::optional<Encoding> unmarkedUtf16() {
    std::array<char, 1024> start{};
    in_.clear();
    in_.seekg(0);
    in_.read(start.data(), static_cast<std::streamsize>(start.size()));
    const auto pairs = static_cast<std::size_t>(in_.gcount()) / 2;
    std::array<std::size_t, 2> zeros{};
    for (std::size_t i = 0; i < 2 * pairs; ++i) zeros[i % 2] += start[i] == '\0' ? 1 : 0;
    if (pairs < 8) return std::nullopt;
    if (zeros[1] * 10 >= pairs * 9 && zeros[0] == 0) return Encoding::Utf16Little;
    if (zeros[0] * 10 >= pairs * 9 && zeros[1] == 0) return Encoding::Utf16Big;
    return std::nullopt;
  }

  /// Fills text_; returns how many bytes must wait for the next piece.
  std::size_t decodeUtf16(std::string_view bytes, bool last) {
    text_.clear();
    const std::size_t low = encoding_ == Encoding::Utf16Little ? 0 : 1;
    const auto unit = [&](std::size_t at) {
      return static_cast<std::uint32_t>(static_cast<unsigned char>(bytes[at + low]) |
                                        (static_cast<unsigned>(static_cast<unsigned char>(bytes[at + 1 - low])) << 8U));
    };
    std::size_t at = 0;
    while (at + 2 <= bytes.size()) {
      const std::uint32_t code = unit(at);
      const bool leads = code >= 0xD800 && code < 0xDC00;
      if (leads && at + 4 > bytes.size() && !last) break;
      if (leads && at + 4 <= bytes.size() && unit(at + 2) >= 0xDC00 && unit(at + 2) < 0xE000) {
        appendUtf8(text_, 0x10000 + ((code - 0xD800) << 10U) + (unit(at + 2) - 0xDC00));
        at += 4;
      } else {
        appendUtf8(text_, code >= 0xD800 && code < 0xE000 ? 0xFFFD : code);
        at += 2;
      }
    }
    return last ? 0 : bytes.size() - at;
  }

  std::ifstream in_;
  Encoding encoding_ = Encoding::Utf8;
  std::string raw_;
  std::string text_;
  std::size_t kept_ = 0;
  std::uint64_t bytes_ = 0;
  bool not_utf8_ = false;
};

/// The separator that is commonest in the heading row outside quotes; comma if none is there.
char findSeparator(std::string_view text) {
  static constexpr std::string_view kCandidates = ",;\t|";
  std::array<std::size_t, 4> counts{};
  bool quoted = false;
  for (const char c : text) {
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == '\n' || c == '\r') break;
    if (const auto which = kCandidates.find(c); which != std::string_view::npos) ++counts[which];
  }
  return kCandidates[static_cast<std::size_t>(std::ranges::max_element(counts) - counts.begin())];
}

/// Takes text in pieces and fills columns. The first row names them.
class Parser {
 public:
  explicit Parser(std::size_t row_limit) : row_limit_(row_limit) {}

  void take(std::string_view text) {
    if (!started_) start(text);
    std::size_t at = 0;
    while (at < text.size() && !full()) at = in_quotes_ ? takeQuoted(text, at) : takePlain(text, at);
  }

  /// Makes room for `times` the rows read so far.
  void expect(double times) {
    for (auto& column : columns_) column.expect(times);
    read_.table.lines.reserve(static_cast<std::size_t>(static_cast<double>(read_.table.lines.size()) * times * 1.02) + 1);
  }

  /// After the last piece. The line where a quote was opened and never closed, or 0.
  std::uint64_t finish() {
    if (in_quotes_ && !full()) return quote_line_;
    if (!full() && (field_used_ || field_index_ > 0)) {
      endField(field_);
      endRow();
    }
    return 0;
  }

  bool full() const { return row_limit_ != 0 && headed_ && read_.table.lines.size() >= row_limit_; }
  bool headed() const { return headed_; }

  CsvRead result() {
    if (!headed_) makeColumns();
    read_.separator = separator_;
    for (auto& column : columns_) read_.table.add(std::move(column));
    return std::move(read_);
  }

 private:
  void start(std::string_view& text) {
    started_ = true;
    if (text.starts_with("sep=") && text.size() > 5 && (text[5] == '\n' || text[5] == '\r')) {  // some spreadsheets' first line
      separator_ = text[4];
      text.remove_prefix(5);
    } else {
      const std::size_t first = text.find_first_not_of("\r\n");
      separator_ = findSeparator(first == std::string_view::npos ? text : text.substr(first));
    }
    for (const char c : {separator_, '\n', '\r', '"'}) special_[static_cast<unsigned char>(c)] = true;
  }

  /// Outside quotes: one field's run of plain bytes and the special one after it.
  std::size_t takePlain(std::string_view text, std::size_t at) {
    if (after_cr_) {
      after_cr_ = false;
      if (text[at] == '\n') return at + 1;
    }
    std::size_t end = at;
    while (end < text.size() && !special_[static_cast<unsigned char>(text[end])]) ++end;
    const std::string_view run = text.substr(at, end - at);
    if (end == text.size()) {
      append(run);
      return end;
    }
    const char c = text[end];
    if (c == '"') {
      append(run);
      if (field_.empty() && !field_used_) in_quotes_ = true, quote_line_ = line_;
      else if (after_quote_) in_quotes_ = true, field_ += '"';  // a doubled quote inside a quoted field
      else field_ += '"';                                       // a stray one: kept as it is
      field_used_ = true;
      after_quote_ = false;
      return end + 1;
    }
    if (c != separator_ && field_index_ == 0 && run.empty() && !field_used_) {  // a blank line
      after_cr_ = c == '\r';
      row_line_ = ++line_;
      return end + 1;
    }
    if (field_used_) {
      append(run);
      endField(field_);
    } else {
      endField(run);
    }
    if (c != separator_) {
      endRow();
      ++line_;
      after_cr_ = c == '\r';
    }
    return end + 1;
  }

  std::size_t takeQuoted(std::string_view text, std::size_t at) {
    const std::size_t end = std::min(text.find('"', at), text.size());
    const std::string_view run = text.substr(at, end - at);
    for (const char c : run) {
      if (c == '\r' || (c == '\n' && !quoted_cr_)) ++line_;
      quoted_cr_ = c == '\r';
    }
    field_ += run;
    if (end == text.size()) return end;
    in_quotes_ = false;
    quoted_cr_ = false;
    after_quote_ = true;
    return end + 1;
  }

  void append(std::string_view run) {
    if (run.empty()) return;
    field_ += run;
    field_used_ = true;
    after_quote_ = false;
  }

  void endField(std::string_view value) {
    if (!headed_) headings_.emplace_back(value);
    else if (field_index_ >= columns_.size()) extra_ = extra_ || !value.empty();
    else if (value.empty()) columns_[field_index_].addMissing();
    else columns_[field_index_].addText(value);
    ++field_index_;
    field_.clear();
    field_used_ = after_quote_ = false;
  }

  void endRow() {
    if (!headed_) {
      makeColumns();
    } else {
      for (std::size_t i = field_index_; i < columns_.size(); ++i) columns_[i].addMissing();
      read_.table.lines.push_back(row_line_);
      if (extra_) read_.ragged.push_back(row_line_);
    }
    field_index_ = 0;
    extra_ = false;
    row_line_ = line_ + 1;
  }

  void makeColumns() {
    headed_ = true;
    for (std::size_t i = 0; i < headings_.size(); ++i) {
      const std::string_view name = trim(headings_[i]);
      if (!name.empty() && std::ranges::any_of(columns_, [&](const Column& column) { return column.name() == name; })) read_.repeated.emplace_back(name);
      columns_.emplace_back(name.empty() ? fmt::format("column_{}", i + 1) : std::string(name), Column::Kind::Text);
    }
  }

  std::size_t row_limit_;
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

Result<CsvRead> readAs(const std::filesystem::path& file, bool as_windows_1252, std::size_t row_limit, Progress& progress,
                       bool& not_utf8) {
  std::error_code error;
  const auto size = static_cast<double>(std::filesystem::file_size(file, error));
  Pieces pieces(file, as_windows_1252);
  Parser parser(row_limit);
  while (!parser.full() && pieces.next()) {
    LEEWARD_TRY(progress.checkStop());
    if (const char* kind = pieces.first() ? notText(pieces.text()) : pieces.text().find('\0') != std::string::npos ? "binary content" : nullptr) {
      return bad(file, fmt::format("this is not text but {}", kind), "Save it as CSV, or give it the name that belongs to its format");
    }
    if (pieces.notUtf8()) {
      not_utf8 = true;
      return CsvRead{};
    }
    parser.take(pieces.text());
    if (pieces.bytes() <= kPieceBytes && row_limit == 0) parser.expect(size / static_cast<double>(std::max<std::uint64_t>(pieces.bytes(), 1)));
    progress.report(static_cast<double>(pieces.bytes()) / std::max(size, 1.0), "reading " + file.filename().string());
  }
  if (pieces.failed()) return Problem{ProblemCode::Io, "reading failed in the middle of the file", file.string(), "Check the disk"};
  if (const std::uint64_t line = parser.finish(); line != 0) {
    return bad(file, "a quote is opened and never closed", "Close it, or write it twice if it belongs to the text")
        .at(fmt::format("line {}", line));
  }
  if (!parser.headed()) return bad(file, "the file is empty", "It needs a row of headings and rows under it");
  CsvRead read = parser.result();
  read.was_windows_1252 = as_windows_1252;
  return read;
}

}  // namespace

Result<CsvRead> readCsv(const std::filesystem::path& file, Progress& progress, std::size_t row_limit) {
  std::error_code error;
  if (!std::filesystem::exists(file, error)) {
    return Problem{ProblemCode::NotFound, "there is no such file", file.string(), "Check the name and the folder"};
  }
  if (std::filesystem::is_directory(file, error)) return bad(file, "this is a folder, not a file", "Name a file in it");
  if (!std::filesystem::is_regular_file(file, error)) return bad(file, "this is no ordinary file but a pipe or a device", "Save what comes from it in a file first");
  if (!std::ifstream(file)) return Problem{ProblemCode::Io, "the file can't be read", file.string(), "Check its permissions"};
  bool not_utf8 = false;
  auto read = readAs(file, false, row_limit, progress, not_utf8);
  if (not_utf8) read = readAs(file, true, row_limit, progress, not_utf8);
  return read;
}

}  // namespace leeward
