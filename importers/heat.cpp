// Heat layers: what can be told of a raster before it is used; areas with a value.
#include <algorithm>
#include <array>
#include <cmath>

#include "importers/oddities.h"
#include "importers/public_parts.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {

std::string heatKindIn(std::string_view names) {
  struct Sign {
    std::string_view word, kind;
  };
  // Words of products and columns (common practice, no published source); the first that is found counts.
  static constexpr auto kSigns = std::to_array<Sign>({{"surface temp", "land surface"}, {"landsurface", "land surface"}, {" lst ", "land surface"}, {"land surface", "land surface"},
                                                      {"heat index", "index"}, {"heatindex", "index"}, {"apparent temp", "index"}, {"vulnerability", "index"}, {" hvi ", "index"},
                                                      {"air temp", "air"}, {"airtemp", "air"}, {" tair ", "air"}, {"paved", "proxy"}, {"impervious", "proxy"},
                                                      {"canopy", "proxy"}, {"ndvi", "proxy"}, {"albedo", "proxy"}, {"fraction", "proxy"}});
  std::string text = " ";
  for (const char c : lowerAscii(names)) text += c == '_' || c == '-' || c == '.' ? ' ' : c;
  text += ' ';
  for (const Sign& sign : kSigns) {
    if (text.find(sign.word) != std::string::npos) return std::string(sign.kind);
  }
  return "";
}

Result<Layer> tidyHeatAreas(PublicParts& parts, Progress& progress) {
  if (!parts.source.layer.hasGeometry()) {
    return Problem{ProblemCode::BadData, "This is no raster, and it has no areas", parts.report.file, "Give a GeoTIFF, an ASCII grid, or a layer of areas with a value"};
  }
  const Rows::Slot value = parts.rows.slot("value");
  if (!value) {
    return Problem{ProblemCode::BadData, "No column says how hot an area is", parts.report.file,
                   "Name it: --map value=Column; columns are " + join(parts.source.layer.table.names(), ", ")};
  }
  const Geometries& shapes = parts.geometry();
  Geometries areas;
  std::vector<std::size_t> row_of;
  Column values("value", Column::Kind::Real);
  for (std::size_t row = 0; row < parts.rows.size(); ++row) {
    if (parts.refused[row]) continue;
    const auto number = readNumber(parts.rows.at(value, row));
    if (shapes.kind(row) != GeometryKind::Areas || !shapes.hasVertex(row)) parts.refuse(row, {}, "the row has no area");
    else if (number.bad() || !number.value) parts.refuse(row, value, number.bad() ? number.why : "the value is blank");
    if (parts.refused[row]) continue;
    areas.addCopy(shapes, row);
    row_of.push_back(row);
    values.addReal(*number.value);
  }
  const Pick* pick = parts.map.find("value");
  parts.unit = parts.map.setting("unit").empty() && pick != nullptr ? upperAscii(pick->unit) : parts.map.setting("unit");
  for (const OddConstant& odd : oddConstants(values.toReals())) {
    parts.remark(fmt::format("{} areas are {} while nearly all others lie between {:.4g} and {:.4g}: probably a missing value", odd.count, formatNumber(odd.value), odd.low, odd.high));
  }
  Layer layer;
  layer.crs = parts.source.layer.crs;
  LEEWARD_ASSIGN(repaired, repairedAreas(parts, areas, row_of, progress));
  layer.geometry = std::move(repaired);
  layer.table.add(std::move(values));
  return layer;
}

Result<RasterLook> lookAtRaster(const LayerRequest& request, const Whereabouts& known, const std::string& unit, Progress& progress) {
  LEEWARD_ASSIGN(raster, readRaster(fileOf(request.source), progress));
  const double right = raster.left + raster.cell_x * static_cast<double>(raster.columns), bottom = raster.top - raster.cell_y * static_cast<double>(raster.rows);
  const std::array<Point, 5> places = {Point{(raster.left + right) / 2, (raster.top + bottom) / 2}, Point{raster.left, raster.top}, Point{right, bottom},
                                       Point{raster.left, bottom}, Point{right, raster.top}};
  RasterLook look;
  std::vector<std::string>& remarks = look.remarks;
  LEEWARD_ASSIGN(believed, believe(places, raster.crs, known, request.source));
  if (believed.swapped) {
    return Problem{ProblemCode::CrsMismatch, "The raster's coordinates stand as north, east", request.source, "Save it with its axes the right way round"};
  }
  if (!believed.remark.empty()) remarks.push_back(believed.remark);
  look.crs = std::move(believed);
  const auto missing = static_cast<std::size_t>(std::ranges::count_if(raster.values, [](float value) { return std::isnan(value); }));
  if (missing == raster.values.size()) {
    return Problem{ProblemCode::BadData, "No cell of the raster holds a value", request.source, "Check its no-data value and its band"};
  }
  remarks.push_back(fmt::format("{} x {} cells, {:.1f} % without data", raster.columns, raster.rows,
                                100.0 * static_cast<double>(missing) / static_cast<double>(raster.values.size())));
  float low = std::numeric_limits<float>::infinity();
  float high = -low;
  for (const float value : raster.values) {
    if (std::isnan(value)) continue;
    low = std::min(low, value);
    high = std::max(high, value);
  }
  for (const OddConstant& odd : oddConstants(std::span<const float>(raster.values))) {
    remarks.push_back(fmt::format("{} cells are {} while nearly all others lie between {:.4g} and {:.4g}: probably no data that is not marked as such",
                                  formatCount(static_cast<std::int64_t>(odd.count)), formatNumber(odd.value), odd.low, odd.high));
  }
  if (low == high) remarks.push_back(fmt::format("All cells hold the same value, {:.4g}", low));
  if (unit.empty()) remarks.push_back(fmt::format("The unit of the values ({:.4g} to {:.4g}) is not said: unit = \"...\" in study.toml", low, high));
  const bool celsius = unit.empty() || unit == "°C" || unit == "C";
  if (celsius && low > 200 && high < 400) remarks.push_back("The values look like kelvin");
  else if (celsius && high > 1000) remarks.push_back("The values look like raw sensor numbers, not temperatures: apply the product's scale and offset first");
  return look;
}

}  // namespace leeward::importers
