#pragma once
/// Addresses as crews type them: a right address spoilt in known ways, at known rates. Shares no table and no code with
/// the parser; abbreviations and slips from the sources named in mess.cpp.
#include <string>
#include <vector>

#include "shared/base/random.h"

namespace leeward::test {

struct CleanAddress {
  std::string number;     ///< "14", "11-A"
  std::string direction;  ///< before the name, "" none
  std::string name;       ///< without type and direction
  std::string type;       ///< as the reference writes it, "" none
  std::string after;      ///< direction behind
  std::string town, state, postcode;
  std::string crosses;    ///< a street that meets this one, full name, "" unknown
};

enum class Mess {
  Swapped, Dropped, Doubled, TwoSlips, TypeLost, TypeOtherwise, DirectionLost, TownLost, CommaLost, SpaceLost, UnitAdded, NumberMore,
  Crossing, Transposed, Outside
};
inline constexpr int kMessKinds = 15;

struct MessyLine {
  std::string text;
  std::vector<Mess> kinds;
  bool recoverable = true;  ///< neither transposed digits nor a number outside every range
  bool has(Mess kind) const;
};

MessyLine spoil(const CleanAddress& address, Random& random);

}  // namespace leeward::test
