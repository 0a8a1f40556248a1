#include "viewer/study/run/public_layers.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "shared/base/hash.h"
#include "shared/base/missing.h"
#include "shared/geo/longitudes.h"
#include "shared/geo/overlay.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

/// The layer in the CRS of its file.
Result<Product> rawLayer(const StudyFile& study, Steps& steps, const std::string& kind, const SourceTable& source, const std::string& key, Progress progress) {
  return steps.product("source-" + kind, "Reading " + kind, key, progress, [&](Progress& step) -> Result<Layer> {
    auto read = importers::importPublic(*importerKind(kind), requestFor(study, source), overridesFor(kind, source), surroundingsOf(study, kind, {}), step);
    if (!read) return std::move(read).problem().at("[" + kind + "] of study.toml");
    return std::move(read->layer);
  });
}

/// Everything is measured in the frame, so one in degrees or feet, or stretched on the spot, gives wrong metres everywhere.
Result<void> checkFrame(const Crs& frame, const Layer& layer) {
  if (frame == layer.crs && frame.isLocal()) return {};
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
  if (frame.metresPerUnit() == 1 && frame.isTrueToScaleAt(to_lon_lat(layer.geometry.bbox().center()))) return {};
  return Problem{ProblemCode::CrsMismatch, fmt::format("metres can't be measured in {}: it is in another unit or not true to scale in the study's area", frame.name()),
                 "[study] crs of study.toml", "Set crs = \"auto\", or name a projected system in metres that is made for the area"};
}

/// A shift between datums without its grid leaves metres of doubt, which are added to the positions' own.
void noteDatumShift(RunContext& context, const std::string& kind, const Crs& from) {
  const auto transform = Transform::between(from, context.frame);
  if (!transform || transform->addedUncertaintyM() == 0) return;
  context.added_uncertainty_m[kind] = transform->addedUncertaintyM();
  context.remarks.push_back(fmt::format("{} come from {}, whose datum was shifted without its grid: their positions are {:.0f} m less sure.", layerLabel(kind),
                                        from.name(), transform->addedUncertaintyM()));
}

/// The frame from the first layer that has shapes; what was read on the way stays in the context.
Result<void> chooseFrame(RunContext& context, Progress& progress) {
  std::optional<Crs> named;
  if (context.study.crs != "auto") {
    LEEWARD_ASSIGN(crs, Crs::parse(context.study.crs));
    named = context.frame = crs;
  }
  for (const char* kind : {"blocks", "areas", "premises", "streets", "boundary"}) {
    const auto source = context.study.sources.find(kind);
    if (source == context.study.sources.end()) continue;
    LEEWARD_ASSIGN(product, rawLayer(context.study, context.steps, kind, source->second, context.source_keys.at(kind), progress.quiet()));
    const Layer& layer = context.layers.emplace(kind, std::move(product.layer)).first->second;
    if (!layer.hasGeometry()) continue;
    if (named) return checkFrame(*named, layer);
    if (layer.crs.isLocal()) {
      context.frame = layer.crs;
      return {};
    }
    LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
    context.frame = Crs::equalAreaAt(to_lon_lat(layer.geometry.bbox().center()));
    return {};
  }
  return {};
}

Result<void> bringIntoFrame(RunContext& context, const std::string& kind) {
  Layer& layer = context.layers.at(kind);
  if (!layer.hasGeometry() || layer.crs == context.frame) return {};
  std::size_t lost = 0;
  noteDatumShift(context, kind, layer.crs);
  auto moved = reprojected(std::move(layer), context.frame, &lost);
  if (!moved) return std::move(moved).problem().at("[" + kind + "] of study.toml");
  layer = std::move(*moved);
  if (lost > 0) context.remarks.push_back(fmt::format("{} corners of {} could not be brought into the study's frame.", lost, layerLabel(kind)));
  return {};
}

}  // namespace

