#include "viewer/study/run_study.h"

#include <algorithm>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/receipts.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/blocks.h"
#include "viewer/study/run/costs.h"
#include "viewer/study/run/due_list.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/overlays.h"
#include "viewer/study/run/patterns.h"
#include "viewer/study/run/public_layers.h"
#include "viewer/study/run/record_facts.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/run/session.h"
#include "viewer/study/run/sighting_layers.h"
#include "viewer/study/run/told_changes.h"
#include "viewer/study/shown_first.h"
#include "viewer/study/what_is_due.h"

namespace leeward::study {
namespace {

constexpr std::size_t kTopsKept = 4;  ///< rankings by size of the top that stay in the cache

Layer tableAsLayer(std::string name, Table table) {
  Layer layer;
  layer.name = std::move(name);
  layer.table = std::move(table);
  return layer;
}

/// The blocks' facts and the heart's answer, worked out at most once a run and only if some step is stale.
class Heart {
 public:
  Heart(Session& session, std::string facts_key) : session_(session), facts_key_(std::move(facts_key)) {}

  Result<const BlockFacts*> facts(Progress progress) {
    if (!facts_) {
      LEEWARD_ASSIGN(made, blockFacts(session_.context, progress));
      facts_ = std::make_unique<BlockFacts>(std::move(made));
    }
    return static_cast<const BlockFacts*>(facts_.get());
  }
  Result<const analysis::WhereNext*> answer(Progress progress) {
    if (!answer_) {
      LEEWARD_ASSIGN(known, facts(progress.part(0, 0.3)));
      auto working = progress.part(0.3, 1);
      const std::vector<analysis::RateFigure> figures = rateFigures(*known);
      LEEWARD_ASSIGN(made, analysis::whereNext(recordOf(session_.context, session_.book), whereNextRequest(session_.context, known->need, figures), working));
      answer_ = std::make_unique<analysis::WhereNext>(std::move(made));
    }
    return static_cast<const analysis::WhereNext*>(answer_.get());
  }
  const std::string& factsKey() const { return facts_key_; }
  std::string key() const { return blocksKey(session_.context, session_.book, facts_key_); }

