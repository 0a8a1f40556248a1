#include "analysis/disclosure/count_tree.h"

#include <algorithm>
#include <set>

namespace leeward::analysis {
namespace {

/// Areas that stand in the table: not under one that is gathered.
std::vector<bool> keptAreas(const CountTree& tree, const std::vector<bool>& gathered_under) {
  std::vector<bool> kept(tree.parent.size(), true);
  for (std::size_t area = 0; area < kept.size(); ++area) {
    const auto parent = tree.parent[area];
    kept[area] = parent < 0 || (kept[static_cast<std::size_t>(parent)] && !gathered_under[static_cast<std::size_t>(parent)]);
  }
  return kept;
}

/// All margins, from the counts of areas without children.
std::vector<std::int64_t> valuesOf(const CountTree& tree) {
  const std::size_t areas = tree.parent.size(), periods = tree.group_of_period.size();
  std::vector<bool> has_children(areas);
  for (const auto parent : tree.parent) {
    if (parent >= 0) has_children[static_cast<std::size_t>(parent)] = true;
  }
  std::vector<std::int64_t> value(areas * tree.columns() * tree.kinds);
  for (std::size_t area = areas; area-- > 0;) {
    for (std::size_t period = 0; period < periods; ++period) {
      for (std::size_t kind = 0; kind < tree.kinds; ++kind) {
        auto& here = value[tree.cell(area, period, kind)];
        if (!has_children[area]) here = tree.counts[(area * periods + period) * tree.kinds + kind];
        if (tree.parent[area] >= 0) value[tree.cell(static_cast<std::size_t>(tree.parent[area]), period, kind)] += here;
        if (const auto group = tree.group_of_period[period]; group >= 0) value[tree.cell(area, periods + static_cast<std::size_t>(group), kind)] += here;
      }
    }
  }
  return value;
}

std::size_t depthOf(const CountTree& tree, std::int32_t area) {
  std::size_t depth = 0;
  for (; area >= 0; area = tree.parent[static_cast<std::size_t>(area)]) ++depth;
  return depth;
}

/// The parents of the lowest areas among these cells; false if there is none left.
bool gatherLowest(const CountTree& tree, const std::vector<std::uint32_t>& cells, std::vector<bool>& gathered_under) {
  const std::size_t of_area = tree.columns() * tree.kinds, all = tree.parent.size() * of_area;
  std::set<std::int32_t> areas;
  for (const auto cell : cells) {
    if (cell < all) areas.insert(static_cast<std::int32_t>(cell / of_area));
  }
  std::size_t deepest = 0;
  for (const auto area : areas) deepest = std::max(deepest, depthOf(tree, area));
  bool any = false;
  for (const auto area : areas) {
    const auto parent = tree.parent[static_cast<std::size_t>(area)];
    if (depthOf(tree, area) != deepest || parent < 0) continue;
    gathered_under[static_cast<std::size_t>(parent)] = true, any = true;
  }
  return any;
}

bool anyHandedOver(const CountTree& tree, const std::vector<bool>& kept) {
  if (tree.standing.empty()) return false;
  const std::size_t of_area = tree.columns() * tree.kinds;
  for (std::size_t area = 0; area < kept.size(); ++area) {
    const auto first = tree.standing.begin() + static_cast<std::ptrdiff_t>(area * of_area);
    if (!kept[area] && std::any_of(first, first + static_cast<std::ptrdiff_t>(of_area), [](CellStanding one) { return one != CellStanding::Open; })) return true;
  }
  return false;
}

}  // namespace

CountTable tableOf(const CountTree& tree, const std::vector<bool>& gathered_under) {
  const std::size_t areas = tree.parent.size(), periods = tree.group_of_period.size();
  const auto kept = keptAreas(tree, gathered_under);
  CountTable table;
  table.value = valuesOf(tree);
  table.standing = tree.standing.empty() ? std::vector<CellStanding>(table.value.size(), CellStanding::Open) : tree.standing;
  std::vector<std::vector<std::uint32_t>> children(areas);
  for (std::size_t area = 0; area < areas; ++area) {
    if (kept[area] && tree.parent[area] >= 0) children[static_cast<std::size_t>(tree.parent[area])].push_back(static_cast<std::uint32_t>(area));
  }
  for (std::size_t area = 0; area < areas; ++area) {
    for (std::size_t column = 0; column < tree.columns(); ++column) {
      for (std::size_t kind = 0; kind < tree.kinds; ++kind) {
        const auto here = static_cast<std::uint32_t>(tree.cell(area, column, kind));
        if (!kept[area]) {  // in no sum, so that nothing follows about it
          table.standing[here] = CellStanding::Hidden;
          continue;
        }
        if (!children[area].empty()) {
          auto& sum = table.sums.emplace_back(CellSum{here, {}});
          for (const auto child : children[area]) sum.parts.push_back(static_cast<std::uint32_t>(tree.cell(child, column, kind)));
        }
        if (column < periods) continue;
        auto& sum = table.sums.emplace_back(CellSum{here, {}});
        for (std::size_t period = 0; period < periods; ++period) {
          if (tree.group_of_period[period] == static_cast<std::int32_t>(column - periods)) sum.parts.push_back(static_cast<std::uint32_t>(tree.cell(area, period, kind)));
        }
      }
      for (const auto& [part, whole] : tree.parts) {
        if (!kept[area]) continue;
        const auto of_part = static_cast<std::uint32_t>(tree.cell(area, column, part)), of_whole = static_cast<std::uint32_t>(tree.cell(area, column, whole));
        const auto rest = static_cast<std::uint32_t>(table.value.size());
        table.value.push_back(table.value[of_whole] - table.value[of_part]);
        table.standing.push_back(CellStanding::Hidden);
        table.sums.push_back({of_whole, {of_part, rest}});
      }
    }
  }
  return table;
}

Result<TreeCounts> withholdTree(const CountTree& tree, const WithholdRule& rule, Progress& progress) {
  if (tree.counts.size() != tree.parent.size() * tree.group_of_period.size() * tree.kinds || (!tree.standing.empty() && tree.standing.size() != tree.parent.size() * tree.columns() * tree.kinds)) {
    return Problem{ProblemCode::InvalidArgument, "a tree of counts has columns of different length", "", ""};
  }
  std::vector<bool> gathered_under(tree.parent.size());
  while (true) {
    const CountTable table = tableOf(tree, gathered_under);
    LEEWARD_ASSIGN(decided, withhold(table, rule, progress));
    if (decided.too_connected.empty()) {
      TreeCounts answer;
      const auto cells = static_cast<std::ptrdiff_t>(tree.parent.size() * tree.columns() * tree.kinds);
      answer.value.assign(table.value.begin(), table.value.begin() + cells);
      answer.fate.assign(decided.fate.begin(), decided.fate.begin() + cells);
      for (std::size_t area = 0; area < gathered_under.size(); ++area) {
        if (gathered_under[area]) answer.gathered.push_back(static_cast<std::int32_t>(area));
      }
      answer.open_to_all = std::move(decided.open_to_all);
      return answer;
    }
    if (!gatherLowest(tree, decided.too_connected, gathered_under) || anyHandedOver(tree, keptAreas(tree, gathered_under))) {
      return Problem{ProblemCode::ResourceExhausted, "too many withheld counts hang together to be sure that none can be worked out", "", "Hand over longer periods or larger areas"};
    }
  }
}

}  // namespace leeward::analysis
