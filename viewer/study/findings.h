#pragma once
/// What a study knows at one moment: the layers and results that sheets, briefs and the window show.
///
/// A snapshot never changes once made; it is passed as shared_ptr<const Findings>. All geometry is in the study's
/// frame (`crs`: projected, metres, true to scale on the spot). Columns are named in the comments; every column is
/// there after a run, with missing values where nothing is known (missing is never zero).
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "shared/base/dates.h"
#include "shared/layer/layer.h"

namespace leeward::study {

/// A source as a reader of a sheet sees it.
struct SourceNote {
  std::string label;    ///< "Address points", "Census blocks 2020"
  std::string file;     ///< file name without folder
  std::string year;     ///< of the data, "" unknown
  std::string licence;  ///< "" unknown
};

struct Findings {
  std::string name;      ///< the study's
  Crs crs;               ///< the frame of everything below
  Date as_of;            ///< figures are of this day
  std::optional<Date> record_ends;  ///< day of the latest look or sighting up to as_of; nothing without any
  double level = 0.90;   ///< of the intervals
  std::uint64_t seed = 1;
  int top_k = 20;
  int service_interval_days = 120;

  /// Areas, one row a block:
  /// block_id, group_id (Text); people, housing_units (Real); doors, doors_looked, looks, planned_looks,
  /// dogs_known, dogs_overdue, finds (Integer; finds = dogs first found by planned looks); share_never (Real, share of
  /// doors never looked at); last_look (Text, ISO or missing); state (Text: the five of blockStates()); rate, rate_low,
  /// rate_high (Real, shrunk dogs per planned door); need (Real 0..1), heat (Real, in heat_unit); unmet, unmet_in_need,
  /// mass, minutes, per_crew_hour, chance_top_k, chance_rank_k (Real); low, high, rank, rank_low, rank_high (Integer;
  /// rank 1 = best, missing where the block has no doors); because (Text, one sentence); streets (Text: those around
  /// it, "W Elm St, N 3rd St"; missing where none is known).
  Layer blocks;
  /// Lines: name (Text), kind (Text: "street", "main", "path" or missing).
  Layer streets;
  /// Points: premises_id, block_id, address (Text, private), looked (Integer 0/1), last_look (Text), dogs_known
  /// (Integer), state (Text: never, nobody, none, ontime, overdue), asked_not_to_return (Integer 0/1).
  Layer premises;
  /// Points: sighting_id, date, what, source, block_id (Text), count, cluster (Integer; missing = none), role (Text).
  Layer sightings;
  /// Areas (hulls; a line or point where degenerate): cluster, sightings, dogs (Integer), first, last (Text, ISO).
  Layer clusters;

  /// Where finds gather once effort is taken into account (run/patterns.h). All of it is of doors whose first dog a planned look found, over effective planned doors.
  struct Patterns {
    /// One row a block, in the order of `blocks`: block_id (Text); effort (Real: effective planned doors), found_doors (Integer), adjusted (Real: the
    /// rate on one footing), gstar_z, p, q, moran_i (Real), stands_out ("more", "fewer", missing = neither or not known), circle (Integer: rank of the scan's circle that holds it), nearby
    /// (Real: finds a planned look, spread over the surroundings).
    Table blocks;
    /// Areas (whole blocks), best first: rank, blocks (Integer), centre, members (Text: block ids by ";"), radius, observed, expected, relative_risk, p, p_gumbel (Real; risk missing: none found elsewhere).
    Layer circles;
    /// Areas (whole blocks that hold a cluster's sightings, so that no corner is a home): cluster, sightings, dogs, blocks, doors (Integer), first, last (Text).
    Layer outlines;
    /// What goes with the rate: term, coefficient, standard_error, robust (HC1), z, p (by robust), from, to (the quarters of the blocks), ratio, low, high (rates at `to` over those at `from`), rows, theta.
    Table explained;
    /// A row a finding, as a lay reader is told: topic (even, standing, circle, nearby, clusters, explained), finding, caution, method (Text).
    Table told;
  } patterns;
  /// Any number of context layers, lowest first: water, parks, boundaries; kind says how to draw it.
  struct Context {
    std::string kind;  ///< "water", "park", "boundary", "jurisdiction", "area"
    Layer layer;       ///< name column: "name" where there is one
  };
  std::vector<Context> context;
  std::optional<Raster> heat;   ///< in its own CRS
  std::optional<GroundPicture> ground;  ///< the team's own picture of the ground, at most kGroundPixels along its longer side
  std::string heat_kind;        ///< "land surface", "air", "index", "proxy"
  std::string heat_unit;        ///< "°C", "share" ...

