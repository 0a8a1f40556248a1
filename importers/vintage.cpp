#include "importers/vintage.h"

#include <algorithm>
#include <array>

#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr int kFirstCensus = 1990;
constexpr int kLastYear = 2099;

/// "GEOID20" -> 2020; nothing for headings without the mark of a census.
std::optional<int> censusInHeading(std::string_view heading) {
  static constexpr auto kStems = std::to_array<std::string_view>({"geoid", "statefp", "countyfp", "tractce", "blkgrpce", "blockce", "namelsad", "aland", "awater",
                                                                  "pop", "housing", "hu", "intptlat", "intptlon", "mtfcc", "geoidfq", "zcta5ce"});
  if (heading.size() < 3) return std::nullopt;
  const std::string_view mark = heading.substr(heading.size() - 2);
  const std::string stem = lowerAscii(heading.substr(0, heading.size() - 2));
  if (std::ranges::find(kStems, stem) == kStems.end()) return std::nullopt;
  if (mark == "00") return 2000;
  if (mark == "10") return 2010;
  if (mark == "20") return 2020;
  return std::nullopt;
}

/// The last year among the groups of exactly four digits.
std::optional<int> lastYearIn(std::string_view name) {
  std::optional<int> last;
  for (std::size_t i = 0; i < name.size();) {
    if (!isDigit(name[i])) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < name.size() && isDigit(name[end])) ++end;
    const auto year = end - i == 4 ? parseInteger(name.substr(i, 4)) : std::nullopt;
    if (year && *year >= kFirstCensus && *year <= kLastYear) last = std::max(last.value_or(0), static_cast<int>(*year));
    i = end;
  }
  return last;
}

}  // namespace

std::optional<int> censusOf(std::string_view year) {
  const auto last = lastYearIn(year);
  if (!last || *last > 2029) return std::nullopt;  // the areas of 2030 are not known yet
  return *last / 10 * 10;
}

std::string vintageIn(const Table& table, std::string_view layer_name, std::string_view file_name) {
  std::optional<int> heading;
  for (const Column& column : table.columns()) {
    if (const auto census = censusInHeading(column.name())) heading = std::max(heading.value_or(0), *census);
  }
  auto named = lastYearIn(layer_name);
  if (!named) named = lastYearIn(file_name);
  if (heading && (!named || censusOf(std::to_string(*named)) != heading)) return std::to_string(*heading);
  return named ? std::to_string(*named) : "";
}

}  // namespace leeward::importers
