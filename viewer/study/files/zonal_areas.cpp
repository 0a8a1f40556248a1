#include "viewer/study/files/zonal_areas.h"

#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/overlay/zonal.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::study {
namespace {

struct Asked {
  std::string name;     ///< mean, min, max, sd, median, quantile, share-above
  std::string number;   ///< as typed
  std::size_t index = 0;  ///< in the request's list
};

Result<std::vector<Asked>> parseStatistics(const std::string& text, analysis::ZonalRequest& request) {
  std::vector<Asked> asked;
  for (const auto piece : split(text, ',')) {
    const auto parts = split(trim(piece), ':');
    Asked one{std::string(parts[0]), parts.size() > 1 ? std::string(parts[1]) : "", 0};
    const auto number = parseNumber(one.number);
    const bool plain = one.name == "mean" || one.name == "min" || one.name == "max" || one.name == "sd" || one.name == "median";
    const bool numbered = (one.name == "quantile" && number && *number >= 0 && *number <= 1) || (one.name == "share-above" && number);
    if (parts.size() > 2 || !(plain ? parts.size() == 1 : numbered)) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is no statistic", piece), "--stats",
                     "Statistics are mean, min, max, sd, median, quantile:Q (0 to 1), share-above:X"};
    }
    if (numbered) {
      auto& list = one.name == "quantile" ? request.quantiles : request.share_above;
      one.index = list.size();
      list.push_back(*number);
    }
    asked.push_back(std::move(one));
  }
  return asked;
}

}  // namespace

Result<Layer> zonalAreas(const ZonalAreasRequest& request, Progress& progress) {
  analysis::ZonalRequest zonal;
  LEEWARD_ASSIGN(asked, parseStatistics(request.statistics, zonal));
  auto reading = progress.part(0, 0.3);
  LEEWARD_ASSIGN(areas, readLayer(request.areas, reading));
  if (!areas.hasGeometry()) return Problem{ProblemCode::BadData, "there are no areas in this file", request.areas.source, "Give a file with polygons"};
  LEEWARD_ASSIGN(raster, readRaster(request.raster, reading));
  Geometries in_plane = areas.geometry;
  if (!raster.crs.isUnknown() && !areas.crs.isUnknown()) {
    Layer shape;
    shape.geometry = areas.geometry;
    shape.crs = areas.crs;
    LEEWARD_ASSIGN(moved, reprojected(std::move(shape), raster.crs));
    in_plane = std::move(moved.geometry);
  } else if (raster.crs.isUnknown() != areas.crs.isUnknown()) {
    return Problem{ProblemCode::CrsMismatch, "one of the two files doesn't say in which coordinates it is", areas.crs.isUnknown() ? request.areas.source : request.raster,
                   "Add --crs EPSG:n for the areas, or give the raster its coordinate system"};
  }
  std::vector<RepairNote> notes;
  in_plane = repairAreas(in_plane, notes);
  auto working = progress.part(0.3, 1);
  LEEWARD_ASSIGN(found, analysis::zonalStatistics(in_plane, raster, zonal, working));
  for (const auto& one : asked) {
    if (one.name == "quantile") areas.table.add(Column::reals("quantile_" + one.number, found.quantiles[one.index]));
    else if (one.name == "share-above") areas.table.add(Column::reals("share_above_" + one.number, found.share_above[one.index]));
    else if (one.name == "mean") areas.table.add(Column::reals("mean", found.mean));
    else if (one.name == "min") areas.table.add(Column::reals("min", found.min));
    else if (one.name == "max") areas.table.add(Column::reals("max", found.max));
    else if (one.name == "sd") areas.table.add(Column::reals("sd", found.sd));
    else areas.table.add(Column::reals("median", found.median));
  }
  return areas;
}

}  // namespace leeward::study