 private:
  Session& session_;
  std::string facts_key_;
  std::unique_ptr<BlockFacts> facts_;
  std::unique_ptr<analysis::WhereNext> answer_;
};

/// Whole-study numbers that need the heart's answer; kept as a table of one row so that they can be cached.
Table totalsTable(const Session& session, const analysis::WhereNext& found, std::vector<std::string> remarks) {
  remarks.insert(remarks.end(), found.unmet.remarks.begin(), found.unmet.remarks.end());
  // Ever met, also those that were given up or moved since and those outside all blocks.
  const std::int64_t met = std::ranges::count_if(session.book.dogs.animals, [](const auto& animal) { return animal.first_met.has_value(); });
  const auto improved = countImproved(session.book, improvedRule(session.study));
  std::string joined;
  for (const auto& remark : remarks) joined += remark + "\n";
  return TableMaker{}
      .reals("unmet", {found.ranking.total_unmet}).integers("low", std::vector<std::int64_t>{found.ranking.total_low}).integers("high", std::vector<std::int64_t>{found.ranking.total_high})
      .integers("met", std::vector<std::int64_t>{met}).integers("improved", std::vector<std::int64_t>{improved.improved})
      .integers("improved_of", std::vector<std::int64_t>{improved.compared}).texts("remarks", std::vector<std::string>{joined}).done();
}

void readTotals(Findings& findings, const Table& kept) {
  auto& totals = findings.totals;
  const Table& blocks = findings.blocks.table;
  const auto sum = [&](const char* column) {
    std::int64_t all = 0;
    for (std::size_t row = 0; row < blocks.rows(); ++row) all += columnOf(blocks, column).asInteger(row).value_or(0);
    return all;
  };
  const auto whole = [&](const char* column) { return columnOf(kept, column).asInteger(0).value_or(0); };
  totals.blocks = static_cast<std::int64_t>(blocks.rows());
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    const bool is_never = columnOf(blocks, "doors").asInteger(row).value_or(0) > 0 && columnOf(blocks, "doors_looked").asInteger(row) == 0;
    totals.blocks_never += is_never ? 1 : 0;
    totals.blocks_told += is_never && columnOf(blocks, "dogs_known").asInteger(row).value_or(0) > 0 ? 1 : 0;
    totals.blocks_unknown += is_never && columnOf(blocks, "state").asText(row) == blockStates().front().key ? 1 : 0;
  }
  totals.doors = sum("doors"), totals.doors_looked = sum("doors_looked"), totals.dogs_known = sum("dogs_known");
  totals.planned_looks = sum("planned_looks");
  totals.clusters = static_cast<std::int64_t>(findings.clusters.rows());
  totals.dogs_met = whole("met"), totals.improved = whole("improved"), totals.improved_of = whole("improved_of");
  totals.unmet = columnOf(kept, "unmet").asReal(0).value_or(0);
  totals.unmet_low = static_cast<double>(whole("low")), totals.unmet_high = static_cast<double>(whole("high"));
  // Over the whole time each animal counts once, in however many periods it stands.
  const auto ever = [&](const char* count) { return changedTotal(findings.changed_totals, kTogether, 0, count).value_or(0); };
  totals.visits = ever("visits"), totals.given_up = ever("given_up"), totals.neutered = ever("neutered"), totals.referred = ever("referred");
  const Column& remarks = columnOf(kept, "remarks");
  std::string line;
  for (const char c : remarks.asText(0)) {
    if (c == '\n') findings.remarks.push_back(std::exchange(line, ""));
    else line += c;
  }
}

/// Zeros that mean "not known" must not be read as "no dogs".
void warnOfMissingDoors(Findings& findings) {
  std::size_t outside = 0;
  const Column& block = columnOf(findings.premises.table, "block_id");
  for (std::size_t row = 0; row < findings.premises.rows(); ++row) outside += block.isMissing(row) ? 1 : 0;
  if (findings.premises.rows() == 0) {
    findings.remarks.insert(findings.remarks.begin(),
                            "There are no address points in this study, so nothing can be expected of any block: zeros here mean \"not known\", not \"no dogs\". "
                            "Bring them in with take-in premises.");
  } else if (2 * outside > findings.premises.rows()) {
    findings.remarks.insert(findings.remarks.begin(),
                            fmt::format("{} of {} address points lie in no block: blocks and address points don't seem to be of the same place, and figures by block mean little.",
                                        outside, findings.premises.rows()));
  }
}

void describeStudy(const Session& session, Findings& findings) {
  const StudyFile& study = session.study;
  findings.name = study.name;
  findings.crs = session.context.frame;
  findings.as_of = session.context.as_of;
  findings.level = study.level;
  findings.seed = study.seed;
  findings.top_k = study.top_k;
  findings.service_interval_days = study.service_interval_days;
  for (const auto& kind : layerKinds()) {
    const auto source = study.sources.find(kind);
    if (source == study.sources.end()) continue;
    const auto& table = source->second;
    std::string label = table.label.empty() ? layerLabel(kind) : table.label;
    if (!table.source.empty()) label += ", " + table.source;
    findings.sources.push_back({label, std::filesystem::path(table.file).filename().string(), table.year, table.licence});
    if (kind == "heat") findings.heat_kind = table.kind, findings.heat_unit = table.unit;
  }
  findings.improved_rule = analysis::inWords(improvedRule(study));
  findings.methods = {
      "Addresses are placed by agreement weights (Fellegi & Sunter 1969; Winkler 1990) on address points and street ranges.",
      "Clusters of sightings: DBSCAN (Ester et al. 1996).",
      "Heat by block: means with exact coverage of raster cells. Census figures by area: areal interpolation (Goodchild & Lam 1980).",
      "Dogs not yet met: planned finds per effective planned door, gamma-Poisson shrinkage (Clayton & Kaldor 1987), summed over doors not lately looked at.",
      "Ranking: expected unmet dogs in need per crew-hour; its certainty by 1,000 seeded draws."};
}

/// The layers below the results, lowest first, and how each is drawn.
constexpr std::pair<const char*, const char*> kGround[] = {{"water", "water"}, {"parks", "park"}, {"areas", "area"}, {"jurisdictions", "jurisdiction"}, {"boundary", "boundary"}};

/// The kinds that addContext() needs.
std::set<std::string> drawnKinds(const StudyFile& study) {
  std::set<std::string> kinds = {"streets"};
  for (const auto& [kind, drawn] : kGround) kinds.insert(kind);
  const auto heat = study.sources.find("heat");
  if (heat != study.sources.end() && !isRasterSource(study, "heat", heat->second)) kinds.insert({"heat", "blocks"});
  return kinds;
}

/// Streets, context and heat: what maps need beside the results.
Result<void> addContext(Session& session, Findings& findings, Progress& progress) {
  const RunContext& context = session.context;
  if (const Layer* streets = context.layer("streets")) {
    findings.streets.name = "streets";
    findings.streets.crs = streets->crs;
    findings.streets.geometry = streets->geometry;
    findings.streets.table = TableMaker{}.texts("name", textsOf(streets->table, "name")).named("kind", textsOf(streets->table, "kind")).done();
  }
  for (const auto& [kind, drawn] : kGround) {
    if (const Layer* layer = context.layer(kind); layer != nullptr && layer->hasGeometry()) findings.context.push_back({drawn, *layer});
  }
  if (const auto heat = session.study.sources.find("heat"); heat != session.study.sources.end()) {
    LEEWARD_ASSIGN(raster, heatPicture(context, progress));
    findings.heat = std::move(raster);
  }
  if (const auto ground = session.study.ground(); !ground.empty()) {
    LEEWARD_ASSIGN(picture, readGround(ground, kGroundPixels, progress));
    findings.ground = std::move(picture);
  }
  return {};
}

/// The key of what sheets show beside the results: names, sources' notes, streets and context layers.
std::string shownKey(const Session& session) {
  std::vector<std::string> fields = {session.study.name, std::to_string(session.study.improved.days_apart)};
  for (const auto& [kind, source] : session.study.sources) {
    for (const auto& field : {kind, session.context.keyOf(kind), source.file, source.label, source.source, source.year, source.licence, source.kind, source.unit}) {
      fields.push_back(field);
    }
  }
  if (const auto ground = session.study.ground(); !ground.empty()) {
    std::error_code unknown;
    fields.push_back(fmt::format("{} {} {}", ground.string(), std::filesystem::file_size(ground, unknown), std::filesystem::last_write_time(ground, unknown).time_since_epoch().count()));
  }
  return stepKey("shown", fields);
}

std::string changedBy(const StudyFile& study) {
  const auto& by = study.outputs.changed_by;
  return study.sources.contains(by) ? by : "";
}

std::string joinedPairs(const std::map<std::string, std::string>& pairs) {
  std::string text;
  for (const auto& [one, other] : pairs) text += one + "=" + other + "\n";
  return text;
}

/// Promises and appointments of any day, and all else that is due by as_of.
Table dueNow(const Table& ahead, Date as_of) {
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < ahead.rows(); ++row) {
    const auto kind = columnOf(ahead, "kind").textAt(row);
    if (kind == "promise" || kind == "appointment" || columnOf(ahead, "due").textAt(row) <= toIso(as_of)) rows.push_back(row);
  }
  return ahead.take(rows);
}

