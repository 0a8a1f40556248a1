#pragma once
/// `density`: points spread to a smooth surface.
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>

#include "analysis/surfaces/density.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

struct DensitySurfaceRequest {
  LayerRequest points;
  LayerRequest inside;        ///< areas in which points could be: the window; no source = the points' box
  LayerRequest relative_to;   ///< points that the density is divided by, such as looks; no source = none
  std::string bandwidth;      ///< metres, or scott, likelihood, berman
  double cell_m = 0;
  analysis::KernelForm kernel = analysis::KernelForm::Gaussian;
  analysis::EdgeCorrection edge = analysis::EdgeCorrection::None;
  std::uint64_t seed = 1;
  std::filesystem::path output;  ///< GeoTIFF
};

struct DensitySurface {
  std::vector<RefusedRow> refused;  ///< rows of points without a place
  std::vector<std::string> remarks;
  std::size_t points = 0, outside = 0;  ///< that took part; that lie outside the areas and did not
  double bandwidth_m = 0;               ///< of the kernel asked for
  double highest = 0;                   ///< a square metre, or relative
  std::optional<Point> highest_at;      ///< longitude and latitude; plane metres without a place; nothing if every cell is empty
  bool is_lon_lat = false;
  std::size_t columns = 0, rows = 0;
  std::string frame;
};

/// Writes points a square metre, or with relative_to points per point of those (empty where fewer than one of them lies within the kernel's effective area). Without a correction and areas the
/// surface reaches half the kernel beyond the points' box. InvalidArgument, those of reading, CrsMismatch, BadData (nothing to spread, no area for a correction).
Result<DensitySurface> densitySurface(const DensitySurfaceRequest& request, Progress& progress);

}  // namespace leeward::study
