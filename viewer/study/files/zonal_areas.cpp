#include "viewer/study/files/zonal_areas.h"

#include <algorithm>
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

Result<FileAnswer> zonalAreas(const ZonalAreasRequest& request, Progress& progress) {
  analysis::ZonalRequest zonal;
  LEEWARD_ASSIGN(asked, parseStatistics(request.statistics, zonal));
  zonal.median = std::ranges::any_of(asked, [](const auto& one) { return one.name == "median"; });  // it keeps and sorts each area's cells
  auto reading = progress.part(0, 0.3);
  LEEWARD_ASSIGN(areas, readInput(request.areas, reading));
  LEEWARD_TRY(needAreas(areas, request.areas.source));
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
  Table added;
  for (const auto& one : asked) {
    if (one.name == "quantile") added.add(Column::reals("quantile_" + one.number, found.quantiles[one.index]));
    else if (one.name == "share-above") added.add(Column::reals("share_above_" + one.number, found.share_above[one.index]));
    else if (one.name == "mean") added.add(Column::reals("mean", found.mean));
    else if (one.name == "min") added.add(Column::reals("min", found.min));
    else if (one.name == "max") added.add(Column::reals("max", found.max));
    else if (one.name == "sd") added.add(Column::reals("sd", found.sd));
    else added.add(Column::reals("median", found.median));
  }
  addColumns(areas, added);
  FileAnswer answer;
  for (std::size_t row = 0; row < areas.rows(); ++row) {
    if (areas.geometry.kind(row) != GeometryKind::Areas) answer.refused.push_back(refusedRow(areas.table, row, "", "no outline"));
  }
  answer.layer = std::move(areas);
  return answer;
}

}  // namespace leeward::study