std::optional<importers::Kind> importerKind(const std::string& kind) {
  if (kind == "water" || kind == "parks" || kind == "boundary") return importers::Kind::Areas;
  return importers::parseKind(kind);
}

LayerRequest requestFor(const StudyFile& study, const SourceTable& source) {
  LayerRequest request;
  request.source = study.pathOf(source).string() + (source.layer.empty() ? "" : "#" + source.layer);
  request.crs = source.crs;
  return request;
}

importers::Overrides overridesFor(const std::string& kind, const SourceTable& source) {
  importers::Overrides overrides(source.columns.begin(), source.columns.end());
  if ((kind == "weather" || kind == "heat") && !source.unit.empty()) overrides.try_emplace("unit", source.unit);
  return overrides;
}

importers::Surroundings surroundingsOf(const StudyFile& study, const std::string& kind, const Bbox& extent) {
  return {extent, study.crs == "local", kind};
}

bool isRasterSource(const StudyFile& study, const std::string& kind, const SourceTable& source) {
  return kind == "heat" && isRaster(study.pathOf(source));
}

Result<std::string> sourceKey(const StudyFile& study, const std::string& kind, const SourceTable& source, std::vector<ReceiptInput>* read) {
  const fs::path file = study.pathOf(source);
  std::vector<std::string> fields = {kind, source.layer, source.crs, source.kind, source.unit};
  for (const auto& [field, column] : source.columns) fields.push_back(field + "=" + column);
  const auto add = [&](const fs::path& member, const std::string& prefix, const std::string& hash) {
    fields.push_back(prefix + hash);
    if (read != nullptr) read->push_back({kind, member.filename().string(), hash});
  };
  std::error_code error;
  if (fs::is_directory(file, error)) {
    std::vector<fs::path> members;
    for (const auto& entry : fs::directory_iterator(file, error)) {
      if (entry.is_regular_file(error)) members.push_back(entry.path());
    }
    std::ranges::sort(members);
    for (const auto& member : members) {
      LEEWARD_ASSIGN(hash, sha256OfFile(member));
      add(member, "", hash);
    }
    return stepKey("source", fields);
  }
  auto hash = sha256OfFile(file);
  if (!hash) return std::move(hash).problem().at("[" + kind + "] of study.toml");
  add(file, "", *hash);
  // What lies beside a shapefile or a raster says as much as the file itself.
  for (const char* side : {".dbf", ".prj", ".cpg", ".tfw", ".DBF", ".PRJ", ".CPG", ".TFW"}) {
    fs::path beside = file;
    if (const auto side_hash = sha256OfFile(beside.replace_extension(side))) add(beside, side, *side_hash);
  }
  const fs::path aside = file.string() + ".aux.xml";
  if (const auto side_hash = sha256OfFile(aside)) add(aside, "aux ", *side_hash);
  return stepKey("source", fields);
}

Result<Raster> readHeatRaster(const StudyFile& study, const SourceTable& source, Progress& progress) {
  LEEWARD_ASSIGN(raster, readRaster(study.pathOf(source), progress));
  if (!source.crs.empty() || study.crs == "local") {
    LEEWARD_ASSIGN(crs, source.crs.empty() ? Result<Crs>(Crs::local()) : Crs::parse(source.crs));
    raster.crs = crs;
  }
  return raster;
}

