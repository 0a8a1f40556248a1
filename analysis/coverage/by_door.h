#pragma once
/// Rows of a record gathered by door.
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/coverage/record.h"

namespace leeward::analysis {

/// Row numbers, door after door; within a door by date, then by row.
class ByDoor {
 public:
  static ByDoor looks(const Record& record);    ///< up to as_of only
  static ByDoor animals(const Record& record);  ///< first seen up to as_of, gone ones too
  std::span<const std::uint32_t> of(std::size_t door) const {
    return std::span(rows_).subspan(starts_[door], starts_[door + 1] - starts_[door]);
  }

 private:
  ByDoor(std::size_t doors, const std::vector<std::int32_t>& door, const std::vector<Date>& date, Date as_of);
  std::vector<std::size_t> starts_;
  std::vector<std::uint32_t> rows_;
};

}  // namespace leeward::analysis
