#pragma once
/// Figures as charts, tables and sentences: shared by briefs and sheets.
#include "viewer/draw/chart.h"
#include "viewer/sheets/flow.h"
#include "viewer/study/findings.h"

namespace leeward::sheets {

/// Given up, improved, neutered, referred: one chart each, a value a period (all areas together), with Poisson limits (Garwood
/// 1936) at the findings' level; all four share one scale. A last period that isn't over is drawn open and named with its last day.
std::vector<draw::Chart> changeCharts(const study::Findings& findings);
/// One row an area and period, latest period first, for the latest kShownPeriods; a last row with the counts over all that is shown,
/// each dog once.
TextTable changeTable(const study::Findings& findings);
/// The first `blocks` of the ranking: dogs not yet met, with their interval.
draw::Chart firstBlocks(const study::Findings& findings, std::size_t blocks);
/// What the intervals of the first `blocks` really claim: "Intervals of whole numbers hold more than the 90 % asked for: these claim
/// 93 to 98 %." "" without any.
QString claimedWords(const study::Findings& findings, std::size_t blocks);
/// "Of 181 dogs checked twice 75 (41 %) improved; the 90 % interval of that share is 36 % to 47 % (Wilson 1927)." "" without any.
QString improvedShare(const study::Findings& findings);

}  // namespace leeward::sheets