/// The findings from the products of the steps, in the cache or made. Of a session that isn't gathered: notKept() if one is stale.
Result<void> fill(Session& session, Findings& findings, std::string& key, std::string& due_key, Progress progress) {
  LEEWARD_ASSIGN(facts_key, blockFactsKey(session.context));
  Heart heart(session, facts_key);
  key = heart.key();
  const Layer no_blocks;
  const Layer& blocks = session.is_gathered ? *session.context.layer("blocks") : no_blocks;
  const auto block_ids = session.is_gathered ? textsOf(blocks.table, "id") : std::vector<std::string>();
  const auto product = [&](const std::string& name, const std::string& title, const std::string& part_key, double from, double to,
                           const std::function<Result<Layer>(Progress&)>& make) -> Result<Layer> {
    LEEWARD_ASSIGN(made, session.steps.product(name, title, part_key, progress.part(from, to), [&](Progress& step) { return session.is_gathered ? make(step) : notKept(); }));
    return std::move(made.layer);
  };
  // One product a size of the top, so that asking for another doesn't make the study's own stale.
  const std::string top = std::to_string(session.study.top_k);
  LEEWARD_ASSIGN(ranked, product("blocks-top-" + top, "Ranking blocks", stepKey("top", {key, top}), 0, 0.5, [&](Progress& step) -> Result<Layer> {
    LEEWARD_ASSIGN(facts, heart.facts(step.part(0, 0.3)));
    LEEWARD_ASSIGN(answer, heart.answer(step.part(0.3, 1)));
    return blocksLayer(blocks, *facts, *answer);
  }));
  findings.blocks = std::move(ranked);
  session.steps.keepOnly("blocks-top-", kTopsKept);
  findings.next = nextTable(findings.blocks.table);
  LEEWARD_ASSIGN(premises, product("premises", "Telling looked-at doors from others", stepKey("premises", {key}), 0.5, 0.6, [&](Progress& step) -> Result<Layer> {
    LEEWARD_ASSIGN(answer, heart.answer(step));
    return premisesLayer(session.context, session.book, block_ids, answer->coverage.doors);
  }));
  findings.premises = std::move(premises);
  const auto& days = session.study.due;
  due_key = stepKey("due", {key, std::to_string(days.note_days), std::to_string(days.referral_days), std::to_string(days.straw_days), std::to_string(days.straw_bales),
                            std::to_string(days.urgent_hours), join(days.urgent_call, "\n"), joinedPairs(days.bring), session.context.keyOf("weather")});
  LEEWARD_ASSIGN(due, product("due", "Listing what is due", due_key, 0.6, 0.65, [&](Progress& step) -> Result<Layer> {
    LEEWARD_ASSIGN(answer, heart.answer(step));
    LEEWARD_ASSIGN(list, dueTable(session.context, session.book, block_ids, answer->coverage.doors));
    return tableAsLayer("due", std::move(list));
  }));
  findings.due = dueNow(due.table, session.context.as_of);
  findings.due_ahead = std::move(due.table);
  const auto improved_days = std::to_string(session.study.improved.days_apart);
  LEEWARD_ASSIGN(totals, product("totals", "Adding up", stepKey("totals", {key, improved_days}), 0.65, 0.7, [&](Progress& step) -> Result<Layer> {
    LEEWARD_ASSIGN(facts, heart.facts(step));
    LEEWARD_ASSIGN(answer, heart.answer(step));
    return tableAsLayer("totals", totalsTable(session, *answer, facts->remarks));
  }));
  const auto cluster_key = stepKey("clusters", {session.book.key, fmt::format("{} {}", session.study.clusters.within_m, session.study.clusters.at_least)});
  SightingLayers sighted;  // two products of one computation: made together if either is stale
  const auto cluster = [&](Progress& step) -> Result<void> {
    if (sighted.sightings.table.width() == 0) {
      LEEWARD_ASSIGN(made, sightingLayers(session.context, session.book, block_ids, step));
      sighted = std::move(made);
    }
    return {};
  };
  LEEWARD_ASSIGN(sightings, product("sightings", "Finding clusters of sightings", cluster_key, 0.7, 0.75, [&](Progress& step) -> Result<Layer> {
    LEEWARD_TRY(cluster(step));
    return sighted.sightings;
  }));
  LEEWARD_ASSIGN(clusters, product("clusters", "Outlining clusters", cluster_key, 0.75, 0.77, [&](Progress& step) -> Result<Layer> {
    LEEWARD_TRY(cluster(step));
    return sighted.clusters;
  }));
  findings.sightings = std::move(sightings);
  findings.clusters = std::move(clusters);
  const auto patterns_key = patternsKey(session.context, key, cluster_key);
  LEEWARD_ASSIGN(patterns, patternProducts(session.steps, patterns_key, progress.part(0.77, 0.85), [&](Progress& step) -> Result<PatternTables> {
    if (!session.is_gathered) return notKept();
    LEEWARD_ASSIGN(facts, heart.facts(step.part(0, 0.1)));
    LEEWARD_ASSIGN(answer, heart.answer(step.part(0.1, 0.3)));
    return patternsOf(session.context, *facts, *answer, recordOf(session.context, session.book), {findings.sightings, findings.clusters}, step.part(0.3, 1));
  }));
  findings.patterns = std::move(patterns);
  const std::string by = changedBy(session.study);
  findings.changed_by = by.empty() ? "Whole study" : layerLabel(by);
  findings.changed_every = *parseEvery(session.study.outputs.every);
  const auto changed_key = changedKey(session.context, session.book, by, findings.changed_every);
  LEEWARD_ASSIGN(told, toldChanges(session, by, findings.changed_every, progress.part(0.85, 0.92)));
  // What a window asks for first, while the record is at hand.
  LEEWARD_ASSIGN(by_month, toldChanges(session, "", Every::Month, progress.part(0.92, 0.96)));
  const auto record_key = stepKey("record", {key, shownKey(session)});
  LEEWARD_ASSIGN(record, product("record", "Telling how far the record goes", record_key, 0.96, 0.97, [&](Progress&) -> Result<Layer> {
    LEEWARD_ASSIGN(facts, recordFacts(session));
    return tableAsLayer("record", std::move(facts));
  }));
  findings.costs = std::move(told.costs);
  findings.cost_words = costWords(findings.costs, session.study.costs.currency);
  for (auto& note : textsOf(told.cost_notes, "words")) findings.cost_words.push_back(std::move(note));
  findings.changed = std::move(told.periods);
  findings.changed_totals = std::move(told.totals);
  key = stepKey("findings", {key, due_key, top, cluster_key, patterns_key, changed_key, shownKey(session)});
  readTotals(findings, totals.table);
  tellRecord(readRecordFacts(record.table), findings);
  return {};
}

