#include "shared/table/row_report.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward {

Problem noneUsable(const RowReport& report) {
  struct Rows {
    std::size_t count = 0;
    const RefusedRow* first = nullptr;
  };
  std::map<std::string, Rows> by_reason;
  for (const RefusedRow& refused : report.refused) {
    Rows& rows = by_reason[refused.reason];
    if (rows.count++ == 0) rows.first = &refused;
  }
  // Of several equally frequent reasons that of the first row is named.
  const auto most = std::ranges::max_element(by_reason, [](const auto& a, const auto& b) {
    return a.second.count != b.second.count ? a.second.count < b.second.count : a.second.first->line > b.second.first->line;
  });
  std::string why;
  if (most != by_reason.end()) {
    const auto& [reason, rows] = *most;
    if (rows.count < report.refused.size() && report.refused_beyond == 0) why = rows.count == 1 ? "; the first" : fmt::format("; {} of them alike, the first", formatCount(static_cast<std::int64_t>(rows.count)));
    why += fmt::format("{} line {}{}: {}", why.empty() ? ";" : ":", rows.first->line, rows.first->column.empty() ? "" : ", column '" + rows.first->column + "'", reason);
  }
  return {ProblemCode::BadData, fmt::format("None of the {} rows can be used{}", formatCount(static_cast<std::int64_t>(report.read)), why), report.file,
          report.refused.empty() ? "Check that it is the right file" : "Correct the file, or say by --map which columns are meant"};
}

}  // namespace leeward
