#pragma once
/// House numbers, and places along ranges of them (TIGER/Line Technical Documentation: a range runs from the line's
/// first to its last node; parity is by side).
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// "N101" -> N, 101; "12A", "12-A", "12 1/2" -> suffix "A", "1/2"; "12-16" -> last 16; "45-18" (falling or far apart)
/// -> suffix "-18".
struct HouseNumber {
  std::string prefix;
  int number = 0;
  int last = 0;        ///< of a written range, else = number
  std::string suffix;
  bool operator==(const HouseNumber&) const = default;
};
/// Nothing without a figure, or with more than nine of them.
std::optional<HouseNumber> readHouseNumber(std::string_view text);

enum class Parity { Odd, Even, Both };

struct SideRange {
  std::string prefix;
  int from = 0;  ///< at the line's first vertex; may be larger than `to`
  int to = 0;
  Parity parity = Parity::Both;
};
/// Nothing for a blank side ("", "0"-"0", or an end missing) or ends whose prefixes differ.
std::optional<SideRange> readSide(std::string_view from, std::string_view to);
/// Whether the number lies in the range; `parity_agrees` says whether it is of the range's parity.
bool inside(const SideRange& range, const HouseNumber& number, bool* parity_agrees = nullptr);
/// (n - from) / (to - from); one half where both ends are equal.
double shareAlong(const SideRange& range, int number);
/// On the line at that share, `inset_m` kept free at both ends (at most a quarter of the line), moved `offset_m` to the
/// side: left of the direction of drawing if `left`.
Point placeAlong(std::span<const Point> line, double share, bool left, double offset_m, double inset_m = 0);

}  // namespace leeward::analysis
