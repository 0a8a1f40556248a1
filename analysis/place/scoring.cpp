#include "analysis/place/scoring.h"

#include <cmath>

namespace leeward::analysis {
namespace {

double coreWeight(const Agreement& a) {
  const bool short_name = a.letters < 5;
  switch (a.core) {
    case CoreAgreement::Same: return 9;
    case CoreAgreement::WholeName: return 8;
    case CoreAgreement::OneSlip: return short_name ? 3 : 5;
    case CoreAgreement::TwoSlips: return short_name ? 0 : (a.letters < 7 ? 1 : 2.5);
    case CoreAgreement::SoundsAlike: return short_name ? 0 : 2;
    case CoreAgreement::Part: return 3;
  }
  return 0;
}

double typeWeight(TypeAgreement a) {
  switch (a) {
    case TypeAgreement::Same: return 1.5;
    case TypeAgreement::NotTyped: return -0.5;
    case TypeAgreement::NotInReference: return -0.5;
    case TypeAgreement::Differs: return -3;
  }
  return 0;
}

double directionWeight(DirectionAgreement a) {
  switch (a) {
    case DirectionAgreement::Same: return 0.5;
    case DirectionAgreement::OtherSide: return 0;
    case DirectionAgreement::NotTyped: return -1.2;
    case DirectionAgreement::NotInReference: return -1.5;
    case DirectionAgreement::Differs: return -4;
  }
  return 0;
}

double numberWeight(NumberAgreement a) {
  switch (a) {
    case NumberAgreement::Same: return kMostOfANumber;
    case NumberAgreement::SuffixLost: return 2.5;
    case NumberAgreement::SuffixAdded: return 2;
    case NumberAgreement::InWritten: return 3;
    case NumberAgreement::Between: return 0.5;
    case NumberAgreement::OnRange: return 0;
    case NumberAgreement::OtherParity: return -1.5;
    case NumberAgreement::NotOnStreet: return -4;
    case NumberAgreement::NotTyped: return 0;
  }
  return 0;
}

double townWeight(TownAgreement a) {
  switch (a) {
    case TownAgreement::Same: return 2;
    case TownAgreement::Near: return 1;
    case TownAgreement::Unknown: return 0;
    case TownAgreement::Neighbour: return -1;
    case TownAgreement::Differs: return -3;
  }
  return 0;
}

/// Chance that a number which the reference lacks between two that it has is a real door and no slip of the fingers; by
/// choice, since a reference can't tell. It keeps such places below every threshold of sureness.
constexpr double kMissingIsReal = 0.8;

struct Logistic {
  double base = 0;
  double weight = 0;
  double log_share = 0;
};

/// Point, Between, Range and Crossing as fitted by tests/reference/place/calibrate.cpp on lines that are not reported on; the
/// coarser grades, for which there are too few cases, as chosen by hand.
Logistic calibration(PlacedBy placed_by) {
  switch (placed_by) {
    case PlacedBy::Point: return {1.88, 0.188, 4.53};
    case PlacedBy::Between: return {1.11, 0.153, 1.87};
    case PlacedBy::Range: return {-4.0, 0.35, 3};
    case PlacedBy::Crossing: return {-1.01, 0.311, 4.64};
    case PlacedBy::Block: return {-1.5, 0.35, 3};
    case PlacedBy::Street: return {-3.0, 0.3, 3};
    case PlacedBy::Postcode: return {-2, 0, 3};
    case PlacedBy::None: break;
  }
  return {-20, 0, 0};
}

bool isPlural(const std::string& type, const std::string& of) { return type.size() == of.size() + 1 && type.back() == 'S' && type.starts_with(of); }

}  // namespace

double weightOf(const Agreement& a) {
  double weight = coreWeight(a) + typeWeight(a.type) + directionWeight(a.direction) + numberWeight(a.number) + townWeight(a.town);
  if (a.postcode == PostcodeAgreement::Same) weight += kMostOfAPostcode;
  if (a.postcode == PostcodeAgreement::Differs) weight -= 1.5;
  if (a.unit == UnitAgreement::Same) weight += kMostOfAUnit;
  if (a.unit == UnitAgreement::Differs) weight -= 5;
  return weight - 1.5 * a.left_over;
}

double chanceOf(PlacedBy placed_by, double weight, double share) {
  const Logistic c = calibration(placed_by);
  const double real = placed_by == PlacedBy::Between ? kMissingIsReal : 1;
  const double z = c.base + c.weight * weight + c.log_share * std::log(std::max(share, 1e-9));
  return std::clamp(real / (1 + std::exp(-z)), 0.0, std::max(share, 0.0));
}

TypeAgreement compareTypes(const std::string& typed, const std::string& reference) {
  if (typed == reference) return TypeAgreement::Same;
  if (typed.empty() || isPlural(typed, reference)) return TypeAgreement::NotTyped;
  return reference.empty() ? TypeAgreement::NotInReference : TypeAgreement::Differs;
}

DirectionAgreement compareDirections(const StreetParts& typed, const StreetParts& reference) {
  if (typed.before == reference.before && typed.after == reference.after) return DirectionAgreement::Same;
  const std::string& t = typed.before.empty() ? typed.after : typed.before;
  const std::string& r = reference.before.empty() ? reference.after : reference.before;
  const bool both_sides = (!typed.before.empty() && !typed.after.empty()) || (!reference.before.empty() && !reference.after.empty());
  if (t == r && !both_sides) return DirectionAgreement::OtherSide;
  if (t.empty()) return DirectionAgreement::NotTyped;
  if (r.empty()) return DirectionAgreement::NotInReference;
  return DirectionAgreement::Differs;
}

std::string inWords(const Agreement& a) {
  std::string words;
  const auto say = [&](const char* text) { words += (words.empty() ? "" : ", ") + std::string(text); };
  switch (a.core) {
    case CoreAgreement::Same: say("same street name"); break;
    case CoreAgreement::WholeName: say("same street name with its direction or type in it"); break;
    case CoreAgreement::OneSlip: say("street name one slip off"); break;
    case CoreAgreement::TwoSlips: say("street name two slips off"); break;
    case CoreAgreement::SoundsAlike: say("a street name that sounds the same"); break;
    case CoreAgreement::Part: say("part of the street name"); break;
  }
  if (a.type == TypeAgreement::NotTyped) say("no type typed");
  if (a.type == TypeAgreement::Differs) say("another type");
  if (a.direction == DirectionAgreement::NotTyped) say("no direction typed");
  if (a.direction == DirectionAgreement::NotInReference) say("a direction that the street hasn't");
  if (a.direction == DirectionAgreement::Differs) say("another direction");
  switch (a.number) {
    case NumberAgreement::Same: say("same number"); break;
    case NumberAgreement::SuffixLost: say("same number without its suffix"); break;
    case NumberAgreement::SuffixAdded: say("same number but for the suffix"); break;
    case NumberAgreement::InWritten: say("number within a written range"); break;
    case NumberAgreement::Between: say("number between two known ones"); break;
    case NumberAgreement::OnRange: say("number on the street's range"); break;
    case NumberAgreement::OtherParity: say("number on a range of the other side"); break;
    case NumberAgreement::NotOnStreet: say("the number is outside every range of the street"); break;
    case NumberAgreement::NotTyped: break;
  }
  if (a.town == TownAgreement::Neighbour) say("a neighbouring town was typed");
  if (a.town == TownAgreement::Differs) say("another town");
  if (a.postcode == PostcodeAgreement::Differs) say("another postcode");
  if (a.left_over > 0) say("words left over");
  return words;
}

}  // namespace leeward::analysis
