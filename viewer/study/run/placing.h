#pragma once
/// The placing stage: every address as typed gets its premises, and the ledger keeps the link.
#include "viewer/study/run/context.h"

namespace leeward::study {

/// Places what looks and sightings name, by address where one was typed, else by the phone's position; writes
/// placements, premises (with asked-not-to-return and hazard from the looks) and the links. Does nothing if neither
/// the rows nor the reference changed since the last time. Positions in the ledger are EPSG:4326.
///
/// What a person settled by hand (viewer/study/settle.h) is applied first; candidates of lines that stay open are kept in the cache.
///
/// A position without an address is taken as circular normal around the phone, with a spread by who reported it (a crew
/// stands before the house, a caller points from down the street, a post shows a picture's place): the nearest address point
/// is the premises if its share of the likelihood over all points within three sigma is at least kSurePosition (that share
/// is the score); else the row counts for its block but for no door.
Result<void> placeRecords(RunContext& context, Progress progress);
/// Whether the ledger, as it is now, was noted to have nothing left to place.
Result<bool> isAllPlaced(const RunContext& context);
/// Notes that the ledger, as it is now, has nothing left to place; call it when a run has written all that it writes.
Result<void> noteAllPlaced(RunContext& context);

// Spread per axis, metres: common practice, no published source.
inline constexpr double kCrewSigmaM = 10;
inline constexpr double kCallerSigmaM = 25;
inline constexpr double kPostSigmaM = 50;
inline constexpr double kHandSigmaM = 5;  ///< of a place that a person set on the map
inline constexpr double kSurePosition = 0.8;

}  // namespace leeward::study
