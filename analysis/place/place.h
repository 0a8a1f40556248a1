#pragma once
/// Placing addresses as typed on a reference of points and ranges.
///
/// Candidates come from the reference's street names near the one typed (spelling slips included); agreement weights
/// (Fellegi & Sunter 1969, "A theory for record linkage", JASA 64; partial agreement after Winkler 1990) over number,
/// street, type, direction, place, postcode and unit give odds, and a logistic calibration fitted on data kept apart
/// from the reported figures turns them into the chance that the premises is the right one. Ties stay undecided. A
/// number outside every range of its street is never clamped to one. Method, calibration, figures: analysis/place/PLACING.md.
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "analysis/place/address_index.h"
#include "shared/base/progress.h"

namespace leeward::analysis {

struct PlaceQuery {
  std::string text;      ///< the address as typed, possibly with its town and postcode
  std::string place;     ///< from a column of its own, "" if there is none; what stands in `text` goes first
  std::string postcode;  ///< likewise
  bool operator==(const PlaceQuery&) const = default;
};

enum class PlaceDecision : std::uint8_t {
  Placed,
  Undecided,  ///< several candidates about as good, or one that isn't good enough: see candidates
  None,       ///< nothing in the reference fits
};

enum class PlacedBy : std::uint8_t {
  Point,     ///< an address point of that number
  Between,   ///< between two points of the same side of the street
  Range,     ///< along a street's range
  Crossing,  ///< where two streets meet
  Block,     ///< the middle of a block's hundred
  Street,    ///< the street is known, the number isn't on it
  Postcode,  ///< only the postcode is known
  None,
};

const char* name(PlaceDecision decision);  ///< "placed", "undecided", "none"
const char* name(PlacedBy placed_by);      ///< "point", "between", ... "none"

/// One way to read the line. `id` is the address point's, or the street range's for Between, Range and Block where
/// there is one; "" for the rest.
struct PlaceCandidate {
  PlacedBy placed_by = PlacedBy::None;
  Point position;  ///< plane metres of the reference
  double score = 0;
  double uncertainty_m = 0;
  std::string address;
  std::string id;
};

struct Placement {
  PlaceDecision decision = PlaceDecision::None;
  PlacedBy placed_by = PlacedBy::None;  ///< None unless something was found; an undecided line shows its best candidate
  Point position;                       ///< plane metres; nan, nan where placed_by is None
  double score = 0;                     ///< 0-1: chance that this is the right premises (or crossing, block, street)
  double uncertainty_m = 0;             ///< radius that holds 95 % of true positions of this grade; nan where None
  std::string matched_address;          ///< as the reference writes it
  std::string matched_id;
  double runner_up_score = 0;           ///< of the best candidate elsewhere
  std::string why;                      ///< one sentence: what agreed, what didn't
  std::vector<PlaceCandidate> candidates;  ///< best first, at most five, the chosen one included
};

/// At or above this score, and clear of the runner-up, a line is Placed.
inline constexpr double kPlacedScore = 0.5;

Placement placeAddress(const AddressIndex& index, const PlaceQuery& query);
/// One result a query, in order. Equal queries are worked out once. Cancelled.
Result<std::vector<Placement>> placeAddresses(const AddressIndex& index, const std::vector<PlaceQuery>& queries, Progress& progress);

}  // namespace leeward::analysis
