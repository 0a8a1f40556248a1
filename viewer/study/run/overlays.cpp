#include "viewer/study/run/overlays.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/overlay/apportion.h"
#include "analysis/overlay/bordering_streets.h"
#include "analysis/overlay/margins.h"
#include "analysis/overlay/zonal.h"
#include "importers/vintage.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/book.h"
#include "viewer/study/run/public_layers.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {


bool allMissing(const std::vector<double>& values) {
  return std::ranges::all_of(values, [](double v) { return std::isnan(v); });
}

std::vector<double> realsOf(const Table& table, const std::string& name, std::size_t rows) {
  const Column* column = table.find(name);
  return column == nullptr ? std::vector<double>(rows, kNan) : column->toReals();
}

/// People know a block by its streets, not by its number.
Result<std::vector<std::vector<std::string>>> streetsAround(const RunContext& context, const Layer& blocks, Progress progress) {
  const Layer* streets = context.layer("streets");
  if (streets == nullptr || !streets->hasGeometry()) return std::vector<std::vector<std::string>>(blocks.rows());
  return analysis::borderingStreets(blocks.geometry, streets->geometry, textsOf(streets->table, "name"), {}, progress);
}

/// Counts that blocks lack are spread from the areas layer.
Result<void> spreadCounts(const Layer& blocks, const Layer& areas, BlockFacts& facts, Progress& progress) {
  analysis::ApportionRequest request;
  for (const char* name : {"people", "housing_units"}) {
    request.counts.push_back({.name = name, .values = realsOf(areas.table, name, areas.rows()), .margins = {}});
  }
  LEEWARD_ASSIGN(shares, analysis::sharesByArea(areas.geometry, blocks.geometry, progress));
  LEEWARD_ASSIGN(spread, analysis::apportion(shares, areas.rows(), blocks.rows(), request));
  if (allMissing(facts.people)) facts.people = std::move(spread.counts[0].values);
  if (allMissing(facts.housing_units)) facts.housing_units = std::move(spread.counts[1].values);
  return {};
}

/// Means of the areas that lie over each block, weighted by how much of them does; nan where none does.
std::vector<double> areaWeightedMeans(std::size_t blocks, const std::vector<OverlapPair>& pairs, const std::vector<double>& values) {
  std::vector<double> sum(blocks, 0), weight(blocks, 0);
  for (const OverlapPair& pair : pairs) {
    if (std::isnan(values[pair.to])) continue;
    sum[pair.from] += pair.area * values[pair.to];
    weight[pair.from] += pair.area;
  }
  for (std::size_t block = 0; block < blocks; ++block) sum[block] = weight[block] > 0 ? sum[block] / weight[block] : kNan;
  return sum;
}

Result<void> readHeat(RunContext& context, const Layer& blocks, BlockFacts& facts, Progress progress) {
  const auto source = context.study.sources.find("heat");
  facts.heat.assign(blocks.rows(), kNan);
  if (source == context.study.sources.end()) return {};
  if (isRasterSource(context.study, "heat", source->second)) {
    LEEWARD_ASSIGN(raster, readHeatRaster(context.study, source->second, progress));
    Layer shape;
    shape.name = "blocks";
    shape.geometry = blocks.geometry;
    shape.crs = blocks.crs;
    LEEWARD_ASSIGN(moved, reprojected(std::move(shape), raster.crs));
    LEEWARD_ASSIGN(statistics, analysis::zonalStatistics(moved.geometry, raster, {}, progress));
    facts.heat = std::move(statistics.mean);
  } else {
    const Layer& heat = *context.layer("heat");
    LEEWARD_ASSIGN(pairs, overlaps(blocks.geometry, heat.geometry, progress));
    facts.heat = areaWeightedMeans(blocks.rows(), pairs, realsOf(heat.table, "value", heat.rows()));
  }
  const auto missing = std::ranges::count_if(facts.heat, [](double v) { return std::isnan(v); });
  if (missing > 0) facts.remarks.push_back(fmt::format("{} blocks lie where the heat layer has no value.", missing));
  return {};
}

/// The census whose areas a layer has, by the year that the study file gives it.
std::optional<int> censusOfLayer(const RunContext& context, const std::string& kind) {
  const auto source = context.study.sources.find(kind);
  return source == context.study.sources.end() ? std::nullopt : importers::censusOf(source->second.year);
}

bool mayShareIds(std::optional<int> a, std::optional<int> b) { return !a || !b || *a == *b; }

std::string firstIds(const std::vector<std::string>& ids) {
  std::vector<std::string> shown(ids.begin(), ids.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(3, ids.size())));
  return (ids.size() > shown.size() ? "the first: " : "") + join(shown, ", ");
}

