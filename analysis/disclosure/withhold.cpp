#include "analysis/disclosure/withhold.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include <fmt/format.h>

#include "analysis/disclosure/linear_program.h"

namespace leeward::analysis {
namespace {

constexpr double kInfinite = std::numeric_limits<double>::infinity();
constexpr double kSlight = 1e-6;            ///< what rounding leaves of a whole number
constexpr std::size_t kWidestPattern = 1200;  ///< cells that one pattern is sought among
constexpr std::size_t kNarrowPattern = 60;    ///< the same, among those that are withheld already
constexpr std::size_t kOfOneSum = 60;       ///< of these at most so many of one sum: the cheapest

using Cells = std::vector<std::uint32_t>;

Result<void> check(const CountTable& table, const WithholdRule& rule) {
  const std::size_t cells = table.value.size();
  const auto wrong = [](std::string what) { return Problem{ProblemCode::InvalidArgument, std::move(what), "", ""}; };
  if (table.standing.size() != cells) return wrong("a table of counts has columns of different length");
  if (rule.threshold < 1) return wrong("the threshold must be 1 or more");
  for (const auto value : table.value) {
    if (value < 0) return wrong("a count is negative");
  }
  for (std::size_t i = 0; i < table.sums.size(); ++i) {
    const auto& sum = table.sums[i];
    std::int64_t all = 0;
    for (const auto part : sum.parts) {
      if (part >= cells) return wrong(fmt::format("sum {} names a cell that is not there", i));
      all += table.value[part];
    }
    if (sum.total >= cells || all != table.value[sum.total]) return wrong(fmt::format("sum {} doesn't add up", i));
  }
  return {};
}

/// Which sums a cell stands in.
std::vector<Cells> sumsOfCells(const CountTable& table) {
  std::vector<Cells> of(table.value.size());
  for (std::uint32_t s = 0; s < table.sums.size(); ++s) {
    of[table.sums[s].total].push_back(s);
    for (const auto part : table.sums[s].parts) of[part].push_back(s);
  }
  return of;
}

template <class Visit>
void forCellsOf(const CellSum& sum, const Visit& visit) {
  visit(sum.total, -1.0);
  for (const auto part : sum.parts) visit(part, 1.0);
}

/// Looks for the cheapest set of cells which, withheld together, leave a small one its range.
class Patterns {
 public:
  Patterns(const CountTable& table, const WithholdRule& rule, std::vector<bool>& unknown)
      : table_(table), rule_(rule), unknown_(unknown), sums_of_(sumsOfCells(table)), low_(table.value.begin(), table.value.end()), high_(low_), seen_(table.value.size()) {}

  bool reachesDown(std::uint32_t cell) const { return low_[cell] < kSlight; }
  bool reachesUp(std::uint32_t cell) const { return high_[cell] > static_cast<double>(rule_.threshold) - kSlight; }

  /// False if no pattern is to be had.
  bool protect(std::uint32_t cell) {
    if (reachesDown(cell) && reachesUp(cell)) return true;
    // Often what is withheld already is enough: looked for close by, at no cost.
    gather(cell, kNarrowPattern, true);
    if (moveBoth(cell)) return true;
    gather(cell, kWidestPattern, false);
    return moveBoth(cell);
  }

 private:
  bool moveBoth(std::uint32_t cell) {
    const double value = static_cast<double>(table_.value[cell]);
    const bool up = reachesUp(cell) || move(cell, std::max(1.0, static_cast<double>(rule_.threshold) - value));
    const bool down = reachesDown(cell) || move(cell, -value);
    return up && down;
  }

  bool mayMove(std::uint32_t cell, bool unknown_alone) const { return unknown_[cell] || (!unknown_alone && table_.standing[cell] == CellStanding::Open); }
  double costOf(std::uint32_t cell) const { return unknown_[cell] ? 1e-3 : static_cast<double>(table_.value[cell]) + 1; }

  /// Cells around `cell`, outward by sums, the cheap ones of each.
  void gather(std::uint32_t cell, std::size_t most, bool unknown_alone) {
    for (const auto old : near_) seen_[old] = false;
    near_.assign(1, cell);
    seen_[cell] = true;
    Cells members;
    for (std::size_t next = 0; next < near_.size() && near_.size() < most; ++next) {
      for (const auto s : sums_of_[near_[next]]) {
        members.clear();
        forCellsOf(table_.sums[s], [&](std::uint32_t member, double) {
          if (mayMove(member, unknown_alone) && !seen_[member]) members.push_back(member);
        });
        if (members.size() > kOfOneSum) {
          std::ranges::stable_sort(members, {}, [&](std::uint32_t member) { return std::pair(costOf(member), member); });
          members.resize(kOfOneSum);
        }
        for (const auto member : members) seen_[member] = true, near_.push_back(member);
      }
    }
    place_.resize(table_.value.size());
    for (std::uint32_t i = 0; i < near_.size(); ++i) place_[near_[i]] = i;
  }

