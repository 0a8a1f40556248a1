#pragma once
/// The points that leave the team: homes that were visited, moved so that none can be told.
#include <string>
#include <vector>

#include "shared/ledger/hand_overs.h"
#include "viewer/study/hand_over/areas.h"
#include "viewer/study/run/book.h"

namespace leeward::study {

struct ToldPlaces {
  Layer points;                  ///< note (Text), for a partner first_visit (Text: its year); in the ledger's system, in order of the masked places
  std::vector<MaskedPlace> news; ///< drawn now
  std::vector<std::string> withheld;  ///< for the lead: address and reason
  std::uint32_t least_nearer = 0;     ///< the smallest k that any of them has
  std::size_t waiting = 0;            ///< homes first visited in a year that isn't over
};

/// How a home is named in the ledger's list of masked places: keyed by the secret.
std::string premisesTag(const std::string& secret, const std::string& door_id);

/// A home with a visit gets one place for an audience, for ever, once the year of its first visit is over: were places told by the quarter, those new
/// in a release would count the homes newly visited in an area, which the tables may withhold. What the public was given a partner gets as it is; a home of which a partner
/// has another place gets none for the public, since two places together tell more than one. Errors: those of maskPoints.
Result<ToldPlaces> toldPlaces(const RunContext& context, const Book& book, const ToldAreas& areas, const std::string& audience, Progress& progress);

}  // namespace leeward::study
