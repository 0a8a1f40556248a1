#pragma once
/// The map that leaves the team: figures by area, nothing finer.
#include "viewer/draw/themes.h"
#include "viewer/study/hand_over/counts.h"

namespace leeward::draw {

/// Visits by area in the latest whole year (or, without one, period), with the other counts written in each area; withheld ones are hatched and said.
/// `findings` gives the ground alone: streets without names, water, parks. Both must outlive the making of a PreparedMap.
MapTheme handedOver(const study::Findings& findings, const study::ToldAreas& areas, const study::ToldCounts& counts);

}  // namespace leeward::draw
