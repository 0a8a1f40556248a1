#pragma once
/// Street names made comparable: type and directions apart, the rest as one key without blanks.
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

/// Optimal string alignment distance (insertions, deletions, changes, neighbours swapped: Damerau 1964), or limit + 1.
int slipsBetween(std::string_view a, std::string_view b, int limit);
/// Jaro-Winkler similarity, 0..1 (Winkler 1990, prefix scale 0.1, at most 4 letters).
double winklerSimilarity(std::string_view a, std::string_view b);

}  // namespace leeward::analysis
