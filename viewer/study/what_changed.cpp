// whatChanged() and whatBecameOfEach() of run_study.h: counts and outcomes alone, without the rest of a run.
#include <algorithm>
#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/run/costs.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/told_changes.h"
#include "viewer/study/run_study.h"

namespace leeward::study {

const std::vector<std::string>& areaKinds() {
  static const std::vector<std::string> kKinds = {"jurisdictions", "areas", "blocks", "boundary"};
  return kKinds;
}

namespace {

ChangedOutcome outcomeOf(const Session& session, ChangedTables tables) {
  std::vector<std::string> words = costWords(tables.costs, session.study.costs.currency);
  for (auto& note : textsOf(tables.cost_notes, "words")) words.push_back(std::move(note));
  return {std::move(tables.periods), std::move(tables.totals), std::move(tables.rates), std::move(tables.costs), std::move(words), session.since_frozen, std::nullopt, session.newly_frozen};
}

/// Without reading the record, where nothing changed since the same was last asked.
Result<std::optional<ChangedOutcome>> keptChanges(const ChangedStudyRequest& request, Progress progress) {
  LEEWARD_ASSIGN(session, beginSession(request.run, progress.part(0, 0.5)));
  LEEWARD_ASSIGN(at_rest, isAtRest(*session));
  if (!at_rest || session->may_freeze || (!request.by.empty() && !session->context.source_keys.contains(request.by))) return std::optional<ChangedOutcome>();
  auto tables = toldChanges(*session, request.by, request.every, progress.part(0.5, 1));
  LEEWARD_TRY(session->ledger.close());
  if (!tables) return std::optional<ChangedOutcome>();  // the problem, whatever it is, comes up again in making them
  return std::optional(outcomeOf(*session, *std::move(tables)));
}

}  // namespace

Result<ChangedOutcome> whatChanged(const ChangedStudyRequest& request, Progress& progress) {
  if (!request.by.empty() && std::ranges::find(areaKinds(), request.by) == areaKinds().end()) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("nothing can be counted by \"{}\"", request.by), "--by", "Choose " + join(areaKinds(), ", ")};
  }
  LEEWARD_ASSIGN(kept, keptChanges(request, progress.part(0, 0.1)));
  if (kept) return *std::move(kept);
  LEEWARD_ASSIGN(session, openSession(request.run, progress.part(0.1, 0.8)));
  LEEWARD_ASSIGN(tables, toldChanges(*session, request.by, request.every, progress.part(0.8, 1)));
  LEEWARD_TRY(session->ledger.close());
  ChangedOutcome outcome = outcomeOf(*session, std::move(tables));
  if (!outcome.since_frozen) return outcome;
  session.reset();  // gives the folder free
  ChangedStudyRequest as_it_is = request;
  as_it_is.run.records = Records::AsTheyAre;
  Progress quiet;
  LEEWARD_ASSIGN(now, whatChanged(as_it_is, quiet));
  outcome.totals_as_they_are = std::move(now.totals);
  return outcome;
}

Result<Table> whatIsBehind(const BehindRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(session, openSession(request.changed.run, progress.part(0, 0.9)));
  LEEWARD_ASSIGN(table, thingsBehind(session->context, session->book, {request.changed.by, request.area, request.count, request.period, request.changed.every}, progress.part(0.9, 1)));
  LEEWARD_TRY(session->ledger.close());
  return table;
}

Result<DogsOutcome> whatBecameOfEach(const RunRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(session, openSession(request, progress.part(0, 0.9)));
  Table table = dogsTable(session->book, improvedRule(session->study));
  LEEWARD_TRY(session->ledger.close());
  return DogsOutcome{std::move(table), session->since_frozen, session->newly_frozen};
}

}  // namespace leeward::study
