#include "viewer/study/run/outcomes.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <set>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "viewer/study/findings.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/behind.h"
#include "viewer/study/run/costs.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// Areas to count by: their layer (null: the whole study), ids and names.
struct CountAreas {
  const Layer* layer = nullptr;
  std::vector<std::string> id, name;
};

Result<CountAreas> countAreas(const RunContext& context, const std::string& by) {
  if (by.empty()) return CountAreas{nullptr, {"all"}, {context.study.name}};
  const Layer* layer = context.layer(by);
  if (layer == nullptr || !layer->hasGeometry()) {
    return Problem{ProblemCode::NotFound, fmt::format("the study has no area layer \"{}\"", by), "study.toml", fmt::format("Take one in (leeward take-in DIR {} FILE), or count by another", by)};
  }
  CountAreas areas{layer, textsOf(layer->table, "id"), textsOf(layer->table, "name")};
  areas.name.resize(layer->rows());
  for (std::size_t i = 0; i < areas.name.size(); ++i) {
    if (areas.name[i].empty()) areas.name[i] = areas.id[i];
  }
  return areas;
}

}  // namespace

BookEvents eventsOf(const Book& book, const std::vector<std::int32_t>& area_of_look) {
  BookEvents events;
  // A dog may be named at a look that met none: "no dog here, it moved". That is an outcome, not a meeting.
  const Column& dogs_met = columnOf(book.looks, "dogs_met");
  const auto met_none = [&](std::size_t look) { return dogs_met.asInteger(look) == 0; };
  std::vector<bool> is_visit(book.looks.rows());
  for (const std::size_t look : book.visit_look) is_visit[look] = is_visit[look] || !met_none(look);
  const auto result = textsOf(book.looks, "door_result"), why = textsOf(book.looks, "why_here"), household = textsOf(book.looks, "household");
  std::unordered_map<std::string, std::int64_t> households;
  std::vector<bool> is_planned(book.looks.rows());
  for (std::size_t look = 0; look < book.looks.rows(); ++look) {
    is_planned[look] = why[look] == "planned";
    const auto door = book.look_door[look];
    // Two households may share a door; one whose name was not written is the door's.
    const auto home = door < 0 ? -1 : households.try_emplace(fmt::format("{} {}", door, analysis::foldName(household[look])), static_cast<std::int64_t>(households.size())).first->second;
    events.looks.push_back({area_of_look[look], book.look_date[look], is_visit[look] || result[look] == "welcomed", door, home, is_planned[look]});
  }
  events.animals.resize(book.dogs.animals.size());
  for (std::size_t visit = 0; visit < book.visits.rows(); ++visit) {
    const std::size_t look = book.visit_look[visit];
    const auto animal = book.visit_animal[visit];
    if (!met_none(look)) events.met.push_back({area_of_look[look], book.look_date[look], animal, is_planned[look]}), events.met_look.push_back(look);
    if (animal >= 0) events.animals[static_cast<std::size_t>(animal)].area = area_of_look[look];
  }
  for (std::size_t i = 0; i < events.animals.size(); ++i) {
    if (!book.histories[i].confusable) events.animals[i].found = book.histories[i].found;  // whose checks they are would be a guess
  }

  std::unordered_map<std::string_view, std::size_t> visit_row(book.visits.rows()), look_row(book.looks.rows());
  const Column &visit_ids = columnOf(book.visits, "id"), &look_ids = columnOf(book.looks, "id");
  for (std::size_t row = 0; row < visit_ids.size(); ++row) visit_row.emplace(visit_ids.textAt(row), row);
  for (std::size_t row = 0; row < look_ids.size(); ++row) look_row.emplace(look_ids.textAt(row), row);
  const auto of = textsOf(book.outcomes, "visit_id"), outcome = textsOf(book.outcomes, "outcome");
  std::vector<std::set<Date>> given_up;
  for (const auto& history : book.histories) {
    const auto days = analysis::givenUpDays(history);
    given_up.emplace_back(days.begin(), days.end());
  }
  std::set<std::size_t> referred_looks;
  for (std::size_t row = 0; row < book.outcomes.rows(); ++row) {
    const std::size_t visit = visit_row.at(of[row]);
    const Date date = *dateAt(columnOf(book.outcomes, "date"), row);
    const auto add = [&](analysis::OutcomeKind kind) { events.outcomes.push_back({area_of_look[book.visit_look[visit]], date, book.visit_animal[visit], kind}), events.outcome_look.push_back(book.visit_look[visit]); };
    // A word that only tells what followed is no second giving up. Of an animal that can't be told each counts.
    if (outcome[row] == "given_up" && (book.visit_animal[visit] < 0 || given_up[static_cast<std::size_t>(book.visit_animal[visit])].contains(date))) {
      add(analysis::OutcomeKind::GivenUp);
    }
    if (outcome[row] == "neutered") add(analysis::OutcomeKind::Neutered);
    if (outcome[row] == "referred") add(analysis::OutcomeKind::Referred), referred_looks.insert(book.visit_look[visit]);
  }
  // A case that was referred without an animal at hand (nobody let the crew in) counts once.
  const auto referral_look = textsOf(book.referrals, "look_id");
  for (std::size_t row = 0; row < book.referrals.rows(); ++row) {
    const auto look = look_row.find(referral_look[row]);
    if (look == look_row.end() || referred_looks.contains(look->second)) continue;
    events.outcomes.push_back({area_of_look[look->second], *dateAt(columnOf(book.referrals, "date"), row), -1, analysis::OutcomeKind::Referred}), events.outcome_look.push_back(look->second);
  }
  return events;
}