/// All that a session knows, as an outcome. `is_of_now`: no other day was asked for.
Result<RunOutcome> outcomeOf(Session& session, bool is_of_now, Progress& progress) {
  auto findings = std::make_shared<Findings>();
  RunOutcome outcome;
  std::string due_key;
  describeStudy(session, *findings);
  LEEWARD_TRY(fill(session, *findings, outcome.key, due_key, progress.part(0, 0.9)));
  LEEWARD_ASSIGN(refused, session.ledger.openRefusals());
  findings->totals.refused_rows = static_cast<std::int64_t>(refused);
  warnOfMissingDoors(*findings);
  auto reading = progress.part(0.9, 1);
  LEEWARD_TRY(addContext(session, *findings, reading));
  if (session.is_gathered || is_of_now) LEEWARD_TRY(noteDueList(session.study, session.ledger, session.context.as_of, due_key));
  if (is_of_now) LEEWARD_TRY(noteLastDay(session.study, session.context.as_of));
  LEEWARD_TRY(session.ledger.close());
  outcome.since_frozen = session.since_frozen;
  outcome.newly_frozen = session.newly_frozen;
  outcome.study = session.study;
  outcome.inputs = session.context.inputs;
  outcome.steps = session.steps.reports();
  outcome.findings = std::move(findings);
  progress.report(1);
  return outcome;
}

}  // namespace

