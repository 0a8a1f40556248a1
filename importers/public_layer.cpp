#include "importers/public_layer.h"

#include <algorithm>
#include <filesystem>

#include "importers/public_parts.h"
#include "importers/what_is_it.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// A layer with shapes must say where they are.
Result<void> settleCrs(Layer& layer, const LayerRequest& request, const std::string& file) {
  if (!layer.hasGeometry() || !layer.crs.isUnknown()) return {};
  if (!request.crs.empty()) {
    LEEWARD_ASSIGN(crs, Crs::parse(request.crs));
    layer.crs = crs;
    return {};
  }
  const bool shapefile = lowerAscii(std::filesystem::path(file).extension().string()) == ".shp";
  return Problem{ProblemCode::CrsMismatch, shapefile ? "The shapefile has no .prj, so it does not say in which reference system it is"
                                                     : "The layer does not say in which reference system it is",
                 file, "Name it: crs = \"EPSG:...\" in study.toml, or --crs EPSG:...; or add the .prj file that belongs to it"};
}

Result<Layer> tidied(PublicParts& parts, const LayerRequest& request, Progress& progress) {
  switch (parts.kind) {
    case Kind::Premises: return tidyPremises(parts, request, progress);
    case Kind::Streets: return tidyStreets(parts, progress);
    case Kind::Census: return tidyCensus(parts, progress);
    case Kind::Weather: return tidyWeather(parts, progress);
    default: return tidyAreas(parts, progress);
  }
}

/// What tells the right one of a file's several layers.
std::optional<GeometryKind> shapeOf(Kind kind) {
  switch (kind) {
    case Kind::Premises: return GeometryKind::Points;
    case Kind::Streets: return GeometryKind::Lines;
    case Kind::Blocks:
    case Kind::Areas:
    case Kind::Jurisdictions: return GeometryKind::Areas;
    default: return std::nullopt;
  }
}

Result<PublicLayer> importHeat(const LayerRequest& request, const Overrides& overrides, Progress& progress) {
  PublicLayer out;
  LEEWARD_ASSIGN(map, withOverrides(guessColumns(Kind::Heat, {}), overrides, {}));
  out.map = std::move(map);
  out.unit = out.map.setting("unit");
  out.report.file = std::filesystem::path(fileOf(request.source)).filename().string();
  LEEWARD_ASSIGN(remarks, checkRaster(request, out.unit, progress));
  out.report.remarks = std::move(remarks);
  return out;
}

}  // namespace

Result<PublicLayer> importPublic(Kind kind, const LayerRequest& request, const Overrides& overrides, Progress& progress, bool anyway) {
  if (kind == Kind::Visits || kind == Kind::Sightings) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("{} are the crew's own and no public layer", kindName(kind)), "", "Take them into the ledger"};
  }
  progress.report(0, fmt::format("Reading {}", kindName(kind)));
  if (kind == Kind::Heat) return importHeat(request, overrides, progress);
  Progress reading = progress.part(0, 0.5);
  LayerRequest fitting = request;
  fitting.wanted = shapeOf(kind);
  LEEWARD_ASSIGN(source, readSource(fitting, reading));
  const std::string file = std::filesystem::path(source.path).filename().string();
  if (!anyway) LEEWARD_TRY(checkKind(kindName(kind), source.layer, file));
  LEEWARD_TRY(settleCrs(source.layer, request, file));

  Overrides all = overrides;
  if (!request.x_column.empty() && kind == Kind::Premises) all["lon"] = request.x_column;
  if (!request.y_column.empty() && kind == Kind::Premises) all["lat"] = request.y_column;
  auto map = mapColumns(kind, source.layer.table, all);
  if (!map) {
    Problem problem = std::move(map).problem();
    return problem.code == ProblemCode::InvalidArgument ? problem : std::move(problem).at(file);
  }
  PublicLayer out;
  out.map = *std::move(map);
  out.report.file = file;
  out.report.read = source.layer.rows();
  out.report.remarks = source.remarks;

  if (source.layer.table.width() == 0) source.layer.table.setRows(source.layer.geometry.size());
  Rows rows(source.layer.table, out.map, out.report);
  PublicParts parts{kind, source, out.map, rows, out.report, rows.refuseRagged(source.ragged), {}};
  Progress tidying = progress.part(0.5, 1);
  auto layer = tidied(parts, request, tidying);
  if (!layer) return std::move(layer).problem();
  out.layer = *std::move(layer);
  out.layer.name = kindName(kind);
  out.unit = parts.unit;
  out.report.kept = out.report.read - out.report.refused.size();
  std::ranges::stable_sort(out.report.refused, {}, &RefusedRow::line);
  if (out.layer.rows() == 0) {
    const auto& refused = out.report.refused;
    const std::string why = refused.empty() ? "" : fmt::format("; the first: line {}, {}", refused.front().line, refused.front().reason);
    return Problem{ProblemCode::BadData, fmt::format("None of the {} rows can be used{}", out.report.read, why), file,
                   refused.empty() ? "Check that it is the right file" : "Correct the file, or the columns by --map"};
  }
  progress.report(1);
  return out;
}

}  // namespace leeward::importers