  /// Column 2i raises cell i of near_, column 2i + 1 lowers it.
  std::vector<LinearProgram::Row> rowsAround() const {
    std::vector<LinearProgram::Row> rows;
    Cells sums;
    for (const auto cell : near_) sums.insert(sums.end(), sums_of_[cell].begin(), sums_of_[cell].end());
    std::ranges::sort(sums);
    sums.erase(std::unique(sums.begin(), sums.end()), sums.end());
    for (const auto s : sums) {
      auto& row = rows.emplace_back();
      forCellsOf(table_.sums[s], [&](std::uint32_t member, double sign) {
        if (!seen_[member]) return;
        row.terms.emplace_back(2 * place_[member], sign);
        row.terms.emplace_back(2 * place_[member] + 1, -sign);
      });
    }
    return rows;
  }

  bool move(std::uint32_t cell, double by) {
    std::vector<double> lower(2 * near_.size(), 0.0), upper(2 * near_.size(), kInfinite);
    for (std::uint32_t i = 0; i < near_.size(); ++i) upper[2 * i + 1] = static_cast<double>(table_.value[near_[i]]);
    const std::uint32_t at = place_[cell];
    lower[2 * at] = upper[2 * at] = std::max(by, 0.0);
    lower[2 * at + 1] = upper[2 * at + 1] = std::max(-by, 0.0);
    LinearProgram program(rowsAround(), lower, upper);
    for (std::uint32_t i = 0; i < near_.size(); ++i) program.setCost(2 * i, costOf(near_[i])), program.setCost(2 * i + 1, costOf(near_[i]));
    if (program.minimise() != LinearProgram::Outcome::Solved) return false;
    for (std::uint32_t i = 0; i < near_.size(); ++i) {
      const double change = program.value(2 * i) - program.value(2 * i + 1);
      if (std::abs(change) < kSlight) continue;
      const std::uint32_t moved = near_[i];
      unknown_[moved] = true;
      const double reached = static_cast<double>(table_.value[moved]) + change;
      low_[moved] = std::min(low_[moved], reached), high_[moved] = std::max(high_[moved], reached);
    }
    return true;
  }

  const CountTable& table_;
  const WithholdRule& rule_;
  std::vector<bool>& unknown_;
  std::vector<Cells> sums_of_;
  std::vector<double> low_, high_;  ///< what was shown to be possible: withholding more takes nothing of it away
  Cells near_;
  std::vector<bool> seen_;
  Cells place_;
};

/// Unknown cells that sums connect; in order of their first cell.
std::vector<Cells> components(const CountTable& table, const std::vector<bool>& unknown) {
  Cells parent(table.value.size());
  std::iota(parent.begin(), parent.end(), 0U);
  const auto root = [&](std::uint32_t cell) {
    while (parent[cell] != cell) cell = parent[cell] = parent[parent[cell]];
    return cell;
  };
  for (const auto& sum : table.sums) {
    std::optional<std::uint32_t> first;
    forCellsOf(sum, [&](std::uint32_t cell, double) {
      if (!unknown[cell]) return;
      if (!first) first = root(cell);
      else parent[root(cell)] = root(*first);
    });
  }
  std::vector<Cells> all;
  std::vector<std::int64_t> number(table.value.size(), -1);
  for (std::uint32_t cell = 0; cell < table.value.size(); ++cell) {
    if (!unknown[cell]) continue;
    auto& at = number[root(cell)];
    if (at < 0) at = static_cast<std::int64_t>(all.size()), all.emplace_back();
    all[static_cast<std::size_t>(at)].push_back(cell);
  }
  return all;
}

/// What a reader of the known cells can solve for, one component.
class Reader {
 public:
  Reader(const CountTable& table, const std::vector<bool>& unknown, const Cells& cells, const std::vector<Cells>& sums_of)
      : cells_(cells), low_(cells.size(), kInfinite), high_(cells.size(), -kInfinite), program_(rows(table, unknown, cells, sums_of), std::vector<double>(cells.size(), 0.0), std::vector<double>(cells.size(), kInfinite)) {}

  double low(std::uint32_t i) { return solve(i, 1.0); }
  double high(std::uint32_t i) { return solve(i, -1.0); }
  /// What answers so far showed to be possible.
  double seenLow(std::uint32_t i) const { return low_[i]; }
  double seenHigh(std::uint32_t i) const { return high_[i]; }

 private:
  static std::vector<LinearProgram::Row> rows(const CountTable& table, const std::vector<bool>& unknown, const Cells& cells, const std::vector<Cells>& sums_of) {
    std::vector<LinearProgram::Row> rows;
    Cells sums;
    for (const auto cell : cells) sums.insert(sums.end(), sums_of[cell].begin(), sums_of[cell].end());
    std::ranges::sort(sums);
    sums.erase(std::unique(sums.begin(), sums.end()), sums.end());
    for (const auto s : sums) {
      auto& row = rows.emplace_back();
      forCellsOf(table.sums[s], [&](std::uint32_t cell, double sign) {
        if (!unknown[cell]) return void(row.value -= sign * static_cast<double>(table.value[cell]));
        row.terms.emplace_back(static_cast<std::uint32_t>(std::ranges::lower_bound(cells, cell) - cells.begin()), sign);
      });
    }
    return rows;
  }