Result<std::optional<RunOutcome>> keptFindings(const RunRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(session, beginSession(request, progress.part(0, 0.2)));
  LEEWARD_ASSIGN(at_rest, isAtRest(*session));
  if (!at_rest || session->may_freeze || !session->context.source_keys.contains("blocks")) return std::optional<RunOutcome>();
  LEEWARD_TRY(loadPublicLayers(session->context, progress.part(0.2, 0.4), drawnKinds(session->study)));
  LEEWARD_ASSIGN(imports, importsOf(session->ledger));
  session->context.inputs.insert(session->context.inputs.end(), imports.begin(), imports.end());
  auto filling = progress.part(0.4, 1);
  auto outcome = outcomeOf(*session, !request.as_of, filling);
  if (!outcome && outcome.problem().code == ProblemCode::NotFound) return std::optional<RunOutcome>();
  if (!outcome) return std::move(outcome).problem();
  return std::optional<RunOutcome>(*std::move(outcome));
}

Result<RunOutcome> runStudy(const RunRequest& request, Progress& progress) {
  auto looking = progress.part(0, 0.1);
  LEEWARD_ASSIGN(kept, keptFindings(request, looking));
  if (kept) return *std::move(kept);
  LEEWARD_ASSIGN(session, openSession(request, progress.part(0.1, 0.5)));
  auto filling = progress.part(0.5, 1);
  return outcomeOf(*session, !request.as_of, filling);
}

}  // namespace leeward::study
