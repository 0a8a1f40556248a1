#include "importers/public_layer.h"

#include <algorithm>
#include <filesystem>

#include "importers/headings.h"
#include "importers/public_parts.h"
#include "importers/vintage.h"
#include "importers/what_is_it.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// What is known of the coordinates before they are looked at. A study without a place takes files that name none (GeoJSON can't).
Result<Whereabouts> knownOf(const Layer& layer, const LayerRequest& request, const Overrides& overrides, const Surroundings& around, const std::string& file) {
  Whereabouts known{around.study, request.crs, false};
  if (const auto axes = overrides.find("axes"); axes != overrides.end() && !axes->second.empty()) {
    if (axes->second != "swapped") return Problem{ProblemCode::InvalidArgument, fmt::format("axes can't be '{}'", axes->second), "--map axes", "Write axes=swapped, or leave it out"};
    known.swapped = true;
  }
  if (!around.is_local || !known.crs.empty()) return known;
  if (layer.hasGeometry() && !layer.crs.isUnknown() && !layer.crs.isLocal() && !(layer.crs == Crs::wgs84())) {
    return Problem{ProblemCode::CrsMismatch, fmt::format("The study is in local metres without a place, and the file is in {}", layer.crs.name()), file,
                   "Give a file in the study's own metres, or make a study with a place (new --crs auto)"};
  }
  known.crs = "local";
  return known;
}

Result<Layer> tidied(PublicParts& parts, Progress& progress) {
  switch (parts.kind) {
    case Kind::Premises: return tidyPremises(parts, progress);
    case Kind::Streets: return tidyStreets(parts, progress);
    case Kind::Census: return tidyCensus(parts, progress);
    case Kind::Weather: return tidyWeather(parts, progress);
    case Kind::Heat: return tidyHeatAreas(parts, progress);
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

Result<PublicLayer> importRaster(const LayerRequest& request, const Overrides& overrides, const Surroundings& around, Progress& progress) {
  PublicLayer out;
  LEEWARD_ASSIGN(map, withOverrides(guessColumns(Kind::Heat, {}), overrides, {}));
  out.map = std::move(map);
  out.unit = out.map.setting("unit");
  out.report.file = std::filesystem::path(fileOf(request.source)).filename().string();
  LEEWARD_ASSIGN(known, knownOf({}, request, {}, around, out.report.file));
  LEEWARD_ASSIGN(look, lookAtRaster(request, known, out.unit, progress));
  out.report.remarks = std::move(look.remarks);
  if (look.crs.was_guessed) out.crs = look.crs.crs.definition();
  out.heat_kind = heatKindIn(out.report.file);
  return out;
}

/// What was assumed of the coordinates is said, and kept so that the next reading need not assume again.
void keepBelieved(PublicParts& parts, PublicLayer& out) {
  if (!parts.believed) return;
  if (!parts.believed->remark.empty()) parts.remark(parts.believed->remark);
  if (!parts.believed->was_guessed) return;
  out.crs = parts.believed->crs.definition();
  if (parts.believed->swapped) out.map.settings["axes"] = "swapped";
}

}  // namespace

Result<PublicLayer> importPublic(Kind kind, const LayerRequest& request, const Overrides& overrides, Progress& progress, bool anyway) {
  return importPublic(kind, request, overrides, Surroundings{.anyway = anyway}, progress);
}

Result<PublicLayer> importPublic(Kind kind, const LayerRequest& request, const Overrides& overrides, const Surroundings& around, Progress& progress) {
  if (kind == Kind::Visits || kind == Kind::Sightings || kind == Kind::Stock) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("{} are the crew's own and no public layer", kindName(kind)), "", "Take them into the ledger"};
  }
  progress.report(0, "Reading " + (around.called.empty() ? kindName(kind) : around.called));
  if (kind == Kind::Heat && isRaster(fileOf(request.source))) return importRaster(request, overrides, around, progress);
  Progress reading = progress.part(0, 0.5);
  LayerRequest fitting = request;
  fitting.wanted = shapeOf(kind);
  LEEWARD_ASSIGN(source, readSource(fitting, reading));
  const std::string file = std::filesystem::path(source.path).filename().string();
  if (!around.anyway) LEEWARD_TRY(checkKind(kindName(kind), source.layer, file));
  LEEWARD_ASSIGN(known, knownOf(source.layer, request, overrides, around, file));
  LEEWARD_ASSIGN(believed, settleCoordinates(source.layer, known, file));

  Overrides all = overrides;
  if (!request.x_column.empty() && kind == Kind::Premises) all["lon"] = request.x_column;
  if (!request.y_column.empty() && kind == Kind::Premises) all["lat"] = request.y_column;
  auto map = mapColumns(kind, source.layer.table, all);
  if (!map) {
    Problem problem = std::move(map).problem();
    return problem.code == ProblemCode::InvalidArgument ? problem : withHeadingHint(std::move(problem), kind, source.layer.table).at(file);
  }
  PublicLayer out;
  out.map = *std::move(map);
  out.report.file = file;
  out.report.read = source.layer.rows();
  out.report.remarks = source.remarks;

  if (source.layer.table.width() == 0) source.layer.table.setRows(source.layer.geometry.size());
  Rows rows(source.layer.table, out.map, out.report);
  PublicParts parts{kind, source, out.map, rows, out.report, rows.refuseRagged(source.ragged), {}, std::move(known), std::move(believed)};
  Progress tidying = progress.part(0.5, 1);
  auto layer = tidied(parts, tidying);
  if (!layer) return std::move(layer).problem();
  keepBelieved(parts, out);
  out.layer = *std::move(layer);
  out.layer.name = kindName(kind);
  out.unit = parts.unit;
  out.meanings = std::move(parts.meanings);
  if (kind == Kind::Blocks || kind == Kind::Areas || kind == Kind::Census) out.year = vintageIn(source.layer.table, source.layer.name, file);
  if (kind == Kind::Heat) out.heat_kind = heatKindIn(file + " " + source.layer.name + " " + rows.heading(rows.slot("value")));
  out.report.kept = out.report.read - out.report.refused.size();
  std::ranges::stable_sort(out.report.refused, {}, &RefusedRow::line);
  if (out.layer.rows() == 0) {
    out.report.file = file;
    return noneUsable(out.report);
  }
  progress.report(1);
  return out;
}

}  // namespace leeward::importers
