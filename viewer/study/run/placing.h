#pragma once
/// The placing stage: every address as typed gets its premises, and the ledger keeps the link.
#include "viewer/study/run/context.h"

namespace leeward::study {

/// Places what looks and sightings name, by address where one was typed, else by the phone's position; writes
/// placements, premises (with asked-not-to-return and hazard from the looks) and the links. Does nothing if neither
/// the rows nor the reference changed since the last time. Positions in the ledger are EPSG:4326.
///
/// A phone's position is taken as circular normal with kPhoneSigmaM: the nearest address point is its premises if its share
/// of the likelihood over all points within three sigma is at least analysis::kPlacedScore (that share is the score); else
/// the look counts for its block but for no door.
Result<void> placeRecords(RunContext& context, Progress progress);

inline constexpr double kPhoneSigmaM = 8;  ///< per axis, of a phone in a street: common practice, no published source

}  // namespace leeward::study
