#pragma once
/// A raster as an image in the study's frame, coloured by cividis.
#include "shared/layer/layer.h"
#include "viewer/draw/map_picture.h"

namespace leeward::draw {

struct HeatImage {
  MapImage image;            ///< null where the raster can't be brought into the frame or has no values
  double low = 0, high = 0;  ///< values at the ends of the ramp: the 2 % and 98 % quantiles of the cells
};

/// Nearest cell at up to `longest_px` pixels along the longer side of `extent`; no data stays clear.
HeatImage heatImage(const Raster& raster, const Crs& frame, const Bbox& extent, int longest_px = 900);

}  // namespace leeward::draw
