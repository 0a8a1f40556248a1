#pragma once
/// What changed, and what became of each animal.
#include <cstdint>
#include <string>
#include <vector>

#include "analysis/outcomes/changed.h"
#include "viewer/study/run/book.h"

namespace leeward::study {

/// What happened, each thing in the area of its look.
struct BookEvents {
  std::vector<analysis::LookEvent> looks;
  std::vector<analysis::MetEvent> met;
  std::vector<analysis::OutcomeEvent> outcomes;
  std::vector<analysis::CheckedAnimal> animals;  ///< one an animal of the book
  std::vector<std::size_t> met_look, outcome_look;  ///< the look at which each of met and outcomes happened
};
BookEvents eventsOf(const Book& book, const std::vector<std::int32_t>& area_of_look);

/// The rule by which an animal counts as improved, as the study file sets it.
analysis::ImprovedRule improvedRule(const StudyFile& study);

/// What changed, by area and period, and the totals over spans of time in which each animal counts once.
struct ChangedTables {
  Table periods;  ///< columns as Findings::changed says
  Table totals;   ///< as Findings::changed_totals
  Table rates;    ///< ratesTable
  Table costs;    ///< costsTable in run/costs.h
  Table cost_notes;  ///< costNotes(), a row each: words
};
/// Rates by area and period, a row a measure: area_id, area_name, period, measure, count, of, per (100 or 1,000), rate, low, high (at `level`;
/// shares of animals Wilson, events per planned door Garwood), change, change_low, change_high against the period before (of shares the
/// difference in points, of rates the ratio; missing unless both periods are whole), funnel_low, funnel_high (95 %, about the rate of all
/// areas in the period; missing with one area), beyond ("95 %" or "99.8 %", the limits that the rate lies outside of).
Table ratesTable(const std::vector<analysis::ChangedRow>& rows, const std::vector<std::string>& area_ids, const std::vector<std::string>& area_names, double level);
/// `by`: a kind of area layer (jurisdictions, areas, blocks, boundary), or "" for the whole study as one area. NotFound if the
/// study names no such layer.
Result<ChangedTables> changedTables(RunContext& context, const Book& book, const std::string& by, Every every, Progress progress);

/// What one of its counts is made of: date, premises_id, address (private), dog_name, what, crew, visit_id (as in the crew's log), look_id (the
/// ledger's). One row a thing counted. `count`: a column of periods; `area`: an id of the layer, "" = elsewhere, or the whole study without `by`.
/// NotFound for an area that isn't there, InvalidArgument for a count or period that has no such name.
struct CountAsked {
  std::string by, area, count, period;
  Every every = Every::Quarter;
};
Result<Table> thingsBehind(RunContext& context, const Book& book, const CountAsked& asked, Progress progress);
/// The counts' names, as columns.
const std::vector<std::pair<std::string, analysis::Count>>& changeCounts();

/// The key of what changedTables() gives.
std::string changedKey(const RunContext& context, const Book& book, const std::string& by, Every every);

/// A row an animal that was met or of which something was written: premises_id, address (private), dog_name, kind, first_met, last_met, checks
/// (as found), change, why_not (what keeps it from being compared), first_check, latest_check, compared, unmet_first, unmet_latest, standing
/// (there, given up, moved, died, lost contact), since, followed, neutered, in_need (by the latest check as left: yes, no, missing =
/// unknown), unclear (what a person must look at).
Table dogsTable(const Book& book, const analysis::ImprovedRule& rule);

/// How many animals could be compared, and how many of them stand improved on as_of.
struct ImprovedCount {
  std::int64_t improved = 0, compared = 0;
};
ImprovedCount countImproved(const Book& book, const analysis::ImprovedRule& rule);

}  // namespace leeward::study
