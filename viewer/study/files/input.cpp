#include "viewer/study/files/input.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "importers/nearest_name.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"

namespace leeward::study {
namespace {

bool isTaken(const Table& table, const std::string& name) {
  return std::ranges::any_of(table.columns(), [&](const Column& column) { return lowerAscii(column.name()) == lowerAscii(name); });
}

/// "Did you mean "Address"? Columns are: ..."
std::string otherColumns(const Table& table, const std::string& name) {
  constexpr std::size_t kMostShown = 40;
  const auto names = table.names();
  if (names.empty()) return "The file has no columns";
  const auto nearest = importers::nearestNames(name, names);
  const auto unlike = importers::editDistance(lowerAscii(nearest.front()), lowerAscii(name));
  std::string text = 2 * unlike <= name.size() ? fmt::format("Did you mean \"{}\"? ", nearest.front()) : "";
  const std::vector<std::string> first(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(std::min(names.size(), kMostShown)));
  text += "Columns are: " + join(first, ", ");
  if (names.size() > kMostShown) text += fmt::format(" and {} more", names.size() - kMostShown);
  return text;
}

}  // namespace

Result<Layer> readInput(const LayerRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(layer, readLayer(request, progress));
  if (layer.rows() == 0) return Problem{ProblemCode::BadData, "there are headings, but no rows", request.source, "Is this the right file?"};
  return layer;
}

Result<const Column*> needColumn(const Table& table, const std::string& name, const std::string& source, const std::string& option) {
  if (name.empty()) return Problem{ProblemCode::InvalidArgument, "a column must be named", option, otherColumns(table, name)};
  if (const Column* column = table.find(name)) return column;
  return Problem{ProblemCode::NotFound, fmt::format("there is no column \"{}\"", name), source, otherColumns(table, name)};
}

Result<std::vector<double>> needNumbers(const Table& table, const std::string& name, const std::string& source, const std::string& option, bool may_be_missing) {
  LEEWARD_ASSIGN(column, needColumn(table, name, source, option));
  for (std::size_t row = 0; row < column->size(); ++row) {
    if (column->asReal(row)) continue;
    const bool empty = column->isMissing(row) || trim(column->asText(row)).empty();
    if (empty && may_be_missing) continue;
    return Problem{ProblemCode::BadData, empty ? "a number is missing" : fmt::format("\"{}\" is not a number", column->asText(row)),
                   fmt::format("{}, {}, column {}", source, rowName(table, row), column->name()), "Correct the value or leave the row out"};
  }
  return column->toReals();
}

std::string rowName(const Table& table, std::size_t row) {
  return table.lines.empty() ? fmt::format("row {}", row + 1) : fmt::format("line {}", table.lines[row]);
}

/// The middle of a layer in longitude and latitude. A layer on both sides of the antimeridian looks as wide as the earth; its middle is found with the western
/// longitudes put beyond 180 degrees.
static Point middleOf(const Layer& layer, const Bbox& box, const Transform& to_lon_lat) {
  const Point middle = to_lon_lat(box.center());
  if (!(to_lon_lat(Point{box.max_x, box.max_y}).x - to_lon_lat(Point{box.min_x, box.min_y}).x > 180)) return middle;
  std::vector<Point> places(layer.geometry.vertices().begin(), layer.geometry.vertices().end());
  to_lon_lat.apply(places);
  Bbox as_read, beyond;
  for (const Point p : places) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) continue;
    as_read.add(p);
    beyond.add(Point{p.x < 0 ? p.x + 360 : p.x, p.y});
  }
  if (!(beyond.width() < as_read.width())) return middle;
  const Point found = beyond.center();
  return {found.x > 180 ? found.x - 360 : found.x, found.y};
}

Result<Crs> frameFor(const Layer& layer) {
  if (layer.crs.isUnknown()) {
    return Problem{ProblemCode::CrsMismatch, "the file doesn't say in which coordinates it is", layer.name, "Add --crs EPSG:n, or --crs local for plane metres"};
  }
  if (layer.crs.isLocal()) return layer.crs;
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
  const Bbox box = layer.geometry.bbox();
  if (box.isEmpty()) return Problem{ProblemCode::BadData, "there is no place in any row", layer.name, "Check the coordinates"};
  const Point center = middleOf(layer, box, to_lon_lat);
  if (layer.crs.isTrueToScaleAt(center) && layer.crs.metresPerUnit() == 1) return layer.crs;
  return Crs::equalAreaAt(center);
}

Result<Layer> inMetres(Layer layer, const Crs& frame) {
  if (!frame.isUnknown()) return reprojected(std::move(layer), frame);
  LEEWARD_ASSIGN(chosen, frameFor(layer));
  return reprojected(std::move(layer), chosen);
}

