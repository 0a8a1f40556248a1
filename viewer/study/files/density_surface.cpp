#include "viewer/study/files/density_surface.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "analysis/surfaces/bandwidth.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::study {
namespace {

/// Points in the frame, and the areas, if there are any.
struct Spread {
  std::vector<Point> points, relative;
  Geometries areas;
  Crs frame;
};

std::vector<Point> finitePoints(const Layer& plane, const std::vector<Point>& as_read) {
  std::vector<Point> points;
  for (std::size_t row = 0; row < plane.rows(); ++row) {
    if (std::isfinite(as_read[row].x) && std::isfinite(plane.geometry.point(row).x)) points.push_back(plane.geometry.point(row));
  }
  return points;
}

/// Keeps the points that lie in one of the areas; gives how many did not.
std::size_t keepInside(const Geometries& areas, std::vector<Point>& points) {
  const BoxIndex index(areas);
  return static_cast<std::size_t>(std::erase_if(points, [&](Point p) {
    const auto near = index.meeting({p.x, p.y, p.x, p.y});
    return std::ranges::none_of(near, [&](std::size_t row) { return contains(areas, row, p); });
  }));
}

Result<Spread> readAll(const DensitySurfaceRequest& request, DensitySurface& out, Progress& progress) {
  Spread spread;
  LEEWARD_ASSIGN(points, readInput(request.points, progress));
  LEEWARD_ASSIGN(as_read, pointsOf(points, request.points.source, out.refused));
  out.remarks = points.remarks;
  if (!request.inside.source.empty()) {
    LEEWARD_ASSIGN(areas, readInput(request.inside, progress));
    LEEWARD_TRY(needAreas(areas, request.inside.source));
    LEEWARD_ASSIGN(both, inOneFrame(std::move(points), request.points.source, std::move(areas), request.inside.source));
    spread.points = finitePoints(both.first, as_read);
    spread.frame = both.second.crs;
    std::vector<RepairNote> notes;
    spread.areas = repairAreas(both.second.geometry, notes);
    out.remarks.insert(out.remarks.end(), both.remarks.begin(), both.remarks.end());
    out.outside = keepInside(spread.areas, spread.points);
  } else {
    LEEWARD_ASSIGN(plane, inMetres(std::move(points)));
    spread.points = finitePoints(plane, as_read);
    spread.frame = plane.crs;
  }
  if (!request.relative_to.source.empty()) {
    LEEWARD_ASSIGN(others, readInput(request.relative_to, progress));
    std::vector<RefusedRow> without_place;
    LEEWARD_ASSIGN(others_read, pointsOf(others, request.relative_to.source, without_place));
    if (!without_place.empty()) out.remarks.push_back(fmt::format("{} rows of {} have no place", without_place.size(), request.relative_to.source));
    LEEWARD_ASSIGN(plane, inMetres(std::move(others), spread.frame));
    spread.relative = finitePoints(plane, others_read);
    if (!request.inside.source.empty()) keepInside(spread.areas, spread.relative);
  }
  out.points = spread.points.size();
  if (spread.points.empty()) return Problem{ProblemCode::BadData, "no point lies in the areas", request.inside.source, "Check that both files say the right coordinates (--crs)"};
  return spread;
}

Bbox boxOf(const std::vector<Point>& points) {
  Bbox box;
  for (const Point p : points) box.add(p);
  return box;
}

/// Of the kernel asked for: chosen ones are standard deviations.
Result<double> bandwidthOf(const DensitySurfaceRequest& request, const std::vector<Point>& points, const Bbox& box, Progress& progress) {
  if (const auto number = parseNumber(request.bandwidth)) {
    if (*number > 0 && std::isfinite(*number)) return *number;
    return Problem{ProblemCode::InvalidArgument, "the bandwidth must be above 0", "--bandwidth", "Give it in metres"};
  }
  double deviation = 0;
  if (request.bandwidth == "scott") {
    const auto [x, y] = analysis::scottBandwidths(points);
    deviation = std::sqrt(x * y);
  } else if (request.bandwidth == "likelihood") {
    LEEWARD_ASSIGN(found, analysis::likelihoodBandwidth(points, request.seed, progress));
    deviation = found;
  } else if (request.bandwidth == "berman") {
    LEEWARD_ASSIGN(found, analysis::bermanDiggleBandwidth(points, box, request.seed, progress));
    deviation = found;
  } else {
    return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is no bandwidth", request.bandwidth), "--bandwidth", "Give metres, or scott, likelihood or berman"};
  }
  if (!(deviation > 0)) return Problem{ProblemCode::BadData, "a bandwidth can't be read from these points", request.points.source, "Give it in metres"};
  return request.kernel == analysis::KernelForm::Gaussian ? deviation : deviation * std::sqrt(8.0);
}

/// within: cells whose centres lie in the box, else cells that cover it.
Result<Raster> gridOver(const Bbox& box, double cell, bool within, const Crs& frame) {
  const auto along = [&](double length) { return std::max(1.0, within ? std::floor(length / cell + 0.5) : std::ceil(length / cell - 1e-9)); };
  const double columns = along(box.width()), rows = along(box.height());
  if (!(columns * rows <= 1e8)) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("the surface would have {:.0f} million cells", columns * rows / 1e6), "--cell", "Give larger cells, or look for points placed far off"};
  }
  Raster raster;
  raster.columns = static_cast<std::size_t>(columns), raster.rows = static_cast<std::size_t>(rows);
  raster.left = box.min_x, raster.top = box.max_y;
  raster.cell_x = raster.cell_y = cell;
  raster.crs = frame;
  return raster;
}

