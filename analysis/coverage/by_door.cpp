#include "analysis/coverage/by_door.h"

#include <algorithm>

namespace leeward::analysis {

ByDoor::ByDoor(std::size_t doors, const std::vector<std::int32_t>& door, const std::vector<Date>& date, Date as_of)
    : starts_(doors + 1, 0) {
  const auto counts = [&](std::size_t row) { return door[row] != kNowhere && date[row] <= as_of; };
  for (std::size_t row = 0; row < door.size(); ++row)
    if (counts(row)) ++starts_[door[row] + 1];
  for (std::size_t i = 0; i < doors; ++i) starts_[i + 1] += starts_[i];
  rows_.resize(starts_.back());
  std::vector<std::size_t> next(starts_.begin(), starts_.end() - 1);
  for (std::size_t row = 0; row < door.size(); ++row)
    if (counts(row)) rows_[next[door[row]]++] = static_cast<std::uint32_t>(row);
  for (std::size_t i = 0; i < doors; ++i)
    std::stable_sort(rows_.begin() + starts_[i], rows_.begin() + starts_[i + 1],
                     [&](std::uint32_t a, std::uint32_t b) { return date[a] < date[b]; });
}

ByDoor ByDoor::looks(const Record& record) { return {record.doors.size(), record.looks.door, record.looks.date, record.as_of}; }

ByDoor ByDoor::animals(const Record& record) {
  return {record.doors.size(), record.animals.door, record.animals.first_seen, record.as_of};
}

}  // namespace leeward::analysis