const std::vector<std::pair<std::string, analysis::Count>>& changeCounts() {
  using Counts = analysis::ChangeCounts;
  static const std::vector<std::pair<std::string, analysis::Count>> kAll = {
      {"looks", &Counts::looks}, {"visits", &Counts::visits}, {"premises", &Counts::premises}, {"households", &Counts::households}, {"planned_doors", &Counts::planned_doors},
      {"first_met", &Counts::first_met}, {"dogs_met", &Counts::dogs_met}, {"rechecked", &Counts::rechecked}, {"rechecked_improved", &Counts::rechecked_improved}, {"given_up", &Counts::given_up},
      {"improved", &Counts::improved}, {"neutered", &Counts::neutered}, {"referred", &Counts::referred}};
  return kAll;
}

namespace {

/// Rows of counts with their area's id and name, as columns.
class CountRows {
 public:
  explicit CountRows(const CountAreas& areas) : areas_(areas) {}
  void add(std::int32_t area, const analysis::ChangeCounts& counts) {
    id_.push_back(area >= 0 ? areas_.id[static_cast<std::size_t>(area)] : "");
    name_.push_back(area >= 0 ? areas_.name[static_cast<std::size_t>(area)] : area == analysis::kAllAreas ? kTogether : "elsewhere");
    rows_.push_back(counts);
  }
  TableMaker areas() const {
    TableMaker table;
    table.named("area_id", id_).texts("area_name", name_);
    return table;
  }
  /// `table` with a column a count.
  Table counts(TableMaker& table) const {
    for (const auto& [name, value] : changeCounts()) {
      std::vector<std::int64_t> column;
      for (const auto& row : rows_) column.push_back(row.*value);
      table.integers(name, column);
    }
    return table.done();
  }

 private:
  const CountAreas& areas_;
  std::vector<std::string> id_, name_;
  std::vector<analysis::ChangeCounts> rows_;
};

}  // namespace

analysis::ImprovedRule improvedRule(const StudyFile& study) {
  analysis::ImprovedRule rule;
  rule.min_days = study.improved.days_apart;
  return rule;
}

std::string changedKey(const RunContext& context, const Book& book, const std::string& by, Every every) {
  const auto& study = context.study;
  std::vector<std::string> fields = {book.key, context.keyOf(by), by, std::to_string(static_cast<int>(every)), std::to_string(study.improved.days_apart), study.name, formatNumber(study.level), study.costs.currency};
  for (const double number : {study.costs.crew_hour, study.costs.share_beyond_doors, study.outings.minutes_per_door, study.outings.minutes_per_visit}) fields.push_back(formatNumber(number));
  for (const auto& [item, price] : study.costs.prices) fields.push_back(item + "=" + formatNumber(price));
  return stepKey("changed", fields);
}

namespace {

/// The area of each look; 0 where the whole study is one.
Result<std::vector<std::int32_t>> areaOfLooks(const CountAreas& areas, const Book& book, Progress& progress) {
  if (areas.layer == nullptr) return std::vector<std::int32_t>(book.looks.rows(), 0);
  return areaOf(areas.layer, book.look_position, progress);
}

Result<std::int32_t> areaAsked(const CountAreas& areas, const CountAsked& asked) {
  if (asked.by.empty()) return 0;
  if (asked.area.empty() || asked.area == "elsewhere") return -1;
  for (const auto* names : {&areas.id, &areas.name}) {
    const auto found = std::ranges::find(*names, asked.area);
    if (found != names->end()) return static_cast<std::int32_t>(found - names->begin());
  }
  return Problem{ProblemCode::NotFound, fmt::format("the layer {} has no area \"{}\"", asked.by, asked.area), "--area", "Give an area_id or area_name of the table of counts"};
}

}  // namespace

