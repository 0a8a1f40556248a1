#pragma once
/// Brings a study's findings up to date: every stale step runs again, all others are read from the cache.
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "shared/ledger/receipt.h"
#include "viewer/study/findings.h"
#include "viewer/study/frozen.h"
#include "viewer/study/steps.h"
#include "viewer/study/study_file.h"

namespace leeward::study {

/// Which records the figures of a day are made from (frozen.h).
enum class Records : std::uint8_t {
  AsTheyAre,
  AsFirstReported,  ///< of a day that is over; the first such run freezes it
  FrozenAnew,       ///< as they are, and so from now on
};

struct RunRequest {
  std::filesystem::path folder;
  std::optional<Date> as_of;             ///< instead of the study file's; without either: today
  std::optional<std::uint64_t> seed;
  std::optional<double> level;
  std::optional<int> top_k;
  Records records = Records::AsTheyAre;
};

struct RunOutcome {
  StudyFile study;
  Snapshot findings;
  std::vector<StepReport> steps;
  std::string key;  ///< of the findings: equal keys, equal findings
  std::vector<ReceiptInput> inputs;  ///< all that the figures were made from
  std::optional<SinceFrozen> since_frozen;  ///< what late rows would change; none if nothing would
  std::optional<Date> newly_frozen;  ///< the day, if it was frozen by this run
};

/// Steps: reading the public layers, placing addresses, gathering animals, locating, overlays (people, heat, need), clusters,
/// blocks (states, expected unmet, ranking), patterns (where finds gather for the effort), outcomes. Blocks are needed for most of it: without them BadData, with the
/// take-in command that mends it. Progress and stop throughout; a stop leaves what was finished.
Result<RunOutcome> runStudy(const RunRequest& request, Progress& progress);

/// What the last run left, if nothing changed since: nothing is made and the record is not read. Nothing if something is stale. Problems as of runStudy().
Result<std::optional<RunOutcome>> keptFindings(const RunRequest& request, Progress& progress);

struct DoorsRequest {
  RunRequest run;
  double hours = 4;
  int crews = 1;
};
/// What an outing is planned with, and its doors.
struct DoorsOutcome {
  Layer doors;
  StudyFile study;
  Date as_of;
  std::vector<ReceiptInput> inputs;
};
/// The doors to knock: crew, order, premises_id, block_id, address (private), lon, lat, chance_unmet, unmet_in_need, minutes, due,
/// hazard, permission, who (all private), what_due, bring, because; points in EPSG:4326.
Result<DoorsOutcome> doorsToKnock(const DoorsRequest& request, Progress& progress);

struct ChangedStudyRequest {
  RunRequest run;
  std::string by;  ///< kind of area layer; "" = the whole study
  Every every = Every::Quarter;
};
struct ChangedOutcome {
  Table periods;  ///< as Findings::changed
  Table totals;   ///< as Findings::changed_totals
  Table rates;    ///< a row an area, period and measure: ratesTable in run/outcomes.h
  Table costs;    ///< a row an area, period and outcome: costsTable in run/costs.h
  std::vector<std::string> cost_words;  ///< the whole time in words, parameters, what can't be concluded
  std::optional<SinceFrozen> since_frozen;  ///< what late rows would change; none if nothing would
  std::optional<Table> totals_as_they_are;  ///< the totals with those rows
  std::optional<Date> newly_frozen;  ///< the day, if it was frozen by this call
};
Result<ChangedOutcome> whatChanged(const ChangedStudyRequest& request, Progress& progress);
/// What a count of whatChanged() is made of.
struct BehindRequest {
  ChangedStudyRequest changed;
  std::string area;    ///< area_id or area_name; "" = the whole study, or (with changed.by) elsewhere
  std::string count;   ///< a column of ChangedOutcome::periods
  std::string period;  ///< as it is named there
};
/// One row a thing counted, private: thingsBehind in run/outcomes.h.
Result<Table> whatIsBehind(const BehindRequest& request, Progress& progress);
struct DogsOutcome {
  Table dogs;  ///< a row an animal, with its outcome (dogsTable in run/outcomes.h)
  std::optional<SinceFrozen> since_frozen;
  std::optional<Date> newly_frozen;  ///< the day, if it was frozen by this call
};
Result<DogsOutcome> whatBecameOfEach(const RunRequest& request, Progress& progress);

}  // namespace leeward::study
