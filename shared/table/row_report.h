#pragma once
/// Rows that could not be used, each with its place and reason: a bad row is reported, not an error.
#include <cstdint>
#include <string>
#include <vector>

#include "shared/base/result.h"

namespace leeward {

struct RefusedRow {
  std::uint64_t line = 0;  ///< 1-based line in the file (data row + 1 where the format has no lines)
  std::string column;      ///< the heading in the file
  std::string value;       ///< as it stood there
  std::string reason;      ///< what is wrong and how to mend it, one sentence
  std::string row;         ///< the whole row as CSV, so that nothing is lost
  std::string key = {};    ///< the row's own id (visit_id, sighting_id), by which a corrected row is known again; "" without
};

struct RowReport {
  std::string file;
  std::uint64_t read = 0;
  std::uint64_t kept = 0;
  std::uint64_t known_before = 0;        ///< rows that were in the ledger already
  std::vector<RefusedRow> refused;
  std::uint64_t refused_beyond = 0;      ///< refused rows of a very long file that are not held in `refused` any more (they are listed all the same)
  std::vector<std::string> remarks;      ///< suspicious but not refused: one sentence each

  std::uint64_t refusedRows() const { return refused.size() + refused_beyond; }
};

/// The problem of a file of which no row can be used: what is wrong with the most rows, and where the first of these stands.
Problem noneUsable(const RowReport& report);

}  // namespace leeward