Result<TwoLayers> inOneFrame(Layer first, const std::string& first_source, Layer second, const std::string& second_source) {
  for (const auto& [layer, source] : {std::pair{&first, &first_source}, std::pair{&second, &second_source}}) {
    if (!layer->crs.isUnknown()) continue;
    return Problem{ProblemCode::CrsMismatch, "the file doesn't say in which coordinates it is", *source, "Add --crs EPSG:n, or --crs local for plane metres"};
  }
  TwoLayers both;
  LEEWARD_ASSIGN(frame, frameFor(second));
  if (!first.crs.isLocal()) {
    LEEWARD_ASSIGN(shift, Transform::between(first.crs, frame));
    both.added_uncertainty_m = shift.addedUncertaintyM();
  }
  if (both.added_uncertainty_m > 0) {
    both.remarks.push_back(fmt::format("The two files are on different datums and the grid between them is not at hand: places are up to {} m further off", both.added_uncertainty_m));
  }
  LEEWARD_ASSIGN(first_moved, inMetres(std::move(first), frame));
  LEEWARD_ASSIGN(second_moved, inMetres(std::move(second), frame));
  both.first = std::move(first_moved);
  both.second = std::move(second_moved);
  if (!both.first.geometry.bbox().meets(both.second.geometry.bbox())) {
    both.remarks.push_back(fmt::format("Nothing of {} lies where {} does: check that both say the right coordinates (--crs)", first_source, second_source));
  }
  return both;
}

Result<std::vector<std::string>> columnList(const std::string& text, const std::string& option) {
  std::vector<std::string> names;
  if (trim(text).empty()) return names;
  std::string name;
  bool quoted = false, was_quoted = false;
  const auto finish = [&] {
    names.push_back(was_quoted ? name : std::string(trim(name)));
    name.clear();
    was_quoted = false;
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '"' && quoted && i + 1 < text.size() && text[i + 1] == '"') name += text[i++];
    else if (text[i] == '"' && (quoted || trim(name).empty())) name = quoted ? name : "", quoted = !quoted, was_quoted = true;
    else if (text[i] == ',' && !quoted) finish();
    else if (!(was_quoted && !quoted && text[i] == ' ')) name += text[i];
  }
  if (quoted) return Problem{ProblemCode::InvalidArgument, "a quote is not closed", option, "Write names like a,b,\"c, d\""};
  finish();
  return names;
}

void addColumns(Layer& layer, const Table& added) {
  for (Column column : added.columns()) {
    const std::string wanted = column.name();
    std::string name = wanted;
    for (int i = 2; isTaken(layer.table, name); ++i) name = fmt::format("{}_{}", wanted, i);
    if (name != wanted) {
      layer.remarks.push_back(fmt::format("the file has a column \"{}\" of its own; the new one is called {}", layer.table.find(wanted)->name(), name));
    }
    column.rename(std::move(name));
    layer.table.add(std::move(column));
  }
}

RefusedRow refusedRow(const Table& table, std::size_t row, const std::string& column, const std::string& reason) {
  const Column* at = table.find(column);
  return {table.lines.empty() ? row + 1 : table.lines[row], column, at != nullptr ? at->asText(row) : "", reason, csvRow(table, row)};
}

Result<std::vector<Point>> pointsOf(const Layer& layer, const std::string& source, std::vector<RefusedRow>& refused) {
  if (!layer.hasGeometry()) {
    return Problem{ProblemCode::BadData, "there are no points in this file", source, "For a table add --x COLUMN --y COLUMN --crs EPSG:n"};
  }
  std::vector<Point> points(layer.rows(), Point{kNan, kNan});
  std::size_t found = 0;
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    const bool is_point = layer.geometry.kind(row) == GeometryKind::Points && layer.geometry.hasVertex(row);
    if (is_point) points[row] = layer.geometry.point(row);
    if (std::isfinite(points[row].x) && std::isfinite(points[row].y)) {
      ++found;
      continue;
    }
    points[row] = {kNan, kNan};
    const bool other = layer.geometry.kind(row) == GeometryKind::Lines || layer.geometry.kind(row) == GeometryKind::Areas;
    refused.push_back(refusedRow(layer.table, row, "", other ? "a line or an area, where a point is needed" : "no place that can be used"));
  }
  if (found == 0 && layer.rows() > 0) return Problem{ProblemCode::BadData, "no row has a point", source, "Check the coordinates (--x, --y, --crs), or give a file with points"};
  return points;
}

Result<void> needAreas(const Layer& layer, const std::string& source) {
  for (std::size_t row = 0; layer.hasGeometry() && row < layer.rows(); ++row) {
    if (layer.geometry.kind(row) == GeometryKind::Areas) return {};
  }
  return Problem{ProblemCode::BadData, "there are no areas in this file", source, "Give a file with polygons"};
}

}  // namespace leeward::study
