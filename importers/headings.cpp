#include "importers/headings.h"

#include <algorithm>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "importers/column_map.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr std::size_t kRowsLookedAt = 10;

/// The row's cells as the headings of a table without rows; nothing if they repeat.
std::optional<Table> asHeadings(const Table& table, std::size_t row) {
  Table headed;
  std::set<std::string> names;
  for (const Column& column : table.columns()) {
    const std::string name(trim(column.asText(row)));
    if (name.empty()) continue;
    if (!names.insert(name).second) return std::nullopt;
    headed.add(Column(name, Column::Kind::Text));
  }
  return headed;
}

/// A date or a number, but no word.
bool isValue(std::string_view heading) {
  constexpr std::ptrdiff_t kFewestDigits = 3;
  return std::ranges::all_of(heading, [](char c) { return isDigit(c) || std::string_view("-/.:, ").find(c) != std::string_view::npos; }) &&
         std::ranges::count_if(heading, isDigit) >= kFewestDigits;
}

}  // namespace

Problem withHeadingHint(Problem problem, Kind kind, const Table& table) {
  for (std::size_t row = 0; row < std::min(table.rows(), kRowsLookedAt); ++row) {
    const auto headed = asHeadings(table, row);
    if (!headed || headed->width() < 2 || !checkRequired(guessColumns(kind, *headed), *headed)) continue;
    problem.mend = fmt::format("The headings seem to stand in line {}: delete what stands above them", table.lines.empty() ? row + 2 : table.lines[row]);
    return problem;
  }
  if (std::ranges::any_of(table.columns(), [](const Column& column) { return isValue(column.name()); })) {
    problem.mend = "The first line seems to hold values: write a line of headings above it, such as date, address, door_result; or " + lowerAscii(problem.mend.substr(0, 1)) +
                   (problem.mend.empty() ? "" : problem.mend.substr(1));
  }
  return problem;
}

}  // namespace leeward::importers
