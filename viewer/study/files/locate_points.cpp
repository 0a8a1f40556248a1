#include "viewer/study/files/locate_points.h"

#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/overlay/locate.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

constexpr double kHeldByPlaced = 0.95;  ///< analysis/place: uncertainty_m is such a radius

/// Areas by id: rows of one id merged, in order of their first row.
struct NamedAreas {
  std::vector<std::string> id;
  Layer layer;
};

Result<NamedAreas> namedAreas(Layer areas, const std::string& id, const std::string& source, std::vector<std::string>& remarks) {
  LEEWARD_ASSIGN(ids, needColumn(areas.table, id, source, "--id"));
  LEEWARD_TRY(needAreas(areas, source));
  std::map<std::string, std::size_t> place;
  std::vector<std::vector<std::size_t>> rows;
  NamedAreas named;
  for (std::size_t row = 0; row < areas.rows(); ++row) {
    if (areas.geometry.kind(row) != GeometryKind::Areas) continue;
    const std::string name{trim(ids->asText(row))};
    if (name.empty()) {
      return Problem{ProblemCode::BadData, "an area has no id", fmt::format("{}, {}, column {}", source, rowName(areas.table, row), ids->name()),
                     "Give every area an id, or name another column with --id"};
    }
    const auto [at, is_new] = place.emplace(name, rows.size());
    if (is_new) rows.emplace_back(), named.id.push_back(name);
    rows[at->second].push_back(row);
  }
  named.layer.crs = areas.crs;
  if (rows.size() < areas.rows()) remarks.push_back(fmt::format("{}: rows of one id were taken as one area, rows without an outline were left out", source));
  std::vector<RepairNote> notes;
  const Geometries mended = repairAreas(areas.geometry, notes);
  if (!notes.empty()) remarks.push_back(fmt::format("{}: {} outlines were mended, the first in {}: {}", source, notes.size(), rowName(areas.table, notes.front().row), notes.front().what));
  for (const auto& parts : rows) {
    if (parts.size() == 1) named.layer.geometry.addCopy(mended, parts.front());
    else named.layer.geometry.addCopy(unionOf(mended, parts), 0);
  }
  return named;
}

/// Standard deviations; nan where the row has none. Rows with a value that can't be one are refused and lose their point.
Result<std::vector<double>> uncertainties(const Layer& points, const LocatePointsRequest& request, std::vector<Point>& at, std::vector<RefusedRow>& refused) {
  LEEWARD_ASSIGN(column, needColumn(points.table, request.uncertainty, request.points.source, "--uncertainty"));
  std::vector<double> sigma = column->toReals();
  for (std::size_t row = 0; row < sigma.size(); ++row) {
    const bool is_empty = column->isMissing(row) || trim(column->asText(row)).empty();
    if (is_empty || (sigma[row] >= 0 && std::isfinite(sigma[row]))) continue;
    if (std::isfinite(at[row].x)) refused.push_back(refusedRow(points.table, row, column->name(), "an uncertainty is a number of metres, 0 or more"));
    at[row] = {kNan, kNan};
    sigma[row] = kNan;
  }
  return sigma;
}

/// Standard deviations for a metre of uncertainty. The radius r of a circular normal holds the share 1 - exp(-r^2 / 2 s^2).
double deviationsAMetre(Layer& points, const LocatePointsRequest& request) {
  auto holds = request.holds;
  if (!holds && request.uncertainty == "uncertainty_m" && points.table.find("placed_by") != nullptr) {
    holds = kHeldByPlaced;
    points.remarks.push_back("uncertainty_m was taken as place writes it: the radius that holds 95 % of true places (--holds says otherwise)");
  }
  return holds ? 1 / std::sqrt(-2 * std::log1p(-*holds)) : 1;
}

Table foundTable(const std::vector<analysis::Located>& located, const std::vector<std::string>& ids, const std::vector<bool>& without_chance) {
  std::vector<std::string> area, second;
  std::vector<double> chance, second_chance;
  const auto name = [&](std::int32_t row) { return row < 0 ? std::string() : ids[static_cast<std::size_t>(row)]; };
  for (std::size_t row = 0; row < located.size(); ++row) {
    const auto& one = located[row];
    area.push_back(name(one.area)), second.push_back(name(one.second));
    chance.push_back(one.area < 0 || without_chance[row] ? kNan : one.chance);
    second_chance.push_back(one.second < 0 ? kNan : one.second_chance);
  }
  return TableMaker{}.named("area_id", area).reals("area_chance", chance).named("second_id", second).reals("second_chance", second_chance).done();
}

}  // namespace

Result<LocatedPoints> locatePoints(const LocatePointsRequest& request, Progress& progress) {
  if (request.holds && !(*request.holds > 0 && *request.holds < 1)) {
    return Problem{ProblemCode::InvalidArgument, "--holds is a share between 0 and 1", fmt::format("--holds {}", *request.holds), "0.95 says that 95 % of true places lie within the uncertainty"};
  }
  auto reading = progress.part(0, 0.5);
  LEEWARD_ASSIGN(points, readInput(request.points, reading));
  LEEWARD_ASSIGN(areas, readInput(request.areas, reading));
  LocatedPoints out;
  auto& [layer, refused] = out.answer;
  LEEWARD_ASSIGN(as_read, pointsOf(points, request.points.source, refused));
  std::vector<bool> without_chance(points.rows(), false);
  std::vector<double> sigma;
  if (!request.uncertainty.empty()) {
    LEEWARD_ASSIGN(found, uncertainties(points, request, as_read, refused));
    const double factor = deviationsAMetre(points, request);
    for (double& one : found) one *= factor;
    sigma = std::move(found);
  }
  LEEWARD_ASSIGN(named, namedAreas(std::move(areas), request.id, request.areas.source, points.remarks));
  Layer bare;
  bare.crs = points.crs;
  for (const Point p : as_read) std::isfinite(p.x) ? bare.geometry.addPoint(p) : bare.geometry.addNone();
  LEEWARD_ASSIGN(both, inOneFrame(std::move(bare), request.points.source, std::move(named.layer), request.areas.source));
  std::vector<Point> at;
  for (std::size_t row = 0; row < as_read.size(); ++row) {
    at.push_back(std::isfinite(as_read[row].x) ? both.first.geometry.point(row) : as_read[row]);
    if (std::isfinite(as_read[row].x) && !std::isfinite(at[row].x)) refused.push_back(refusedRow(points.table, row, "", "coordinates that lie nowhere on the earth"));
  }
  std::size_t unknown = 0;
  for (std::size_t row = 0; row < sigma.size(); ++row) {
    without_chance[row] = std::isnan(sigma[row]);
    unknown += without_chance[row] && std::isfinite(at[row].x) ? 1 : 0;
    if (!without_chance[row] && both.added_uncertainty_m > 0) sigma[row] = std::hypot(sigma[row], both.added_uncertainty_m);
  }
  if (unknown > 0) points.remarks.push_back(fmt::format("{} rows have no uncertainty: they get an area but no chance", unknown));
  points.remarks.insert(points.remarks.end(), both.remarks.begin(), both.remarks.end());
  auto working = progress.part(0.5, 1);
  LEEWARD_ASSIGN(located, analysis::locate(at, sigma, both.second.geometry, working));
  for (std::size_t row = 0; row < at.size(); ++row) {
    if (std::isfinite(at[row].x)) ++(located[row].area >= 0 ? out.inside : out.outside);
  }
  addColumns(points, foundTable(located, named.id, without_chance));
  layer = std::move(points);
  return out;
}

}  // namespace leeward::study