Result<Raster> heatPicture(const RunContext& context, Progress& progress) {
  const SourceTable& source = context.study.sources.at("heat");
  if (isRasterSource(context.study, "heat", source)) return readHeatRaster(context.study, source, progress);
  constexpr std::size_t kCells = 300;  // along the longer side: finer than a sheet shows
  const Layer& heat = *context.layer("heat");
  const Bbox box = context.layer("blocks")->geometry.bbox();
  const auto values = columnOf(heat.table, "value").toReals();
  const double cell = std::max({box.width(), box.height(), 1.0}) / static_cast<double>(kCells);
  Raster raster{.columns = static_cast<std::size_t>(std::ceil(box.width() / cell)) + 1, .rows = static_cast<std::size_t>(std::ceil(box.height() / cell)) + 1,
                .left = box.min_x, .top = box.max_y, .cell_x = cell, .cell_y = cell, .crs = context.frame, .values = {}};
  raster.values.assign(raster.columns * raster.rows, static_cast<float>(kNan));
  const BoxIndex index(heat.geometry);
  LEEWARD_TRY(progress.parallelFor(raster.rows, 8, [&](std::size_t begin, std::size_t end) {
    for (std::size_t row = begin; row < end; ++row) {
      for (std::size_t column = 0; column < raster.columns; ++column) {
        const Point p{raster.left + (static_cast<double>(column) + 0.5) * cell, raster.top - (static_cast<double>(row) + 0.5) * cell};
        for (const std::size_t area : index.meeting({p.x, p.y, p.x, p.y})) {
          if (contains(heat.geometry, area, p)) raster.values[row * raster.columns + column] = static_cast<float>(values[area]);
        }
      }
    }
  }));
  return raster;
}

Result<void> keyPublicLayers(RunContext& context, Progress progress) {
  for (const auto& [kind, source] : context.study.sources) {
    if (isRasterSource(context.study, kind, source)) continue;
    LEEWARD_ASSIGN(key, sourceKey(context.study, kind, source, &context.inputs));
    context.source_keys.emplace(kind, key);
  }
  return chooseFrame(context, progress);
}

Result<void> loadPublicLayers(RunContext& context, Progress progress, const std::set<std::string>& kinds) {
  const double step = 1 / static_cast<double>(std::max<std::size_t>(1, context.source_keys.size()));
  double done = 0;
  for (const auto& [kind, key] : context.source_keys) {
    auto reading = progress.part(done, done + step);
    done += step;
    if (!kinds.empty() && !kinds.contains(kind)) {
      context.layers.erase(kind);  // it only gave the frame
      continue;
    }
    if (!context.layers.contains(kind)) {
      LEEWARD_ASSIGN(product, rawLayer(context.study, context.steps, kind, context.study.sources.at(kind), key, reading));
      context.layers.emplace(kind, std::move(product.layer));
    }
    LEEWARD_TRY(bringIntoFrame(context, kind));
  }
  return {};
}

Result<Layer> sourceLayer(RunContext& context, const std::string& kind, Progress progress) {
  const auto source = context.study.sources.find(kind);
  if (source == context.study.sources.end()) return Problem{ProblemCode::NotFound, "the study has no " + kind, "study.toml", ""};
  LEEWARD_ASSIGN(key, sourceKey(context.study, kind, source->second));
  LEEWARD_ASSIGN(product, rawLayer(context.study, context.steps, kind, source->second, key, progress));
  return std::move(product.layer);
}

Result<Bbox> lonLatExtent(const Layer& layer) {
  const Bbox plane = layer.geometry.bbox();
  if (plane.isEmpty() || layer.crs.isLocal() || layer.crs.isUnknown()) return Bbox{};
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
  std::vector<Point> corners = {{plane.min_x, plane.min_y}, {plane.max_x, plane.min_y}, {plane.min_x, plane.max_y}, {plane.max_x, plane.max_y}};
  to_lon_lat.apply(corners);
  return lonLatBox(corners);
}

Result<Bbox> studyExtent(RunContext& context, Progress progress, const std::string& except) {
  for (const char* kind : {"blocks", "areas", "premises", "streets", "boundary"}) {
    const auto source = context.study.sources.find(kind);
    if (source == context.study.sources.end() || kind == except) continue;
    LEEWARD_ASSIGN(key, sourceKey(context.study, kind, source->second));
    LEEWARD_ASSIGN(product, rawLayer(context.study, context.steps, kind, source->second, key, progress));
    LEEWARD_ASSIGN(box, lonLatExtent(product.layer));
    if (!box.isEmpty()) return box;
  }
  return Bbox{};
}

}  // namespace leeward::study
