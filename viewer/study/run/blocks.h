#pragma once
/// The blocks layer of the findings: facts, coverage, expected unmet, ranking, reasons.
#include <span>
#include <string>
#include <vector>

#include "analysis/need/where_next.h"
#include "viewer/study/run/book.h"
#include "viewer/study/run/overlays.h"

namespace leeward::study {

/// What the study file asks of the ranking.
analysis::WhereNextRequest whereNextRequest(const RunContext& context, const std::vector<double>& need, std::span<const analysis::RateFigure> figures);
/// What may explain rates: the study's indicators, each in the direction that is taken for need, and heat where it is none of them.
std::vector<analysis::RateFigure> rateFigures(const BlockFacts& facts);
/// The key of everything that the blocks layer depends on, but for the size of the top.
std::string blocksKey(const RunContext& context, const Book& book, const std::string& facts_key);
/// Columns as Findings::blocks says, in the order of the blocks layer.
Layer blocksLayer(const Layer& blocks, const BlockFacts& facts, const analysis::WhereNext& where_next);
/// The same layer under another ranking: need, minutes, per_crew_hour, chances, ranks and because are the only columns that change.
Layer blocksReranked(Layer blocks, const BlockFacts& facts, const analysis::WhereNext& found);
/// Columns as Findings::premises says.
Layer premisesLayer(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, const analysis::DoorCoverage& doors);
/// The ranked blocks in order, the columns of `leeward next`.
Table nextTable(const Table& blocks);

}  // namespace leeward::study
