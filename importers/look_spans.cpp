#include "importers/look_spans.h"

#include <algorithm>
#include <functional>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::importers {

void LookSpans::add(std::string_view key) {
  // Two keys that meet in one hash only keep their rows together without need.
  const std::uint64_t hash = key.empty() ? 0 : std::hash<std::string_view>{}(key) | 1U;
  if (runs_.empty() || key.empty() || runs_.back().key() != hash) {
    runs_.push_back({static_cast<std::uint32_t>(hash >> 32U), static_cast<std::uint32_t>(hash), static_cast<std::uint32_t>(rows_)});
  }
  ++rows_;
}

Result<std::vector<std::size_t>> LookSpans::cut(std::size_t rows, std::size_t most) {
  std::ranges::sort(runs_, [](const Run& a, const Run& b) { return a.key() != b.key() ? a.key() < b.key() : a.row < b.row; });
  // A cut before a run is forbidden while a look is open there: from its first run to its last.
  std::vector<std::pair<std::size_t, std::size_t>> open;
  for (std::size_t i = 0; i < runs_.size();) {
    std::size_t last = i;
    while (runs_[i].key() != 0 && last + 1 < runs_.size() && runs_[last + 1].key() == runs_[i].key()) ++last;
    if (last > i) open.emplace_back(runs_[i].row, runs_[last].row);
    i = last + 1;
  }
  std::ranges::sort(open);
  std::ranges::sort(runs_, {}, &Run::row);
  std::vector<std::size_t> lengths;
  std::size_t start = 0, best = 0, next_open = 0, open_until = 0, opened_by = 0;
  for (std::size_t i = 1; i <= runs_.size(); ++i) {
    const std::size_t row = i < runs_.size() ? runs_[i].row : rows_;
    for (; next_open < open.size() && open[next_open].first < row; ++next_open) {
      if (open[next_open].second > open_until) open_until = open[next_open].second, opened_by = open[next_open].first;
    }
    const bool may_cut = row > open_until || row == rows_;
    if (row - start > rows && best > start) lengths.push_back(best - start), start = best;
    if (row - start > most && best <= start) {
      return Problem{ProblemCode::ResourceExhausted,
                     fmt::format("rows {} and {} belong to one look (the same visit_id, or the same day, time, crew and address), too far apart to be read together",
                                 formatCount(static_cast<std::int64_t>(opened_by + 1)), formatCount(static_cast<std::int64_t>(open_until + 1))),
                     "", "Sort the file by day, or by visit_id, so that rows of one look follow each other"};
    }
    if (may_cut) best = row;
  }
  if (rows_ > start) lengths.push_back(rows_ - start);
  return lengths;
}

}  // namespace leeward::importers
