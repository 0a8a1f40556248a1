#pragma once
/// Rows of a visit log that name several animals in one cell, made into a row for each.
#include <optional>
#include <string>
#include <vector>

#include "importers/column_map.h"
#include "shared/table/row_report.h"

namespace leeward::importers {

/// What was made of names in one cell; the stretches of a file add up.
struct PartedCounts {
  std::size_t parted = 0, shared_cells = 0, kept_whole = 0;
  void add(const PartedCounts& other);
  std::vector<std::string> remarks() const;
};

struct PartedRows {
  std::optional<Table> table;       ///< with a row an animal; nothing if no row named several
  std::vector<std::size_t> origin;  ///< by row of `table`: the row that it came from; rows of one origin follow each other
  struct Refused {
    std::size_t row = 0;  ///< of `table`
    std::string field;
    std::string reason;
  };
  std::vector<Refused> refused;  ///< rows whose lists don't match; they stay one row
  PartedCounts counts;
};

/// "Rex; Luna" in dog_name names two animals; so does "Rex, Luna", "Rex and Luna", "Rex & Luna" or "Rex y Luna" if dogs_met or dogs_seen
/// says two or another column of the animal lists two, and "Rex, Luna and Bella" always. Lists of as many values in the animal's
/// other columns are shared out in their order. One value counts for all of them where that makes sense (kind, sex, age, altered, description,
/// checks, scale), and it is said; a single body condition or outcome, any treatment, and a list of another length refuse the
/// row. What isn't the animal's (done, notes ...) stays with the first. Ragged rows are left alone.
PartedRows partAnimals(const Table& table, const ColumnMap& map, const std::vector<std::uint64_t>& ragged);

/// A row of the file that was made into several is refused whole: marks all rows of an origin of which one is refused.
void refuseWhole(const PartedRows& parted, const Table& table, std::vector<bool>& refused, RowReport& report);
/// Of the refusals of rows that were made into several one each stays, with the row as it stands in the file (`table`).
void keepAsTheyStood(const PartedRows& parted, const Table& table, RowReport& report);
/// From how many rows of the file these rows of parted.table came.
std::size_t originsOf(const PartedRows& parted, const std::vector<std::size_t>& rows);

}  // namespace leeward::importers
