#pragma once
/// The team's own picture of the ground beneath a map.
#include "viewer/draw/themes.h"

namespace leeward::draw {

/// Lays the findings' picture beneath everything, in light grey, so that its colours don't mix with those that mean something, and lets it show through
/// the fills of areas. Nothing where the findings have none, where it can't be brought into their frame, or where the theme has an image already.
void putGroundBeneath(MapTheme& theme, const study::Findings& findings);

}  // namespace leeward::draw