Result<Table> thingsBehind(RunContext& context, const Book& book, const CountAsked& asked, Progress progress) {
  const auto count = std::ranges::find(changeCounts(), asked.count, &std::pair<std::string, analysis::Count>::first);
  if (count == changeCounts().end()) return Problem{ProblemCode::InvalidArgument, fmt::format("nothing is counted as \"{}\"", asked.count), "--behind", "Give a column of the table of counts, neutered for instance"};
  LEEWARD_ASSIGN(areas, countAreas(context, asked.by));
  LEEWARD_ASSIGN(area, areaAsked(areas, asked));
  LEEWARD_ASSIGN(area_of_look, areaOfLooks(areas, book, progress));
  const BookEvents events = eventsOf(book, area_of_look);
  const analysis::ChangedInput input{events.looks, events.met, events.outcomes, events.animals};
  const analysis::ChangedRequest request{.areas = areas.id.size(), .every = asked.every, .as_of = context.as_of, .from = std::nullopt, .rule = improvedRule(context.study)};
  LEEWARD_ASSIGN(rows, analysis::countChanges(input, request, progress));
  const auto row = std::ranges::find_if(rows, [&](const auto& one) { return one.area == area && one.period.name() == asked.period; });
  if (row == rows.end()) return Problem{ProblemCode::InvalidArgument, fmt::format("the table of counts has no period \"{}\" there", asked.period), "--period", "Give it as the table does: 2025-03, 2025 Q1 or 2025"};
  LEEWARD_ASSIGN(things, analysis::thingsCounted(input, request, count->second, area, row->period, progress));
  return behindTable(book, events, things);
}

Result<ChangedTables> changedTables(RunContext& context, const Book& book, const std::string& by, Every every, Progress progress) {
  LEEWARD_ASSIGN(areas, countAreas(context, by));
  LEEWARD_ASSIGN(area_of_look, areaOfLooks(areas, book, progress));
  const BookEvents events = eventsOf(book, area_of_look);
  const analysis::ChangedInput input{events.looks, events.met, events.outcomes, events.animals};
  analysis::ChangedRequest request{.areas = areas.id.size(), .every = every, .as_of = context.as_of, .from = std::nullopt, .rule = improvedRule(context.study)};
  LEEWARD_ASSIGN(rows, analysis::countChanges(input, request, progress));
  CountRows periods(areas);
  std::vector<std::string> period, up_to, begins;
  for (const auto& row : rows) {
    periods.add(row.area, row);
    period.push_back(row.period.name());
    up_to.push_back(row.complete ? "" : toIso(context.as_of));
    begins.push_back(row.begins ? toIso(*row.begins) : "");
  }
  ChangedTables tables;
  tables.periods = periods.counts(periods.areas().texts("period", period).named("up_to", up_to).named("begins", begins));
  tables.rates = ratesTable(rows, areas.id, areas.name, context.study.level);
  CountRows totals(areas);
  analysis::ChangedTotal whole;
  std::vector<std::string> span, first, last;
  const Period latest = periodOf(context.as_of, every);
  const Period earliest = rows.empty() ? latest : rows.front().period;  // every area has all periods
  constexpr std::array kLengths = {kShownPeriods, kChartPeriods, 0};
  std::array<analysis::ChangedRequest, kLengths.size()> requests;
  std::vector<Result<std::vector<analysis::ChangedTotal>>> sums(kLengths.size(), std::vector<analysis::ChangedTotal>{});
  for (std::size_t i = 0; i < kLengths.size(); ++i) {
    Period from = earliest;
    if (kLengths[i] > 0) from.index = std::max(from.index, latest.index - kLengths[i] + 1);
    requests[i] = request;
    requests[i].from = from.first();
  }
  LEEWARD_TRY(progress.parallelFor(kLengths.size(), 1, [&](std::size_t i, std::size_t) {
    Progress aside = progress.quiet();
    sums[i] = analysis::countTotals(input, requests[i], aside);
  }));
  for (std::size_t i = 0; i < kLengths.size(); ++i) {
    if (!sums[i]) return sums[i].problem();
    if (kLengths[i] == 0 && !sums[i]->empty()) whole = sums[i]->back();  // all areas together
    for (const auto& row : *sums[i]) {
      totals.add(row.area, row);
      span.push_back(kLengths[i] > 0 ? std::to_string(kLengths[i]) : "all");
      first.push_back(toIso(*requests[i].from)), last.push_back(toIso(context.as_of));
    }
  }
  LEEWARD_ASSIGN(given, givenAtLooks(context, book));
  tables.costs = costsTable(context, rows, whole, events, given, areas.id, areas.name, every);
  tables.cost_notes = TableMaker{}.texts("words", costNotes(context.study, given)).done();
  tables.totals = totals.counts(totals.areas().texts("span", span).texts("first", first).texts("up_to", last));
  return tables;
}

ImprovedCount countImproved(const Book& book, const analysis::ImprovedRule& rule) {
  ImprovedCount count;
  for (const auto& history : book.histories) {
    const auto judgement = analysis::outcomeOf(history, rule).judgement;
    if (judgement.change == analysis::Change::NotComparable) continue;
    ++count.compared;
    if (judgement.change == analysis::Change::Improved) ++count.improved;
  }
  return count;
}

}  // namespace leeward::study
