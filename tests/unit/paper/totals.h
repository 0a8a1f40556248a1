#pragma once
/// The totals of the invented town's changes.
#include <array>
#include <numeric>
#include <string>
#include <utility>
#include <vector>

#include "viewer/study/findings.h"

namespace leeward::test {

/// Over the latest four and eight of each area's eight quarters and over all; here no animal stands in two of them.
inline void addTotals(study::Findings& f, const std::vector<std::vector<std::int64_t>>& values) {
  static constexpr std::array kCounts = {"looks", "visits", "dogs_met", "given_up", "improved", "neutered", "referred"};
  Column area("area_id", Column::Kind::Text), name("area_name", Column::Kind::Text), span("span", Column::Kind::Text);
  std::vector<std::vector<std::int64_t>> sums(kCounts.size());
  for (const auto& [length, from] : std::vector<std::pair<std::string, std::ptrdiff_t>>{{"4", 4}, {"8", 0}, {"all", 0}}) {
    for (const auto& [who, rows] : std::vector<std::pair<const char*, std::vector<std::ptrdiff_t>>>{
             {"Westbank", {0}}, {"Eastbank County", {8}}, {study::kTogether, {0, 8}}}) {
      rows.size() > 1 ? area.addMissing() : area.addText(who);
      name.addText(who);
      span.addText(length);
      for (std::size_t c = 0; c < kCounts.size(); ++c) {
        std::int64_t sum = 0;
        for (const auto row : rows) sum = std::accumulate(values[c].begin() + row + from, values[c].begin() + row + 8, sum);
        sums[c].push_back(sum);
      }
    }
  }
  for (Column* column : {&area, &name, &span}) f.changed_totals.add(std::move(*column));
  for (std::size_t c = 0; c < kCounts.size(); ++c) f.changed_totals.add(Column::integers(kCounts[c], sums[c]));
}

}  // namespace leeward::test
