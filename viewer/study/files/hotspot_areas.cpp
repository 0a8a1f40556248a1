#include "viewer/study/files/hotspot_areas.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "analysis/patterns/local_patterns.h"
#include "shared/base/missing.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// BadData with its line for the first value below 0.
Result<void> noneBelowZero(const std::vector<double>& values, const Table& table, const std::string& column, const std::string& source) {
  for (std::size_t row = 0; row < values.size(); ++row) {
    if (values[row] < 0) return Problem{ProblemCode::BadData, fmt::format("{} is below 0", values[row]), fmt::format("{}, {}, column {}", source, rowName(table, row), column), "A rate needs events and exposure of 0 or more; correct the value"};
  }
  return {};
}

/// What is looked at in each area: the values, the rates, or the rates on one footing; nan where there is none.
Result<std::vector<double>> lookedAt(const HotspotAreasRequest& request, const Table& table, HotspotAreas& out) {
  const auto& source = request.areas.source;
  LEEWARD_ASSIGN(events, needNumbers(table, request.events, source, "--events", true));
  std::vector<double> exposure(events.size(), 1);
  if (!request.exposure.empty()) {
    LEEWARD_ASSIGN(given, needNumbers(table, request.exposure, source, "--exposure", true));
    exposure = std::move(given);
    LEEWARD_TRY(noneBelowZero(events, table, request.events, source));
    LEEWARD_TRY(noneBelowZero(exposure, table, request.exposure, source));
  }
  std::vector<double> values(events.size(), kNan);
  bool any = false, happened = false;
  for (std::size_t row = 0; row < events.size(); ++row) {
    if (!std::isfinite(events[row]) || !std::isfinite(exposure[row])) {
      out.refused.push_back(refusedRow(table, row, std::isfinite(events[row]) ? request.exposure : request.events, "no number"));
    } else if (exposure[row] > 0) {
      values[row] = events[row] / exposure[row];
      any = true, happened = happened || events[row] > 0;
    } else {
      ++out.without_exposure;
    }
  }
  out.without_events = !request.exposure.empty() && any && !happened;
  if (request.statistic != HotspotStatistic::EbMoran) return values;
  return analysis::standardisedRates(events, exposure);
}

void countFindings(const std::vector<double>& score, const std::vector<double>& q, int permutations, HotspotAreas& out) {
  for (std::size_t row = 0; row < score.size(); ++row) {
    out.tested += std::isnan(score[row]) ? 0 : 1;
    if (!(q[row] <= kFalseShare)) continue;
    if (score[row] > 0) ++out.high;
    if (score[row] < 0) ++out.low;
  }
  if (permutations > 0 && out.high + out.low == 0) out.needed_together = static_cast<std::size_t>(std::ceil(2.0 / (permutations + 1) * static_cast<double>(out.tested) / kFalseShare));
}

}  // namespace

Result<HotspotAreas> hotspotAreas(const HotspotAreasRequest& request, Progress& progress) {
  if (request.statistic == HotspotStatistic::EbMoran && request.exposure.empty()) {
    return Problem{ProblemCode::InvalidArgument, "eb-moran puts rates on one footing, and there is no rate without exposure", "--statistic", "Add --exposure COLUMN"};
  }
  LEEWARD_TRY(neighbourKind(request.neighbours.kind));
  auto reading = progress.part(0, 0.3), linking = progress.part(0.3, 0.5), drawing = progress.part(0.5, 1);
  LEEWARD_ASSIGN(input, readInput(request.areas, reading));
  HotspotAreas out;
  LEEWARD_ASSIGN(values, lookedAt(request, input.table, out));
  LEEWARD_ASSIGN(lists, neighbourLists(input, request.areas.source, request.neighbours, linking));
  LEEWARD_ASSIGN(moran, analysis::moran(values, lists.neighbours, request.weights));
  LEEWARD_ASSIGN(geary, analysis::geary(values, lists.neighbours, request.weights));
  LEEWARD_ASSIGN(general_g, analysis::generalG(values, lists.neighbours));
  if (out.without_events) {
    for (auto* over_all : {&moran, &geary, &general_g}) over_all->undefined = "no area has an event";
  }
  drawing.report(0, "Drawing permutations");
  LEEWARD_ASSIGN(local, analysis::localPatterns(values, lists.neighbours, {.style = request.weights, .permutations = request.permutations, .seed = request.seed}, drawing));
  const bool is_gi = request.statistic == HotspotStatistic::Gi;
  const std::vector<double>& score = is_gi ? local.gi : local.gstar;
  std::vector<double> p = local.p;
  for (std::size_t row = 0; row < p.size(); ++row) {
    if (std::isnan(score[row])) p[row] = kNan;  // a neighbour of all others: no sum can differ, so nothing is tested
  }
  const auto q = analysis::adjustedP(p, request.adjust), moran_q = analysis::adjustedP(local.p, request.adjust);
  out.moran = std::move(moran), out.geary = std::move(geary), out.general_g = std::move(general_g);
  out.islands = lists.islands;
  out.neighbours = lists.in_words;
  countFindings(score, q, request.permutations, out);
  const std::string stem = is_gi ? "gi" : "gstar";
  addColumns(input, TableMaker{}.reals(stem + "_z", score).reals(stem + "_p", p).reals(stem + "_q", q).reals("moran_i", local.moran).reals("moran_p", local.p).reals("moran_q", moran_q).done());
  input.remarks.insert(input.remarks.end(), lists.remarks.begin(), lists.remarks.end());
  if (out.without_exposure > 0) input.remarks.push_back(fmt::format("{} of {} areas have no exposure and take no part", out.without_exposure, values.size()));
  out.layer = std::move(input);
  return out;
}

}  // namespace leeward::study
