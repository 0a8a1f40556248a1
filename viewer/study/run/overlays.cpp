#include "viewer/study/run/overlays.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/overlay/apportion.h"
#include "analysis/overlay/margins.h"
#include "analysis/overlay/zonal.h"
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

Result<void> readHeat(RunContext& context, const Layer& blocks, BlockFacts& facts, Progress progress) {
  const auto source = context.study.sources.find("heat");
  facts.heat.assign(blocks.rows(), kNan);
  if (source == context.study.sources.end()) return {};
  LEEWARD_ASSIGN(raster, readHeatRaster(context.study, source->second, progress));
  Layer shape;
  shape.name = "blocks";
  shape.geometry = blocks.geometry;
  shape.crs = blocks.crs;
  LEEWARD_ASSIGN(moved, reprojected(std::move(shape), raster.crs));
  LEEWARD_ASSIGN(statistics, analysis::zonalStatistics(moved.geometry, raster, {}, progress));
  facts.heat = std::move(statistics.mean);
  const auto missing = std::ranges::count_if(facts.heat, [](double v) { return std::isnan(v); });
  if (missing > 0) facts.remarks.push_back(fmt::format("{} blocks lie where the heat layer has no value.", missing));
  return {};
}

/// The census row of each block, -1 = none.
std::vector<std::int32_t> censusRows(const RunContext& context, const Layer& blocks, const BlockFacts& facts, const Layer& census, Progress& progress) {
  std::unordered_map<std::string, std::int32_t> row_of;
  const auto ids = textsOf(census.table, "id");
  for (std::size_t row = 0; row < ids.size(); ++row) row_of.emplace(ids[row], static_cast<std::int32_t>(row));
  // By the block's own id or its group's; a block that matches neither takes the area that it lies in.
  std::vector<std::int32_t> rows(blocks.rows(), -1);
  std::vector<std::size_t> open;
  std::vector<Point> inside;
  for (std::size_t block = 0; block < blocks.rows(); ++block) {
    for (const auto& id : {facts.id[block], facts.group[block]}) {
      const auto found = row_of.find(id);
      if (rows[block] < 0 && found != row_of.end()) rows[block] = found->second;
    }
    if (rows[block] >= 0 || blocks.geometry.kind(block) != GeometryKind::Areas) continue;
    open.push_back(block);
    inside.push_back(pointInside(blocks.geometry, block));
  }
  const Layer* areas = context.layer("areas");
  if (areas == nullptr || open.empty()) return rows;
  const auto area_ids = textsOf(areas->table, "id");
  const auto located = areaOf(areas, inside, progress);
  if (!located) return rows;
  for (std::size_t i = 0; i < open.size(); ++i) {
    const auto area = (*located)[i];
    if (area < 0) continue;
    const auto found = row_of.find(area_ids[static_cast<std::size_t>(area)]);
    if (found != row_of.end()) rows[open[i]] = found->second;
  }
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

Result<void> readNeed(RunContext& context, const Layer& blocks, BlockFacts& facts, Progress progress) {
  facts.need.assign(blocks.rows(), kNan);
  if (context.study.indicators.empty()) {
    facts.remarks.emplace_back("No indicators of need are named in the study, so no need index is shown.");
    return {};
  }
  const Layer* census = context.layer("census");
  std::vector<std::int32_t> rows;
  if (census != nullptr) {
    rows = censusRows(context, blocks, facts, *census, progress);
    const auto missing = std::ranges::count(rows, -1);
    if (missing > 0) facts.remarks.push_back(fmt::format("{} blocks found no row in the census table.", missing));
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
    indicator.label = wanted.label.empty() ? wanted.column : wanted.label;
    indicator.more_is_more_need = wanted.direction == "more";
    indicator.weight = wanted.weight;
    indicators.push_back(std::move(indicator));
  }
  LEEWARD_ASSIGN(index, analysis::needIndex(blocks.rows(), indicators, {.level = context.study.level, .draws = 0, .seed = context.study.seed}, progress));
  facts.need = std::move(index.need);
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
  facts.people = realsOf(blocks.table, "people", blocks.rows());
  facts.housing_units = realsOf(blocks.table, "housing_units", blocks.rows());
  const Layer* areas = context.layer("areas");
  if (areas != nullptr && (allMissing(facts.people) || allMissing(facts.housing_units))) {
    auto spreading = progress.part(0, 0.4);
    LEEWARD_TRY(spreadCounts(blocks, *areas, facts, spreading));
  }
  LEEWARD_TRY(readHeat(context, blocks, facts, progress.part(0.4, 0.8)));
  LEEWARD_TRY(readNeed(context, blocks, facts, progress.part(0.8, 1)));
  return facts;
}

Result<std::string> blockFactsKey(RunContext& context) {
  std::vector<std::string> fields = {context.keyOf("blocks"), context.keyOf("areas"), context.keyOf("census"), formatNumber(context.study.level)};
  if (const auto heat = context.study.sources.find("heat"); heat != context.study.sources.end()) {
    LEEWARD_ASSIGN(key, sourceKey(context.study, "heat", heat->second, &context.inputs));
    fields.push_back(key);
  }
  for (const auto& one : context.study.indicators) {
    for (const auto& field : {one.column, one.per, one.direction, one.margin, one.label, formatNumber(one.weight)}) fields.push_back(field);
  }
  return stepKey("overlays", fields);
}

}  // namespace leeward::study