  double solve(std::uint32_t i, double sign) {
    program_.setCost(i, sign);
    const auto outcome = program_.minimise();
    program_.setCost(i, 0);
    if (outcome == LinearProgram::Outcome::Unbounded) return kInfinite;
    for (std::uint32_t each = 0; each < cells_.size(); ++each) {
      low_[each] = std::min(low_[each], program_.value(each)), high_[each] = std::max(high_[each], program_.value(each));
    }
    return program_.value(i);
  }

  const Cells& cells_;
  std::vector<double> low_, high_;
  LinearProgram program_;
};

/// Small cells of these whose exact range doesn't reach from 0 to the threshold; others that are exactly determined.
void audit(const CountTable& table, const WithholdRule& rule, const std::vector<bool>& unknown, const Cells& cells, const std::vector<Cells>& sums_of, Cells& open) {
  Reader reader(table, unknown, cells, sums_of);
  for (std::uint32_t i = 0; i < cells.size(); ++i) {
    if (!isSmall(table.value[cells[i]], rule)) continue;
    const bool down = reader.seenLow(i) < kSlight || reader.low(i) < kSlight;
    const double least = static_cast<double>(rule.threshold) - kSlight;
    const bool up = down && (reader.seenHigh(i) > least || reader.high(i) > least);
    if (!down || !up) open.push_back(cells[i]);
  }
}

CellFate fateOf(const CountTable& table, const WithholdRule& rule, bool unknown, std::size_t cell) {
  if (table.standing[cell] == CellStanding::Hidden) return CellFate::Hidden;
  if (!unknown) return CellFate::Shown;
  if (table.standing[cell] == CellStanding::Withheld) return CellFate::Earlier;
  return isSmall(table.value[cell], rule) ? CellFate::Small : CellFate::Complement;
}

}  // namespace

bool isSmall(std::int64_t count, const WithholdRule& rule) { return count < rule.threshold && (count > 0 || !rule.zeros_shown); }

bool rateMayBeShown(std::int64_t numerator, std::int64_t denominator, CellFate numerator_fate, CellFate denominator_fate, const WithholdRule& rule) {
  return denominator > 0 && numerator_fate == CellFate::Shown && denominator_fate == CellFate::Shown && !isSmall(numerator, rule) && !isSmall(denominator - numerator, rule) &&
         !isSmall(denominator, rule);
}

Result<Withheld> withhold(const CountTable& table, const WithholdRule& rule, Progress& progress) {
  LEEWARD_TRY(check(table, rule));
  const std::size_t cells = table.value.size();
  std::vector<bool> unknown(cells);
  Cells small;
  for (std::uint32_t cell = 0; cell < cells; ++cell) {
    const bool is_small = isSmall(table.value[cell], rule);
    const auto standing = table.standing[cell];
    unknown[cell] = standing == CellStanding::Withheld || standing == CellStanding::Hidden || (standing == CellStanding::Open && is_small);
    if (unknown[cell] && is_small) small.push_back(cell);
  }
  std::ranges::stable_sort(small, std::greater<>(), [&](std::uint32_t cell) { return table.value[cell]; });
  Patterns patterns(table, rule, unknown);
  for (std::size_t i = 0; i < small.size(); ++i) {
    if (i % 64 == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(0.7 * static_cast<double>(i) / static_cast<double>(small.size()), "Withholding small counts");
    }
    (void)patterns.protect(small[i]);  // what could not be protected shows in the audit
  }
  Withheld answer;
  const auto sums_of = sumsOfCells(table);
  for (const auto& component : components(table, unknown)) {
    LEEWARD_TRY(progress.checkStop());
    if (component.size() > rule.largest_component) answer.too_connected.insert(answer.too_connected.end(), component.begin(), component.end());
    else audit(table, rule, unknown, component, sums_of, answer.open_to_all);
  }
  for (std::size_t cell = 0; cell < cells; ++cell) answer.fate.push_back(fateOf(table, rule, unknown[cell], cell));
  progress.report(1);
  return answer;
}

Result<CellRanges> exactRanges(const CountTable& table, const std::vector<bool>& unknown, std::size_t largest, Progress& progress) {
  LEEWARD_TRY(check(table, {}));
  CellRanges ranges{table.value, table.value, {}};
  const auto sums_of = sumsOfCells(table);
  for (const auto& component : components(table, unknown)) {
    LEEWARD_TRY(progress.checkStop());
    if (component.size() > largest) {
      ranges.not_solved.insert(ranges.not_solved.end(), component.begin(), component.end());
      continue;
    }
    Reader reader(table, unknown, component, sums_of);
    for (std::uint32_t i = 0; i < component.size(); ++i) {
      ranges.low[component[i]] = static_cast<std::int64_t>(std::ceil(reader.low(i) - kSlight));
      const double high = reader.high(i);
      ranges.high[component[i]] = std::isinf(high) ? kNoLimit : static_cast<std::int64_t>(std::floor(high + kSlight));
    }
  }
  return ranges;
}

}  // namespace leeward::analysis