  /// One row an area and period: area_id (missing = in none), area_name, period (Text, Period::name()), up_to (Text, ISO: the last
  /// day counted, of a period that isn't over on as_of; else missing), begins (Text, ISO: the record's first day, of the period that it begins
  /// within; else missing); looks, visits, premises, households, planned_doors, first_met, dogs_met, rechecked, rechecked_improved, given_up,
  /// improved, neutered, referred (Integer: analysis/outcomes/changed.h). An animal may stand in several periods, so these columns don't add up (looks and visits do).
  Table changed;
  /// The same counts over spans of time, each animal once: area_id, area_name (kTogether: all areas), span (Text: how many of the
  /// latest periods, kShownPeriods or kChartPeriods, or "all"), first, up_to (Text, ISO days).
  Table changed_totals;
  /// Hours and cost of what changed, a row an area, period and outcome: costsTable in run/costs.h.
  Table costs;
  std::vector<std::string> cost_words;  ///< the whole time in words, parameters, what can't be concluded
  std::string changed_by;       ///< the area layer of `changed`, in words: "Jurisdictions"
  Every changed_every = Every::Quarter;
  /// One row a block in order of rank; the columns of `leeward next` (block_id, rank, rank_low, rank_high, unmet,
  /// unmet_in_need, low, high, mass, per_crew_hour, chance_top_k, chance_rank_k, doors, doors_looked, last_look, state, because).
  Table next;
  /// What is due: premises_id, block_id, address (private), due (ISO), what, kind (promise, treatment, visit, note, referral, permission),
  /// dog_name (of a treatment), because, crew (that was there last), bring ("bowl 1; straw 2", missing if nothing) (Text); ordered by due. Promises of any day; all else by as_of.
  Table due;
  /// The same, a year ahead (run/due_list.h).
  Table due_ahead;

  /// Whole-study numbers, each counted from the tables above or the ledger.
  struct Totals {
    /// blocks_never: blocks with doors of which none was ever looked at (some may be told of by reports, so that their state is
    /// another): in blocks_told of them a dog is known all the same, of blocks_unknown nothing is (the others were passed by without a door being seen). unmet_low, unmet_high: at `level`.
    std::int64_t blocks = 0, blocks_never = 0, blocks_told = 0, blocks_unknown = 0, doors = 0, doors_looked = 0, looks = 0, planned_looks = 0, visits = 0;
    std::int64_t dogs_known = 0, dogs_met = 0, sightings = 0, clusters = 0, given_up = 0, improved = 0, improved_of = 0;
    std::int64_t neutered = 0, referred = 0, undecided = 0, refused_rows = 0;
    double unmet = 0, unmet_low = 0, unmet_high = 0;
  } totals;

  std::vector<SourceNote> sources;
  std::vector<std::string> remarks;      ///< what a reader must know: missing layers, few data, simple model used
  std::vector<std::string> methods;      ///< one sentence a method, with its source, for the foot of a brief
  /// How an animal counts as improved, in words, with its parameters.
  std::string improved_rule;
};

/// A block's state, its words and its place in the order (the worst wins).
struct BlockState {
  const char* key;    ///< as in the `state` columns
  const char* words;  ///< "never looked at"
};
/// never, nobody, none, ontime, overdue - in the order of a legend.
const std::vector<BlockState>& blockStates();

inline constexpr const char* kTogether = "together";
/// How many of the latest periods maps and tables show, and charts.
inline constexpr std::size_t kGroundPixels = 6000;
inline constexpr int kShownPeriods = 4, kChartPeriods = 8;
/// A count of Findings::changed_totals over the latest `periods` (0 = the whole time) in an area, by its name. Nothing if it isn't there.
std::optional<std::int64_t> changedTotal(const Table& totals, const std::string& area_name, int periods, const char* count);
/// Hours, and money where there is any, for each outcome over the whole time: a sentence each. None without looks.
std::vector<std::string> costWords(const Table& costs, const std::string& currency);
/// "2025 Q3", or "2025 Q3, to 14 Sep" where the period isn't over; of a row of Findings::changed.
std::string periodWords(const Table& changed, std::size_t row);
/// "2025 Q1, from 12 Feb" if the record begins within the first period of Findings::changed, else "".
std::string firstPartialPeriod(const Table& changed);
/// "2025 Q3, to 14 Sep" if the last period of Findings::changed isn't over on as_of, else "".
std::string partialPeriod(const Table& changed);

using Snapshot = std::shared_ptr<const Findings>;

}  // namespace leeward::study
