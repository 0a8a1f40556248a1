#pragma once
/// Where a log that is read in stretches may be cut: never between rows of one look.
#include <cstddef>
#include <cstdint>
#include <string_view>
#include <vector>

#include "shared/base/result.h"

namespace leeward::importers {

class LookSpans {
 public:
  /// The next row of the file and what its look is told apart by; rows with a key of their own or none ("") stand alone.
  /// Rows with the same key one after the other take no memory of their own; others 12 bytes each.
  void add(std::string_view key);
  /// Makes room for so many rows at once instead of growing towards them.
  void expect(std::size_t rows) { runs_.reserve(rows); }
  std::size_t rows() const { return rows_; }

  /// Lengths of the stretches, each of about `rows` rows and, where looks are scattered, up to `most`. ResourceExhausted if the rows of
  /// some look lie further apart than that: the two rows (1-based, headings not counted).
  Result<std::vector<std::size_t>> cut(std::size_t rows, std::size_t most);

 private:
  /// In parts of four bytes, so that no space lies between them.
  struct Run {
    std::uint32_t high, low;  ///< of the key's hash; 0 = stands alone
    std::uint32_t row;        ///< the first
    std::uint64_t key() const { return (std::uint64_t{high} << 32U) | low; }
  };
  std::vector<Run> runs_;
  std::size_t rows_ = 0;
};

}  // namespace leeward::importers
