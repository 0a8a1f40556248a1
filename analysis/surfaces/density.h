#pragma once
/// Kernel density: points spread to a smooth surface of points a square metre.
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/surfaces/kernel.h"
#include "shared/base/progress.h"
#include "shared/geo/geometry.h"
#include "shared/layer/layer.h"

namespace leeward::analysis {

/// What is made good of the part of each hill that lies beyond the window's edge, where no point could be.
enum class EdgeCorrection : std::uint8_t {
  None,
  Place,  ///< the sum at a place over the kernel's volume there that lies in the window (Diggle 1985)
  Point,  ///< each point's hill over its own volume in the window, so that each counts one in all (Jones 1993)
};

struct DensityRequest {
  Kernel kernel;
  EdgeCorrection edge = EdgeCorrection::None;
};

/// At single places, in a rectangle as the window: every point is summed, by the formula.
/// Shapes:  points and places finite, in plane metres. Points outside the window count too.
/// Source:  Diggle 1985 (Appl. Stat. 34, 138-147); Jones 1993 (Stat. Comput. 3, 135-146).
std::vector<double> densityAt(std::span<const Point> points, std::span<const Point> places, const DensityRequest& request, const Bbox& window);

/// Where points could be: a rectangle, or areas within it.
struct DensityWindow {
  Bbox box;
  const Geometries* areas = nullptr;  ///< repaired, in the raster's plane; null = the whole box
};

/// At the cells' centres of a raster, whose values are filled; nan outside the window (with no correction and no areas: nowhere).
/// In a rectangle corrections are those of densityAt. In areas the kernel's volume is summed over the cells' covered fractions: exact to the size of a cell, so cells
/// should be no larger than half a bandwidth. Points are left out if they are not finite, or with a correction where the window covers nothing of them.
/// Errors:  InvalidArgument: bandwidth not above 0, a raster without cells or above 100 million. Cancelled.
/// Cost:    points x cells within reach; parallel. Results don't depend on threads: each cell sums points from south to north.
/// Accuracy: tests/reference/statistics/density_test.cpp.
Result<void> fillDensity(std::span<const Point> points, const DensityRequest& request, const DensityWindow& window, Raster& raster, Progress& progress);

/// One surface over another, such as finds over looks; nan where the lower one holds fewer than `least` points of it within the kernel's effective area.
void divideDensity(Raster& above, const Raster& below, const Kernel& kernel, double least);

}  // namespace leeward::analysis
