#pragma once
/// Street names made comparable: type and directions apart, the rest as one key without blanks.
#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::analysis {

struct StreetParts {
  std::string before;  ///< standard direction before the name, "" none
  std::string core;    ///< the name's words in comparable form, joined: "4", "MTAUBURN", "NORTH" alone stays a name
  std::string type;    ///< standard type behind the name, "" none
  std::string after;   ///< standard direction behind
  bool type_in_core = false;  ///< read as part of the name though it is a type word: such a name must fit as it stands
  bool operator==(const StreetParts&) const = default;
};

/// The words of a street name in upper case, punctuation gone, two direction words joined ("NORTH EAST" -> "NE").
std::vector<std::string> streetWords(std::string_view name);
/// One word in comparable form: ordinals as figures, Saint and Street as ST, directions and types in standard form.
std::string comparable(std::string_view word);
/// At least one word stays the name: "North St", "E St NW", "Avenue B", "Park Ave".
StreetParts splitStreet(const std::vector<std::string>& words);
/// The readings to try for a name as typed: as splitStreet, with the first direction and with the type as part of the name.
std::vector<StreetParts> streetReadings(const std::vector<std::string>& words);

/// Optimal string alignment distance (insertions, deletions, changes, neighbours swapped: Damerau 1964), or limit + 1; words of over 63
/// letters are beyond every limit. Bit-parallel: Hyyro 2003, "A bit-vector algorithm for computing Levenshtein and Damerau edit distances",
/// Nordic Journal of Computing 10.
int slipsBetween(std::string_view a, std::string_view b, int limit);

/// The same from one word to many.
class SlipCounter {
 public:
  explicit SlipCounter(std::string_view word);
  int to(std::string_view other, int limit) const;

 private:
  std::string_view word_;  ///< must outlive this
  std::array<std::uint64_t, 256> places_{};  ///< by letter: a bit for each place of the word where it stands
};
/// Jaro-Winkler similarity, 0..1 (Winkler 1990, prefix scale 0.1, at most 4 letters).
double winklerSimilarity(std::string_view a, std::string_view b);

}  // namespace leeward::analysis
