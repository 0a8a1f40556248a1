#include "viewer/study/files/scan_areas.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"
#include "viewer/study/files/time_columns.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// The numbers of each row; nan where there is none.
struct Numbers {
  std::vector<double> events, exposure, expected;
  const std::vector<double>& weight() const { return expected.empty() ? exposure : expected; }
};

Result<std::vector<double>> countsIn(const Table& table, const std::string& name, const std::string& source, const std::string& option, bool are_whole) {
  LEEWARD_ASSIGN(values, needNumbers(table, name, source, option, true));
  for (std::size_t row = 0; row < values.size(); ++row) {
    const bool is_wrong = values[row] < 0 || (are_whole && !std::isnan(values[row]) && values[row] != std::floor(values[row]));
    if (!is_wrong) continue;
    return Problem{ProblemCode::BadData, fmt::format("\"{}\" is {}", table.find(name)->asText(row), values[row] < 0 ? "below 0" : "no whole number"),
                   fmt::format("{}, {}, column {}", source, rowName(table, row), name), are_whole ? "A scan needs counts of events, not rates" : "Correct the value or leave the row out"};
  }
  return values;
}

Result<Numbers> numbersIn(const ScanAreasRequest& request, const Table& table) {
  const auto& source = request.areas.source;
  const bool of_units = request.scan.model == analysis::ScanModel::Bernoulli;
  Numbers numbers;
  LEEWARD_ASSIGN(events, countsIn(table, request.events, source, "--events", true));
  LEEWARD_ASSIGN(exposure, countsIn(table, request.exposure, source, "--exposure", of_units));
  numbers.events = std::move(events), numbers.exposure = std::move(exposure);
  if (!request.expected.empty()) {
    LEEWARD_ASSIGN(expected, countsIn(table, request.expected, source, "--expected", false));
    numbers.expected = std::move(expected);
  }
  for (std::size_t row = 0; of_units && row < table.rows(); ++row) {
    if (!(numbers.events[row] > numbers.exposure[row]) || numbers.exposure[row] == 0) continue;
    return Problem{ProblemCode::BadData, "there are more events than units of exposure", fmt::format("{}, {}", source, rowName(table, row)), "Correct the row, or use --model poisson"};
  }
  return numbers;
}

/// Where each row stands, in the layer's own coordinates; nan without a place.
Result<std::vector<Point>> standingPoints(const Layer& layer, const ScanAreasRequest& request) {
  std::vector<Point> points(layer.rows(), Point{kNan, kNan});
  const bool has_areas = layer.hasGeometry() && needAreas(layer, "").ok();
  if (has_areas && !request.areas.x_column.empty()) {
    LEEWARD_ASSIGN(x, needNumbers(layer.table, request.areas.x_column, request.areas.source, "--x", true));
    LEEWARD_ASSIGN(y, needNumbers(layer.table, request.areas.y_column, request.areas.source, "--y", true));
    for (std::size_t row = 0; row < points.size(); ++row) points[row] = {x[row], y[row]};
    return points;
  }
  if (!layer.hasGeometry()) {
    return Problem{ProblemCode::BadData, "there are no places in this file", request.areas.source, "Give a file with areas, or add --x COLUMN --y COLUMN --crs EPSG:n"};
  }
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (!layer.geometry.hasVertex(row)) continue;
    points[row] = layer.geometry.kind(row) == GeometryKind::Areas ? pointInside(layer.geometry, row) : layer.geometry.point(row);
  }
  return points;
}

/// Degrees stay degrees for circles, which are then measured on the sphere; else plane metres.
Result<Crs> measureIn(const Layer& layer, bool ellipses, std::vector<Point>& points) {
  LEEWARD_ASSIGN(frame, frameFor(layer));
  if (layer.crs.isLocal() || (layer.crs.isGeographic() && !ellipses)) return layer.crs;
  LEEWARD_ASSIGN(move, Transform::between(layer.crs, frame));
  move.apply(points);
  return frame;
}

/// Rows put together to places and periods.
struct Cells {
  analysis::ScanAreas areas;
  std::vector<std::size_t> row_of_place;  ///< first row
  std::vector<std::string> periods;
};

