#include <algorithm>

#include "shared/base/text.h"
#include "shared/table/csv.h"

namespace leeward {
namespace {

void appendField(std::string& out, std::string_view value) {
  const bool edges = !value.empty() && (value.front() == ' ' || value.back() == ' ');
  const auto is_plain = [](char c) { return c != ',' && c != '"' && c != '\n' && c != '\r'; };
  if (!edges && std::ranges::all_of(value, is_plain)) {
    out += value;
    return;
  }
  out += '"';
  for (const char c : value) {
    if (c == '"') out += '"';
    out += c;
  }
  out += '"';
}

/// What a spreadsheet may run as a formula or a command instead of showing it; numbers stay numbers.
bool couldRun(std::string_view value) {
  return !value.empty() && std::string_view("=+-@\t\r").find(value.front()) != std::string_view::npos && !parseNumber(value);
}

void appendHarmless(std::string& out, std::string_view value) {
  if (couldRun(value)) appendField(out, "'" + std::string(value));
  else appendField(out, value);
}

/// harmless: for a file that people open, else as the text stands.
void appendRow(std::string& out, const Table& table, std::size_t row, bool harmless) {
  const std::size_t begin = out.size();
  for (std::size_t i = 0; i < table.width(); ++i) {
    if (i != 0) out += ',';
    const Column& column = table.column(i);
    if (column.kind() == Column::Kind::Text) harmless ? appendHarmless(out, column.textAt(row)) : appendField(out, column.textAt(row));
    else out += column.asText(row);
  }
  if (out.size() == begin && table.width() == 1) out += "\"\"";  // else a reader takes it for a blank line
}

}  // namespace

std::string csvField(std::string_view value) {
  std::string field;
  appendField(field, value);
  return field;
}

std::string csvRow(const Table& table, std::size_t row) {
  std::string line;
  appendRow(line, table, row, false);
  return line;
}

std::string toCsv(const Table& table) {
  std::string out;
  for (std::size_t i = 0; i < table.width(); ++i) {
    if (i != 0) out += ',';
    appendHarmless(out, table.column(i).name());
  }
  out += '\n';
  for (std::size_t row = 0; row < table.rows(); ++row) {
    appendRow(out, table, row, true);
    out += '\n';
  }
  return out;
}

}  // namespace leeward
