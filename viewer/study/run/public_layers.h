#pragma once
/// The public layers that a study names: read, tidied, brought into one frame, cached.
#include <optional>
#include <set>
#include <string>

#include "importers/public_layer.h"
#include "viewer/study/run/context.h"

namespace leeward::study {

/// How the importers read a kind; water, parks and boundary are plain areas. Nothing for an unknown kind.
std::optional<importers::Kind> importerKind(const std::string& kind);
/// What importPublic needs, from the study file's table.
LayerRequest requestFor(const StudyFile& study, const SourceTable& source);
/// The study file's columns as overrides, with the unit of weather and heat.
importers::Overrides overridesFor(const std::string& kind, const SourceTable& source);
/// What an importer should know of the study around a layer; extent: studyExtent(), empty once a layer was taken in.
importers::Surroundings surroundingsOf(const StudyFile& study, const std::string& kind, const Bbox& extent);

/// The key of a source as it is now: the file's SHA-256 with everything that decides how it is read. NotFound or Io.
/// Side files (.prj, .dbf, .tfw ...) and a folder's members are hashed too.
Result<std::string> sourceKey(const StudyFile& study, const std::string& kind, const SourceTable& source, std::vector<ReceiptInput>* read = nullptr);

/// Whether a source is a raster, which is read when it is needed and not kept in columns.
bool isRasterSource(const StudyFile& study, const std::string& kind, const SourceTable& source);
/// The heat raster; the study file's crs outranks what the file says.
Result<Raster> readHeatRaster(const StudyFile& study, const SourceTable& source, Progress& progress);
/// The heat layer as a raster, for drawing: as it is, or its areas on a grid of some hundred cells over the blocks, in the frame.
Result<Raster> heatPicture(const RunContext& context, Progress& progress);

/// Takes the key of every source and chooses the frame (the study's crs, or equal-area centred on the blocks, areas, premises or streets, whichever comes first), reading no
/// more than that takes. CrsMismatch if the study's own crs is not in metres or not true to scale on the spot.
Result<void> keyPublicLayers(RunContext& context, Progress progress);
/// Fills context.layers with every vector source and table, or with those of `kinds` alone; keyPublicLayers() comes first. CrsMismatch if there
/// is nothing to centre on and a layer needs it; problems of reading name the kind.
Result<void> loadPublicLayers(RunContext& context, Progress progress, const std::set<std::string>& kinds = {});

/// One source of the study as tidied, in the CRS of its file. NotFound if the study names none of the kind.
Result<Layer> sourceLayer(RunContext& context, const std::string& kind, Progress progress);
/// A layer's extent in lon, lat (lonLatBox); empty without shapes or without a place on the earth.
Result<Bbox> lonLatExtent(const Layer& layer);
/// The study's extent in lon, lat from its sources other than `except`, for holding new files against; empty if it names none.
Result<Bbox> studyExtent(RunContext& context, Progress progress, const std::string& except = {});

}  // namespace leeward::study