/// The period of each row by number, and their names; -1 without a day.
Result<std::vector<std::int32_t>> periodsOf(const ScanAreasRequest& request, const Table& table, std::vector<std::string>& names, std::vector<RefusedRow>& refused) {
  std::vector<std::int32_t> of_row(table.rows(), 0);
  names = {""};
  if (request.scan.time == analysis::ScanTime::None) return of_row;
  LEEWARD_ASSIGN(days, daysOf(table, request.when, request.areas.source, "--when", refused));
  const Column& column = *table.find(request.when);
  std::map<std::int64_t, std::string> all;
  std::vector<std::int64_t> key(table.rows(), 0);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (!days[row]) continue;
    const auto period = periodOf(*days[row], request.every.value_or(Every::Month));
    key[row] = request.every ? period.index : days[row]->days;
    all.emplace(key[row], request.every ? period.name() : std::string(trim(column.asText(row))));
  }
  // A calendar period between two others is one, though nothing was written of it.
  for (auto i = request.every && !all.empty() ? all.begin()->first : 1, last = request.every && !all.empty() ? all.rbegin()->first : 0; i < last; ++i) {
    all.emplace(i, Period{*request.every, static_cast<std::int32_t>(i)}.name());
  }
  constexpr std::size_t kMostPeriods = 400;
  if (all.size() > kMostPeriods) {
    return Problem{ProblemCode::BadData, fmt::format("there are {} different times", all.size()), request.areas.source, "Add --every month, quarter or year"};
  }
  if (all.size() < 2) return Problem{ProblemCode::BadData, "a scan in time needs at least two periods", request.areas.source, "Name another column, or leave --time out"};
  names.clear();
  std::map<std::int64_t, std::int32_t> number;
  for (const auto& [at, name] : all) number.emplace(at, static_cast<std::int32_t>(names.size())), names.push_back(name);
  for (std::size_t row = 0; row < table.rows(); ++row) of_row[row] = days[row] ? number.at(key[row]) : -1;
  return of_row;
}

/// Why a row takes no part, and in which column; "" if it does.
std::pair<std::string, std::string> reasonAgainst(const ScanAreasRequest& request, const Numbers& numbers, const std::vector<Point>& points, std::size_t row) {
  if (!std::isfinite(points[row].x) || !std::isfinite(points[row].y)) return {"no place that can be used", ""};
  if (std::isnan(numbers.events[row])) return {"no number", request.events};
  if (std::isnan(numbers.exposure[row])) return {"no number", request.exposure};
  if (std::isnan(numbers.weight()[row])) return {"no number", request.expected};
  if (numbers.events[row] > 0 && numbers.weight()[row] == 0) return {"events where nothing was exposed or expected", request.events};
  return {};
}

Result<Cells> gather(const ScanAreasRequest& request, const Layer& layer, const Numbers& numbers, const std::vector<Point>& points, std::vector<RefusedRow>& refused) {
  Cells cells;
  LEEWARD_ASSIGN(period, periodsOf(request, layer.table, cells.periods, refused));
  const Column* ids = nullptr;
  if (!request.id.empty()) {
    LEEWARD_ASSIGN(column, needColumn(layer.table, request.id, request.areas.source, "--id"));
    ids = column;
  }
  const bool by_place = request.scan.time != analysis::ScanTime::None;
  auto& areas = cells.areas;
  areas.periods = cells.periods.size();
  std::map<std::string, std::size_t> place_of;
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    if (period[row] < 0) continue;
    if (const auto [reason, column] = reasonAgainst(request, numbers, points, row); !reason.empty()) {
      refused.push_back(refusedRow(layer.table, row, column, reason));
      continue;
    }
    const std::string key = !by_place ? std::to_string(row) : ids != nullptr ? ids->asText(row) : fmt::format("{:a} {:a}", points[row].x, points[row].y);
    const auto [at, is_new] = place_of.emplace(key, areas.places.size());
    if (is_new) {
      areas.places.push_back(points[row]);
      cells.row_of_place.push_back(row);
      for (auto* list : {&areas.events, &areas.exposure, &areas.expected}) list->resize(areas.places.size() * areas.periods, 0);
    }
    const auto cell = at->second * areas.periods + static_cast<std::size_t>(period[row]);
    areas.events[cell] += numbers.events[row], areas.exposure[cell] += numbers.exposure[row], areas.expected[cell] += numbers.weight()[row];
  }
  if (numbers.expected.empty()) areas.expected.clear();
  if (areas.places.empty()) return Problem{ProblemCode::BadData, "no row can take part", request.areas.source, "Check the columns of events and exposure"};
  return cells;
}