/// What found no partner, on both sides; a join that matches nothing is a problem.
Result<void> reportMatches(const BlockFacts& facts, const std::vector<std::string>& census_ids, const std::vector<std::int32_t>& rows, std::vector<std::string>& remarks) {
  std::vector<bool> used(census_ids.size(), false);
  std::vector<std::string> blocks_alone, rows_alone;
  for (std::size_t block = 0; block < rows.size(); ++block) {
    if (rows[block] < 0) blocks_alone.push_back(facts.id[block]);
    else used[static_cast<std::size_t>(rows[block])] = true;
  }
  for (std::size_t row = 0; row < census_ids.size(); ++row) {
    if (!used[row]) rows_alone.push_back(census_ids[row]);
  }
  if (blocks_alone.size() == rows.size() && !rows.empty()) {
    return Problem{ProblemCode::BadData,
                   fmt::format("no block found its row in the census table: blocks are {}; the table's rows {}", firstIds(blocks_alone), firstIds(rows_alone)),
                   "[blocks] and [census] of study.toml", "Take in a table of the same place, level and census; or its own areas as areas, so that blocks are joined by place"};
  }
  if (!blocks_alone.empty()) remarks.push_back(fmt::format("{} of {} blocks found no row in the census table ({}).", blocks_alone.size(), rows.size(), firstIds(blocks_alone)));
  if (!rows_alone.empty()) remarks.push_back(fmt::format("{} of {} rows of the census table belong to no block ({}).", rows_alone.size(), census_ids.size(), firstIds(rows_alone)));
  return {};
}

/// The census row of each block, -1 = none: by the block's own id or its group's, if both are of one census; else by the area that it lies
/// in (the table's own, or the areas layer's if that is of the table's census). CrsMismatch for a join across censuses that has no areas.
Result<std::vector<std::int32_t>> censusRows(const RunContext& context, const Layer& blocks, BlockFacts& facts, const Layer& census, Progress& progress) {
  std::unordered_map<std::string, std::int32_t> row_of;
  const auto ids = textsOf(census.table, "id");
  for (std::size_t row = 0; row < ids.size(); ++row) row_of.emplace(ids[row], static_cast<std::int32_t>(row));
  const auto of_blocks = censusOfLayer(context, "blocks"), of_table = censusOfLayer(context, "census");
  const bool by_id = mayShareIds(of_blocks, of_table);
  const Layer* layer = context.layer("areas");
  const bool by_own = census.hasGeometry();
  const bool by_areas = !by_own && layer != nullptr && mayShareIds(censusOfLayer(context, "areas"), of_table);
  if (!by_id && !by_own && !by_areas) {
    return Problem{ProblemCode::BadData,
                   fmt::format("the blocks are of the census of {} and the census table is of that of {}: equal numbers stand for other places, so they can't be joined", *of_blocks, *of_table),
                   "[blocks] and [census] of study.toml",
                   "Take in blocks or a table of one census; or the table's own areas (leeward take-in DIR areas FILE), so that blocks are joined by place; or correct year"};
  }
  std::vector<std::int32_t> rows(blocks.rows(), -1);
  std::vector<std::size_t> open;
  std::vector<Point> inside;
  for (std::size_t block = 0; block < blocks.rows(); ++block) {
    for (const auto& id : {facts.id[block], facts.group[block]}) {
      const auto found = by_id ? row_of.find(id) : row_of.end();
      if (rows[block] < 0 && found != row_of.end()) rows[block] = found->second;
    }
    if (rows[block] >= 0 || blocks.geometry.kind(block) != GeometryKind::Areas) continue;
    open.push_back(block);
    inside.push_back(pointInside(blocks.geometry, block));
  }
  if (!open.empty() && (by_own || by_areas)) {
    const auto area_ids = by_own ? ids : textsOf(layer->table, "id");
    LEEWARD_ASSIGN(located, areaOf(by_own ? &census : layer, inside, progress));
    for (std::size_t i = 0; i < open.size(); ++i) {
      if (located[i] < 0) continue;
      const auto found = row_of.find(area_ids[static_cast<std::size_t>(located[i])]);
      if (found != row_of.end()) rows[open[i]] = found->second;
    }
  }
  if (!by_id) facts.remarks.push_back(fmt::format("Blocks are of the census of {} and the census table of {}: they were joined by place, not by number.", *of_blocks, *of_table));
  LEEWARD_TRY(reportMatches(facts, ids, rows, facts.remarks));
  return rows;
}

analysis::NeedIndicator fromCensus(const Indicator& wanted, const Table& census, const std::vector<std::int32_t>& rows) {
  analysis::NeedIndicator indicator;
  const auto value = realsOf(census, wanted.column, census.rows());
  const auto per = wanted.per.empty() ? std::vector<double>(census.rows(), 1) : realsOf(census, wanted.per, census.rows());
  const auto margin = realsOf(census, wanted.margin.empty() ? wanted.column + "_moe" : wanted.margin, census.rows());
  const auto per_margin = realsOf(census, wanted.per + "_moe", census.rows());
  for (const std::int32_t row : rows) {
    const auto at = static_cast<std::size_t>(row);
    const bool known = row >= 0 && per[at] > 0;
    indicator.values.push_back(known ? value[at] / per[at] : kNan);
    if (!known) indicator.margin.push_back(kNan);
    else if (wanted.per.empty()) indicator.margin.push_back(margin[at]);
    else indicator.margin.push_back(analysis::marginOfProportion(value[at], margin[at], per[at], std::isnan(per_margin[at]) ? 0 : per_margin[at]));
    indicator.source_area.push_back(row);
  }
  return indicator;
}

