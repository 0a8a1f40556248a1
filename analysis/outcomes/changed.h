#pragma once
/// What changed: looks, visits, animals met and outcomes, by area and period.
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "analysis/outcomes/improved.h"
#include "shared/base/dates.h"
#include "shared/base/progress.h"

namespace leeward::analysis {

struct LookEvent {
  std::int32_t area = -1;  ///< 0-based; -1 = in no area
  Date date;
  bool visit = false;  ///< a look with permission
  std::int64_t door = -1, household = -1;  ///< -1: could not be told, counts in neither
  bool planned = false;                    ///< made on a planned round
};

struct MetEvent {
  std::int32_t area = -1;
  Date date;
  std::int64_t animal = -1;  ///< animals that can't be told apart: -1, each counts
  bool planned = false;      ///< at a look that was planned
};

enum class OutcomeKind { GivenUp, Neutered, Referred };
struct OutcomeEvent {
  std::int32_t area = -1;
  Date date;
  std::int64_t animal = -1;
  OutcomeKind kind = OutcomeKind::GivenUp;
};

/// One animal's checks as found; its area is that of its premises.
struct CheckedAnimal {
  std::int32_t area = -1;
  std::vector<ConditionCheck> found;
};

struct ChangedInput {
  std::span<const LookEvent> looks;
  std::span<const MetEvent> met;
  std::span<const OutcomeEvent> outcomes;
  std::span<const CheckedAnimal> animals;
};

struct ChangedRequest {
  std::size_t areas = 0;
  Every every = Every::Quarter;
  Date as_of;                ///< nothing later is counted, so that a figure once printed stays
  std::optional<Date> from;  ///< first period; default: that of the first event
  ImprovedRule rule;
};

/// What happened in an area within a span of time, every animal counted once in each column.
struct ChangeCounts {
  std::int64_t looks = 0, visits = 0;
  std::int64_t premises = 0, households = 0;  ///< different ones at which a visit was made
  std::int64_t planned_doors = 0;       ///< different doors looked at on planned rounds
  std::int64_t first_met = 0;           ///< animals met for the first time ever, on a planned round: what planned_doors led to
  std::int64_t dogs_met = 0;            ///< different animals met
  std::int64_t given_up = 0;            ///< different animals
  std::int64_t improved = 0;            ///< animals that came to count as improved in the span: not so on the day before
  std::int64_t neutered = 0;            ///< animals whose first such outcome lies in the span
  std::int64_t referred = 0;            ///< different animals; referrals without an animal each count
  std::int64_t rechecked = 0;           ///< animals with their latest full check of the comparison in the span
  std::int64_t rechecked_improved = 0;  ///< of these, standing improved against their first check: the share's numerator
};

/// One area and period. Animals recur from period to period: only looks, visits and neutered add up over periods.
struct ChangedRow : ChangeCounts {
  std::int32_t area = -1;
  Period period;
  bool complete = true;  ///< false if as_of falls before the period's last day
  std::optional<Date> begins;  ///< of the first period, where the record begins within it: the record's first day
  bool isWhole() const { return complete && !begins; }
};

inline constexpr std::int32_t kAllAreas = -2;

/// One area over the whole time, or all areas together (kAllAreas).
struct ChangedTotal : ChangeCounts {
  std::int32_t area = kAllAreas;
};

/// A row for every area and period from the first to as_of's, by (area, period); after them, where something happened in
/// no area, rows of area -1, so that columns sum to the whole. No events and no `from`: no rows.
/// Errors:  InvalidArgument: an area not below request.areas, a bad rule. Cancelled. Dates of improvement are the dates of
///          checks: the change itself came some time between two of them.
Result<std::vector<ChangedRow>> countChanges(const ChangedInput& input, const ChangedRequest& request, Progress& progress);

/// A thing that was counted: where it stands in the input, and the day that decided (of an animal: its latest check of the comparison).
struct CountedThing {
  enum class From { Look, Met, Outcome, Animal } from = From::Look;
  std::size_t row = 0;
  Date date;
};
using Count = std::int64_t ChangeCounts::*;
/// What one count of countChanges() is made of: as many things as it says. Errors as countChanges.
Result<std::vector<CountedThing>> thingsCounted(const ChangedInput& input, const ChangedRequest& request, Count count, std::int32_t area, Period period, Progress& progress);

/// The same counts over all periods from `from`'s (default: the first event's) up to as_of: a row for every area, in order, one
/// for what lies in none (area -1), and last one for all areas together, in which an animal that turned up in two areas counts once.
/// An animal given up or referred in three quarters counts once. An animal that came to count as improved several times
/// counts once; rechecked animals are judged by their latest check. Errors as countChanges.
Result<std::vector<ChangedTotal>> countTotals(const ChangedInput& input, const ChangedRequest& request, Progress& progress);

}  // namespace leeward::analysis