Layer tellClusters(const ScanAreasRequest& request, const Layer& areas, const Cells& cells, const ScannedAreas& out) {
  Layer layer;
  layer.name = "clusters";
  layer.crs = areas.crs;
  layer.remarks = areas.remarks;
  const bool has_areas = areas.hasGeometry() && needAreas(areas, "").ok();
  std::vector<std::int64_t> rank, count;
  std::vector<std::string> centre, members, from, to;
  std::map<std::string, std::vector<double>> reals;
  for (const auto& cluster : out.found.clusters) {
    rank.push_back(static_cast<std::int64_t>(rank.size()) + 1);
    count.push_back(static_cast<std::int64_t>(cluster.members.size()));
    centre.push_back(out.names[cluster.centre]);
    std::vector<std::string> names;
    std::vector<std::size_t> rows;
    for (const auto place : cluster.members) names.push_back(out.names[place]), rows.push_back(cells.row_of_place[place]);
    members.push_back(join(names, ";"));
    from.push_back(out.periods[cluster.first_period]), to.push_back(out.periods[cluster.last_period]);
    const std::vector<std::pair<const char*, double>> values = {
        {"radius", cluster.radius}, {"observed", cluster.observed}, {"expected", cluster.expected}, {"llr", cluster.llr}, {"p", cluster.p}, {"p_gumbel", cluster.p_gumbel},
        {"relative_risk", std::isfinite(cluster.relative_risk) ? cluster.relative_risk : kNan}, {"ratio", cluster.ratio}, {"angle", cluster.angle * 180 / std::numbers::pi}};
    for (const auto& [name, value] : values) reals[name].push_back(value);
    if (has_areas) layer.geometry.addCopy(unionOf(areas.geometry, rows), 0);
    else layer.geometry.addPoint(areas.geometry.point(cells.row_of_place[cluster.centre]));
  }
  TableMaker maker;
  maker.integers("rank", rank).texts("centre", centre).reals("radius", reals["radius"]).texts("members", members);
  for (const char* name : {"observed", "expected", "relative_risk", "llr", "p", "p_gumbel"}) maker.reals(name, reals[name]);
  maker.integers("areas", count);
  if (request.scan.time != analysis::ScanTime::None) maker.texts("from", from).texts("to", to);
  if (request.scan.ellipses) maker.reals("ratio", reals["ratio"]).reals("angle", reals["angle"]);
  layer.table = maker.done();
  return layer;
}

}  // namespace

Result<ScannedAreas> scanAreaFile(const ScanAreasRequest& request, Progress& progress) {
  const bool timed = request.scan.time != analysis::ScanTime::None;
  if (timed != !request.when.empty()) {
    return Problem{ProblemCode::InvalidArgument, timed ? "a scan in time needs a column with days" : "days alone don't say how to scan", timed ? "--time" : "--when",
                   timed ? "Add --when COLUMN" : "Add --time retrospective or --time prospective"};
  }
  auto reading = progress.part(0, 0.1);
  LEEWARD_ASSIGN(layer, readInput(request.areas, reading));
  LEEWARD_ASSIGN(numbers, numbersIn(request, layer.table));
  LEEWARD_ASSIGN(points, standingPoints(layer, request));
  LEEWARD_ASSIGN(frame, measureIn(layer, request.scan.ellipses, points));
  ScannedAreas out;
  LEEWARD_ASSIGN(cells, gather(request, layer, numbers, points, out.refused));
  cells.areas.lon_lat = frame.isGeographic();
  out.frame = frame.isGeographic() ? "great circles" : frame.name();
  out.periods = cells.periods;
  const Column* ids = request.id.empty() ? nullptr : layer.table.find(request.id);
  for (const auto row : cells.row_of_place) out.names.push_back(ids != nullptr ? ids->asText(row) : std::to_string(row + 1));
  auto scanning = progress.part(0.1, 1);
  LEEWARD_ASSIGN(found, analysis::scanAreas(cells.areas, request.scan, scanning));
  out.found = std::move(found);
  out.layer = tellClusters(request, layer, cells, out);
  return out;
}

}  // namespace leeward::study
