#include "shared/table/csv_parser.h"

#include <algorithm>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward {
namespace {

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

}  // namespace

std::size_t CsvParser::take(std::string_view text) {
  std::size_t at = started_ ? 0 : start(text);
  while (at < text.size() && !full()) at = in_quotes_ ? takeQuoted(text, at) : takePlain(text, at);
  return at;
}

bool CsvParser::full() const {
  if (!headed_ || field_index_ > 0 || field_used_) return false;
  return (row_limit_ != 0 && rows() >= row_limit_) || (byte_limit_ != 0 && bytes_ >= byte_limit_);
}

void CsvParser::expect(double times) {
  for (auto& column : columns_) column.expect(times);
  read_.table.lines.reserve(static_cast<std::size_t>(static_cast<double>(read_.table.lines.size()) * times * 1.02) + 1);
}

std::uint64_t CsvParser::finish() {
  if (in_quotes_ && !full()) return quote_line_;
  if (!full() && (field_used_ || field_index_ > 0)) {
    endField(field_);
    endRow();
  }
  return 0;
}

CsvRead CsvParser::result() {
  if (!headed_) makeColumns();
  CsvRead read = std::move(read_);
  read_ = {};
  read.separator = separator_;
  for (auto& column : columns_) read.table.add(std::move(column));
  emptyColumns();
  bytes_ = 0;
  return read;
}

/// How many bytes of the first text say what the separator is instead of holding rows.
std::size_t CsvParser::start(std::string_view text) {
  started_ = true;
  std::size_t used = 0;
  if (text.starts_with("sep=") && text.size() > 5 && (text[5] == '\n' || text[5] == '\r')) {  // some spreadsheets' first line
    separator_ = text[4];
    used = 5;
  } else {
    const std::size_t first = text.find_first_not_of("\r\n");
    separator_ = findSeparator(first == std::string_view::npos ? text : text.substr(first));
  }
  for (const char c : {separator_, '\n', '\r', '"'}) special_[static_cast<unsigned char>(c)] = true;
  return used;
}

/// Outside quotes: one field's run of plain bytes and the special one after it.
std::size_t CsvParser::takePlain(std::string_view text, std::size_t at) {
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

std::size_t CsvParser::takeQuoted(std::string_view text, std::size_t at) {
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

void CsvParser::append(std::string_view run) {
  if (run.empty()) return;
  field_ += run;
  field_used_ = true;
  after_quote_ = false;
}

void CsvParser::endField(std::string_view value) {
  if (!headed_) headings_.emplace_back(value);
  else if (field_index_ >= columns_.size()) extra_ = extra_ || !value.empty();
  else if (value.empty()) columns_[field_index_].addMissing();
  else bytes_ += value.size(), columns_[field_index_].addText(value);
  ++field_index_;
  field_.clear();
  field_used_ = after_quote_ = false;
}

void CsvParser::endRow() {
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

void CsvParser::makeColumns() {
  headed_ = true;
  emptyColumns();
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const std::string_view name = trim(headings_[i]);
    const auto before = columns_.begin() + static_cast<std::ptrdiff_t>(i);
    if (!name.empty() && std::any_of(columns_.begin(), before, [&](const Column& column) { return column.name() == name; })) read_.repeated.emplace_back(name);
  }
}

void CsvParser::emptyColumns() {
  columns_.clear();
  for (std::size_t i = 0; i < headings_.size(); ++i) {
    const std::string_view name = trim(headings_[i]);
    columns_.emplace_back(name.empty() ? fmt::format("column_{}", i + 1) : std::string(name), Column::Kind::Text);
  }
}

}  // namespace leeward