/// A rectangle by its sides needs no summing over cells.
bool isRectangle(const Geometries& areas) {
  if (areas.size() != 1 || areas.kind(0) != GeometryKind::Areas || areas.paths(0) != 1) return false;
  const Bbox box = areas.bbox();
  return std::abs(areaOf(areas, 0) - box.width() * box.height()) <= 1e-12 * box.width() * box.height();
}

Result<void> tellHighest(const Raster& raster, DensitySurface& out) {
  std::optional<std::size_t> best;
  for (std::size_t cell = 0; cell < raster.values.size(); ++cell) {
    if (!std::isnan(raster.values[cell]) && (!best || raster.values[cell] > raster.values[*best])) best = cell;
  }
  if (!best) return {};
  out.highest = raster.values[*best];
  Point at{raster.left + (static_cast<double>(*best % raster.columns) + 0.5) * raster.cell_x, raster.top - (static_cast<double>(*best / raster.columns) + 0.5) * raster.cell_y};
  out.is_lon_lat = !raster.crs.isLocal();
  if (out.is_lon_lat) {
    LEEWARD_ASSIGN(back, Transform::between(raster.crs, Crs::wgs84()));
    at = back(at);
  }
  out.highest_at = at;
  return {};
}

}  // namespace

Result<DensitySurface> densitySurface(const DensitySurfaceRequest& request, Progress& progress) {
  if (!(request.cell_m > 0)) return Problem{ProblemCode::InvalidArgument, "cells must be larger than 0", "--cell", "Give their side in metres"};
  DensitySurface out;
  auto reading = progress.part(0, 0.2);
  LEEWARD_ASSIGN(spread, readAll(request, out, reading));
  const bool has_areas = !request.inside.source.empty();
  const Bbox box = has_areas ? spread.areas.bbox() : boxOf(spread.points);
  auto choosing = progress.part(0.2, 0.4);
  LEEWARD_ASSIGN(bandwidth, bandwidthOf(request, spread.points, box, choosing));
  out.bandwidth_m = bandwidth;
  const analysis::Kernel kernel(request.kernel, bandwidth);
  const bool has_correction = request.edge != analysis::EdgeCorrection::None;
  if (has_correction && !(box.width() > 0 && box.height() > 0)) {
    return Problem{ProblemCode::BadData, "the points span no area, so that there is no edge to correct for", request.points.source, "Add --inside AREAS, or use --edge none"};
  }
  const bool within = has_areas || has_correction;
  const double beyond = kernel.reach() / (request.kernel == analysis::KernelForm::Gaussian ? 2 : 1);
  LEEWARD_ASSIGN(raster, gridOver(within ? box : box.grownBy(beyond), request.cell_m, within, spread.frame));
  if (request.cell_m > bandwidth / 2) out.remarks.push_back("cells are larger than half the bandwidth: the surface between their centres is not seen");
  const analysis::DensityRequest asked{kernel, request.edge};
  const analysis::DensityWindow window{box, has_areas && !isRectangle(spread.areas) ? &spread.areas : nullptr};
  auto spreading = progress.part(0.4, 0.9);
  LEEWARD_TRY(analysis::fillDensity(spread.points, asked, window, raster, spreading));
  if (!request.relative_to.source.empty()) {
    Raster below = raster;
    LEEWARD_TRY(analysis::fillDensity(spread.relative, asked, window, below, spreading));
    analysis::divideDensity(raster, below, kernel, 1);
  }
  LEEWARD_TRY(tellHighest(raster, out));
  out.columns = raster.columns, out.rows = raster.rows;
  out.frame = spread.frame.name();
  auto writing = progress.part(0.9, 1);
  LEEWARD_TRY(writeRaster(raster, request.output, writing));
  return out;
}

}  // namespace leeward::study
