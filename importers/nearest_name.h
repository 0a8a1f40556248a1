#pragma once
/// Which of many names was meant by a mistyped one; and samples for showing.
#include <algorithm>
#include <numeric>
#include <string>
#include <string_view>
#include <vector>

#include "shared/table/table.h"

namespace leeward::importers {

/// Levenshtein distance in bytes.
inline std::size_t editDistance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t corner = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = corner + (a[i - 1] == b[j - 1] ? 0 : 1);
      corner = row[j];
      row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
    }
  }
  return row[b.size()];
}

/// The three names nearest to `name`, nearest first.
std::vector<std::string> nearestNames(std::string_view name, const std::vector<std::string>& names);

/// Up to three different values of a column, shortened for showing.
std::vector<std::string> samplesOf(const Column& column);

}  // namespace leeward::importers