/// What the table's own row of labels says of a column, else its heading.
std::string labelOf(const RunContext& context, const std::string& column) {
  const auto census = context.study.sources.find("census");
  if (census == context.study.sources.end()) return column;
  const auto meaning = census->second.meanings.find(column);
  return meaning == census->second.meanings.end() ? column : meaning->second;
}

Result<void> readNeed(RunContext& context, const Layer& blocks, BlockFacts& facts, Progress progress) {
  facts.need.assign(blocks.rows(), kNan);
  if (context.study.indicators.empty()) {
    facts.remarks.emplace_back("No indicators of need are named in the study, so no need index is shown.");
    return {};
  }
  const Layer* census = context.layer("census");
  std::vector<std::int32_t> rows;
  if (census != nullptr) {
    LEEWARD_ASSIGN(matched, censusRows(context, blocks, facts, *census, progress));
    rows = std::move(matched);
  }
  std::vector<analysis::NeedIndicator> indicators;
  for (const auto& wanted : context.study.indicators) {
    analysis::NeedIndicator indicator;
    if (wanted.column == "heat") {
      indicator.values = facts.heat;
    } else if (census == nullptr || census->table.find(wanted.column) == nullptr) {
      const std::string there = census == nullptr ? "there is no [census]" : "columns are " + join(census->table.names(), ", ");
      return Problem{ProblemCode::NotFound, fmt::format("the indicator \"{}\" is no column of the census table", wanted.column), "[need] of study.toml", "Correct its name; " + there};
    } else if (!wanted.per.empty() && census->table.find(wanted.per) == nullptr) {
      return Problem{ProblemCode::NotFound, fmt::format("\"{}\" is no column of the census table", wanted.per), "[need] of study.toml", "Columns are " + join(census->table.names(), ", ")};
    } else {
      indicator = fromCensus(wanted, census->table, rows);
    }
    indicator.label = wanted.label.empty() ? labelOf(context, wanted.column) : wanted.label;
    indicator.more_is_more_need = wanted.direction == "more";
    indicator.weight = wanted.weight;
    indicators.push_back(std::move(indicator));
  }
  LEEWARD_ASSIGN(index, analysis::needIndex(blocks.rows(), indicators, {.level = context.study.level, .draws = 0, .seed = context.study.seed}, progress));
  facts.need = std::move(index.need);
  facts.indicators = std::move(indicators);
  facts.remarks.insert(facts.remarks.end(), index.remarks.begin(), index.remarks.end());
  return {};
}

}  // namespace

Result<BlockFacts> blockFacts(RunContext& context, Progress progress) {
  const Layer& blocks = *context.layer("blocks");
  BlockFacts facts;
  facts.id = textsOf(blocks.table, "id");
  facts.group = textsOf(blocks.table, "group_id");
  facts.group.resize(blocks.rows());
  LEEWARD_ASSIGN(around, streetsAround(context, blocks, progress.part(0, 0.2)));
  facts.streets = std::move(around);
  facts.people = realsOf(blocks.table, "people", blocks.rows());
  facts.housing_units = realsOf(blocks.table, "housing_units", blocks.rows());
  const Layer* areas = context.layer("areas");
  if (areas != nullptr && (allMissing(facts.people) || allMissing(facts.housing_units))) {
    auto spreading = progress.part(0.2, 0.4);
    LEEWARD_TRY(spreadCounts(blocks, *areas, facts, spreading));
  }
  LEEWARD_TRY(readHeat(context, blocks, facts, progress.part(0.4, 0.8)));
  LEEWARD_TRY(readNeed(context, blocks, facts, progress.part(0.8, 1)));
  return facts;
}

Result<std::string> blockFactsKey(RunContext& context) {
  std::vector<std::string> fields = {context.keyOf("blocks"), context.keyOf("streets"), context.keyOf("areas"), context.keyOf("census"), formatNumber(context.study.level)};
  if (const auto heat = context.study.sources.find("heat"); heat != context.study.sources.end()) {
    LEEWARD_ASSIGN(key, sourceKey(context.study, "heat", heat->second, &context.inputs));
    fields.push_back(key);
  }
  for (const char* kind : {"blocks", "areas", "census"}) {
    const auto source = context.study.sources.find(kind);
    fields.push_back(source == context.study.sources.end() ? "" : source->second.year);
  }
  for (const auto& one : context.study.indicators) {
    for (const auto& field : {one.column, one.per, one.direction, one.margin, one.label, formatNumber(one.weight)}) fields.push_back(field);
  }
  return stepKey("overlays", fields);
}

}  // namespace leeward::study
