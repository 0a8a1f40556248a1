#include "viewer/study/files/input.h"

#include <utility>
#include <vector>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::study {

Result<const Column*> needColumn(const Table& table, const std::string& name, const std::string& source, const std::string& option) {
  if (name.empty()) return Problem{ProblemCode::InvalidArgument, "a column must be named", option, "Columns are: " + join(table.names(), ", ")};
  if (const Column* column = table.find(name)) return column;
  return Problem{ProblemCode::NotFound, fmt::format("there is no column \"{}\"", name), source, "Columns are: " + join(table.names(), ", ")};
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

Result<Crs> frameFor(const Layer& layer) {
  if (layer.crs.isUnknown()) {
    return Problem{ProblemCode::CrsMismatch, "the file doesn't say in which coordinates it is", layer.name, "Add --crs EPSG:n, or --crs local for plane metres"};
  }
  if (layer.crs.isLocal()) return layer.crs;
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
  const Bbox box = layer.geometry.bbox();
  if (box.isEmpty()) return Problem{ProblemCode::BadData, "there is no place in any row", layer.name, "Check the coordinates"};
  const Point center = to_lon_lat(box.center());
  if (layer.crs.isTrueToScaleAt(center) && layer.crs.metresPerUnit() == 1) return layer.crs;
  return Crs::equalAreaAt(center);
}

Result<Layer> inMetres(Layer layer, const Crs& frame) {
  if (!frame.isUnknown()) return reprojected(std::move(layer), frame);
  LEEWARD_ASSIGN(chosen, frameFor(layer));
  return reprojected(std::move(layer), chosen);
}

}  // namespace leeward::study
