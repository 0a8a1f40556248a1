#include "viewer/study/reweigh.h"

#include <algorithm>
#include <utility>

#include "shared/base/missing.h"
#include "viewer/study/run/blocks.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/run/session.h"

namespace leeward::study {

struct Reweighing::Parts {
  analysis::Record record;
  BlockFacts facts;
  Layer blocks;
  std::vector<analysis::RateFigure> figures;
  analysis::WhereNextRequest request;  ///< as the study asks
  analysis::Coverage coverage;
  analysis::Effort effort;
  // Under the study's own weights: hours and minutes touch neither.
  analysis::UnmetEstimate unmet;
  analysis::RankBasis basis;
  WhatIf own;
};

namespace {

/// What certainty alone can tell is missing until it has been drawn.
void blankCertainty(Table& table) {
  for (const char* name : {"chance_top_k", "chance_rank_k"}) {
    const auto at = table.indexOf(name);
    if (at) table.column(*at) = Column::reals(name, std::vector<double>(table.rows(), kNan));
  }
  for (const char* name : {"rank_low", "rank_high"}) {
    const auto at = table.indexOf(name);
    if (!at) continue;
    Column blank(name, Column::Kind::Integer);
    for (std::size_t row = 0; row < table.rows(); ++row) blank.addMissing();
    table.column(*at) = std::move(blank);
  }
}

}  // namespace

WhatIf asInStudy(const StudyFile& study) {
  WhatIf own{study.outings.hours, study.outings.minutes_per_door, study.outings.minutes_per_visit, {}};
  for (const auto& indicator : study.indicators) own.weights.push_back(indicator.weight);
  return own;
}

Reweighing::Reweighing(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
Reweighing::~Reweighing() = default;

Result<std::shared_ptr<const Reweighing>> Reweighing::open(const std::filesystem::path& folder, Progress& progress) {
  LEEWARD_ASSIGN(session, openSession({.folder = folder}, progress.part(0, 0.7)));
  auto parts = std::make_unique<Parts>();
  LEEWARD_ASSIGN(facts, blockFacts(session->context, progress.part(0.7, 0.9)));
  parts->facts = std::move(facts);
  parts->blocks = *session->context.layer("blocks");
  parts->record = recordOf(session->context, session->book);
  parts->figures = rateFigures(parts->facts);
  parts->request = whereNextRequest(session->context, {}, parts->figures);
  parts->own = asInStudy(session->study);
  LEEWARD_ASSIGN(coverage, analysis::coverageOf(parts->record));
  LEEWARD_ASSIGN(effort, analysis::plannedEffort(parts->record));
  parts->coverage = std::move(coverage);
  parts->effort = std::move(effort);
  auto unmet_request = parts->request.unmet;
  unmet_request.need = parts->facts.need;
  auto estimating = progress.part(0.9, 0.93), drawing = progress.part(0.93, 1);
  LEEWARD_ASSIGN(unmet, analysis::expectedUnmet(parts->record, parts->effort, unmet_request, estimating));
  parts->unmet = std::move(unmet);
  parts->request.rank.level = parts->request.unmet.level;
  LEEWARD_ASSIGN(basis, analysis::rankBasis(parts->record, parts->effort, parts->unmet, parts->request.rank, drawing));
  parts->basis = std::move(basis);
  for (auto* of_doors : {&parts->unmet.door_unmet, &parts->unmet.door_chance, &parts->unmet.door_meeting, &parts->unmet.animal_unmet}) of_doors->clear();  // the basis has them
  LEEWARD_TRY(session->ledger.close());
  progress.report(1);
  return std::shared_ptr<const Reweighing>(new Reweighing(std::move(parts)));
}

Result<Snapshot> Reweighing::findings(const WhatIf& what_if, bool certainty, const Findings& as_run, Progress& progress) const {
  const Parts& parts = *parts_;
  if (what_if.weights.size() != parts.own.weights.size()) return Problem{ProblemCode::InvalidArgument, "there must be one weight an indicator of need", "", ""};
  BlockFacts facts = parts.facts;
  if (what_if.weights != parts.own.weights) {
    auto indicators = parts.facts.indicators;
    for (std::size_t i = 0; i < indicators.size(); ++i) indicators[i].weight = what_if.weights[i];
    LEEWARD_ASSIGN(index, analysis::needIndex(facts.id.size(), indicators, {.level = parts.request.unmet.level, .draws = 0, .seed = parts.request.rank.seed}, progress));
    facts.need = std::move(index.need);
  }
  analysis::WhereNextRequest request = parts.request;
  request.unmet.need = facts.need;
  request.outing.hours = what_if.hours, request.outing.minutes_per_door = what_if.minutes_per_door, request.outing.minutes_per_visit = what_if.minutes_per_visit;
  analysis::WhereNext found;
  // By block alone: the doors of a large town are a hundred megabytes, and nobody reads them here.
  found.coverage.blocks = parts.coverage.blocks;
  found.effort.finds = parts.effort.finds;
  bool by_rank_alone = false;
  auto estimating = progress.part(0, 0.3), ranking = progress.part(0.3, 1);
  if (what_if.weights == parts.own.weights || !parts.unmet.leans_on_need) {
    found.unmet = parts.unmet;
    LEEWARD_ASSIGN(ranked, analysis::rankBlocks(parts.basis, request.outing, request.rank, certainty, ranking));
    found.ranking = std::move(ranked);
    by_rank_alone = as_run.blocks.rows() == facts.id.size();
  } else {
    if (!certainty) request.rank.draws = 1;
    LEEWARD_ASSIGN(unmet, analysis::expectedUnmet(parts.record, parts.effort, request.unmet, estimating));
    found.unmet = std::move(unmet);
    LEEWARD_ASSIGN(ranked, analysis::rankBlocks(parts.record, parts.effort, found.unmet, request.outing, request.rank, ranking));
    found.ranking = std::move(ranked);
  }
  LEEWARD_ASSIGN(because, analysis::becauseOfAll(parts.coverage, parts.effort, found.unmet, found.ranking, progress.quiet()));
  found.because = std::move(because);
  auto made = std::make_shared<Findings>();
  made->name = as_run.name, made->crs = as_run.crs, made->as_of = as_run.as_of, made->record_ends = as_run.record_ends;
  made->level = as_run.level, made->seed = as_run.seed, made->top_k = as_run.top_k, made->service_interval_days = as_run.service_interval_days;
  made->streets = as_run.streets, made->context = as_run.context, made->totals = as_run.totals;
  made->sources = as_run.sources, made->remarks = as_run.remarks, made->methods = as_run.methods;
  made->blocks = by_rank_alone ? blocksReranked(as_run.blocks, facts, found) : blocksLayer(parts.blocks, facts, found);
  if (!certainty) blankCertainty(made->blocks.table);
  made->next = nextTable(made->blocks.table);
  made->totals.unmet = found.ranking.total_unmet;
  if (certainty) made->totals.unmet_low = found.ranking.total_low, made->totals.unmet_high = found.ranking.total_high;
  return Snapshot(std::move(made));
}

}  // namespace leeward::study
