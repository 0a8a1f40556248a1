#pragma once
/// Counts by areas, periods and kinds as one set of linked tables, with all their margins.
///
/// Areas form a tree (tract, town; or one level under a whole). Periods follow each other; some are gathered in groups (quarters of a year that
/// is over). Counts add up over areas and periods: each event, or each animal at its first such event, counts once. A kind may be part of
/// another (visits of looks): what it leaves of the whole follows from the two and is guarded like a cell of its own.
#include <cstdint>
#include <vector>

#include "analysis/disclosure/withhold.h"

namespace leeward::analysis {

struct CountTree {
  std::vector<std::int32_t> parent;          ///< one an area, -1 = a top; parents come before their children
  std::vector<std::int32_t> group_of_period;  ///< one a period, -1 = in none
  std::size_t groups = 0;
  std::size_t kinds = 1;
  struct PartOf {
    std::size_t part = 0, whole = 0;  ///< kinds
  };
  std::vector<PartOf> parts;
  std::vector<std::int64_t> counts;     ///< [area][period][kind]; only those of areas without children are read
  std::vector<CellStanding> standing;   ///< [area][column][kind], columns are the periods and after them the groups; empty = all open

  std::size_t columns() const { return group_of_period.size() + groups; }
  std::size_t cell(std::size_t area, std::size_t column, std::size_t kind) const { return (area * columns() + column) * kinds + kind; }
};

struct TreeCounts {
  std::vector<std::int64_t> value;      ///< by CountTree::cell()
  std::vector<CellFate> fate;           ///< of areas that are not told apart: Hidden
  std::vector<std::int32_t> gathered;   ///< areas whose children are not told apart, since too many withheld cells hang together there
  std::vector<std::uint32_t> open_to_all;  ///< cells that can't be protected (Withheld::open_to_all): no hand-over is possible
};

/// The table whose cells are those of CountTree::cell() and, behind them, the rests of parts. Areas with `gathered_under` set have no
/// children in it.
CountTable tableOf(const CountTree& tree, const std::vector<bool>& gathered_under);

/// withhold() over the whole tree. Where more than rule.largest_component withheld cells hang together, the children of the lowest
/// areas among them are gathered into their parent, and all is decided anew. Errors as withhold(); ResourceExhausted if what hangs together
/// can't be gathered any further, or was handed over before.
Result<TreeCounts> withholdTree(const CountTree& tree, const WithholdRule& rule, Progress& progress);

}  // namespace leeward::analysis
