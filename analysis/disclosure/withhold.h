#pragma once
/// Which counts of a set of linked tables are withheld so that no small one can be worked out.
///
/// Cells are whole counts >= 0; sums say which cell is the total of which others, over areas, periods, kinds and earlier tables alike. Whoever
/// reads the tables knows every sum, every cell that is shown, and that counts aren't negative. A count under the threshold is small. It is
/// withheld, and with it as little as needed of the rest that a reader who solves for it is left with a range that reaches from 0 to at
/// least the threshold: not even that it is small can be told.
///
/// Method:  complementary suppression by the least-cost pattern around one small cell after the other (Fischetti & Salazar-Gonzalez 2000,
///          J Am Stat Assoc 95:916, the heuristic's linear programs; FCSM Statistical Policy Working Paper 22 on thresholds); afterwards
///          every small cell is held against its exact range, by linear programming over each set of withheld cells that sums connect.
#include <cstdint>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward::analysis {

/// What is settled about a cell before anything is decided.
enum class CellStanding : std::uint8_t {
  Open,      ///< may be shown or withheld
  Shown,     ///< its readers have it already: it can't be taken back
  Withheld,  ///< it was withheld from them before and stays so
  Hidden,    ///< never printed, but it would follow from sums (those not among ...): if small it must not
};

struct CellSum {
  std::uint32_t total = 0;
  std::vector<std::uint32_t> parts;
};

struct CountTable {
  std::vector<std::int64_t> value;     ///< one a cell
  std::vector<CellStanding> standing;  ///< one a cell
  std::vector<CellSum> sums;
};

struct WithholdRule {
  std::int64_t threshold = 5;  ///< counts of 1 to threshold - 1 are small
  bool zeros_shown = true;     ///< false: a zero is small too
  std::size_t largest_component = 2000;
};

enum class CellFate : std::uint8_t { Shown, Small, Complement, Earlier, Hidden };

struct Withheld {
  std::vector<CellFate> fate;                ///< one a cell
  std::vector<std::uint32_t> too_connected;  ///< withheld cells of components over the limit: not checked, must not be printed so
  std::vector<std::uint32_t> open_to_all;    ///< small cells that can't be protected, since too much is known of them already
  bool isSafe() const { return too_connected.empty() && open_to_all.empty(); }
};

/// Errors: InvalidArgument (columns of unequal length, a sum that doesn't add up or names no cell, a negative count, a threshold
/// under 1), Cancelled.
Result<Withheld> withhold(const CountTable& table, const WithholdRule& rule, Progress& progress);

/// The exact range of every unknown cell for a reader of the others; of known cells, and of those in components over `largest`, the value.
struct CellRanges {
  std::vector<std::int64_t> low, high;  ///< high kNoLimit: no sum holds it
  std::vector<std::uint32_t> not_solved;
};
inline constexpr std::int64_t kNoLimit = INT64_MAX;
Result<CellRanges> exactRanges(const CountTable& table, const std::vector<bool>& unknown, std::size_t largest, Progress& progress);

/// A rate whose denominator a reader has gives its numerator away, and the rest of the denominator with it. It may be printed only if numerator
/// and denominator may, and if neither the numerator nor what it leaves of the denominator is small.
bool rateMayBeShown(std::int64_t numerator, std::int64_t denominator, CellFate numerator_fate, CellFate denominator_fate, const WithholdRule& rule);
bool isSmall(std::int64_t count, const WithholdRule& rule);

}  // namespace leeward::analysis
