#include "viewer/study/files/time_columns.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

#include "shared/base/text.h"

namespace leeward::study {
namespace {

std::optional<Date> writtenDay(std::string_view text) {
  constexpr std::size_t kIsoDay = 10;
  if (text.size() >= kIsoDay) {
    const bool ends = text.size() == kIsoDay || text[kIsoDay] == 'T' || text[kIsoDay] == ' ';
    if (const auto day = parseIsoDate(text.substr(0, kIsoDay)); day && ends) return day;
  }
  constexpr double kFarthest = 1e6;  // days: the year 4707
  const auto number = parseNumber(text);
  if (!number || !(std::abs(*number) <= kFarthest)) return std::nullopt;
  return Date{static_cast<std::int32_t>(std::floor(*number))};
}

}  // namespace

Result<std::vector<std::optional<Date>>> daysOf(const Table& table, const std::string& name, const std::string& source, const std::string& option,
                                                std::vector<RefusedRow>& refused) {
  LEEWARD_ASSIGN(column, needColumn(table, name, source, option));
  std::vector<std::optional<Date>> days;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string text = column->asText(row);
    days.push_back(writtenDay(trim(text)));
    if (!days.back()) refused.push_back(refusedRow(table, row, column->name(), trim(text).empty() ? "no day" : "no day; write it as 2025-03-04, or as a number of days"));
  }
  if (std::ranges::none_of(days, [](const auto& day) { return day.has_value(); })) {
    return Problem{ProblemCode::BadData, "no row has a day in column '" + column->name() + "'", source, "Write days as 2025-03-04, or as numbers of days"};
  }
  return days;
}

Result<Groups> groupsOf(const Table& table, const std::string& name, const std::string& source) {
  Groups groups;
  if (name.empty()) {
    groups.names.emplace_back();
    groups.of_row.assign(table.rows(), 0);
    return groups;
  }
  LEEWARD_ASSIGN(column, needColumn(table, name, source, "--by"));
  std::unordered_map<std::string, std::int32_t> known;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string text = column->asText(row);
    const auto [at, fresh] = known.emplace(trim(text), static_cast<std::int32_t>(groups.names.size()));
    if (fresh) groups.names.push_back(at->first);
    groups.of_row.push_back(at->second);
  }
  return groups;
}

}  // namespace leeward::study
