#pragma once
/// Agreement of a candidate with what was typed, its weight, and the chance that it is right.
///
/// Weights are natural logs of m/u, the chances of such an agreement among right and among wrong pairs (Fellegi & Sunter
/// 1969). The calibration's coefficients come from tests/reference/place/calibrate.cpp; see PLACING.md.
#include <string>

#include "analysis/place/index_data.h"
#include "analysis/place/place.h"

namespace leeward::analysis {

enum class CoreAgreement : std::uint8_t { Same, WholeName, OneSlip, TwoSlips, SoundsAlike, Part };
enum class TypeAgreement : std::uint8_t { Same, NotTyped, NotInReference, Differs };
enum class DirectionAgreement : std::uint8_t { Same, OtherSide, NotTyped, NotInReference, Differs };
enum class NumberAgreement : std::uint8_t {
  Same,         ///< number and suffix
  SuffixLost,   ///< the reference has a suffix, none was typed
  SuffixAdded,  ///< typed, not in the reference
  InWritten,    ///< inside a written range "12-16", or its first number
  Between,
  OnRange,
  OtherParity,  ///< on a range of the other parity
  NotOnStreet,
  NotTyped,
};
enum class TownAgreement : std::uint8_t {
  Same,
  Near,       ///< a slip or two off
  Unknown,
  Neighbour,  ///< another town, but one whose doors lie beside this one's: people say the town they know
  Differs,
};
enum class PostcodeAgreement : std::uint8_t { Same, Unknown, Differs };
enum class UnitAgreement : std::uint8_t { Same, Unknown, Differs };

struct Agreement {
  CoreAgreement core = CoreAgreement::Same;
  TypeAgreement type = TypeAgreement::Same;
  DirectionAgreement direction = DirectionAgreement::Same;
  NumberAgreement number = NumberAgreement::NotTyped;
  TownAgreement town = TownAgreement::Unknown;
  PostcodeAgreement postcode = PostcodeAgreement::Unknown;
  UnitAgreement unit = UnitAgreement::Unknown;
  int left_over = 0;
  std::size_t letters = 0;  ///< of the street's core: a slip in a short name says less
};

double weightOf(const Agreement& agreement);
inline constexpr double kMostOfANumber = 4, kMostOfAPostcode = 1.5, kMostOfAUnit = 4;  ///< the most that each adds to a street's weight
/// Chance of being right for a candidate of that grade, weight, and share among its rivals (0..1).
double chanceOf(PlacedBy placed_by, double weight, double share);

TypeAgreement compareTypes(const std::string& typed, const std::string& reference);
DirectionAgreement compareDirections(const StreetParts& typed, const StreetParts& reference);
/// What agreed and what didn't, for people.
std::string inWords(const Agreement& agreement);

}  // namespace leeward::analysis
