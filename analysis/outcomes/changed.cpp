#include "analysis/outcomes/changed.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>
#include <unordered_map>
#include <unordered_set>

namespace leeward::analysis {
namespace {

/// Counts by area and span: every period, or (together) the whole time as one span.
class Counter {
 public:
  Counter(const ChangedInput& input, const ChangedRequest& request, bool together) : input_(input), request_(request), together_(together) {}

  Result<void> checkAreas() const {
    const auto fits = [&](const auto& row) { return row.area >= -1 && row.area < static_cast<std::int64_t>(request_.areas); };
    const bool ok = std::all_of(input_.looks.begin(), input_.looks.end(), fits) &&
                    std::all_of(input_.met.begin(), input_.met.end(), fits) &&
                    std::all_of(input_.outcomes.begin(), input_.outcomes.end(), fits) &&
                    std::all_of(input_.animals.begin(), input_.animals.end(), fits);
    if (ok) return {};
    return Problem{ProblemCode::InvalidArgument, "an event names an area that does not exist", "", ""};
  }

  Result<void> count(Progress& progress) {
    LEEWARD_TRY(progress.checkStop());
    countLooks();
    countMet();
    countOutcomes();
    return judgeAnimals(progress);
  }

  /// From here on what makes up this count is kept.
  void seek(Count count, std::int32_t area, Period period) { sought_ = Sought{count, {area, period}}; }
  std::vector<CountedThing> found() const { return found_; }
  std::vector<ChangedRow> periodRows() const;
  std::vector<ChangedTotal> totalRows() const;

 private:
  using Key = std::pair<std::int32_t, Period>;

  bool counts(Date date) const {
    if (date > request_.as_of) return false;
    return !request_.from || date >= periodOf(*request_.from, request_.every).first();
  }
  Period spanOf(Date date) const { return together_ ? Period{request_.every, 0} : periodOf(date, request_.every); }
  ChangeCounts& at(std::int32_t area, Date date) { return counts_[{area, spanOf(date)}]; }
  /// One more of a row's count; `decided`: the day that made it so, where that isn't the day it is counted on.
  void tally(ChangeCounts& row, Count count, std::int32_t area, Date date, CountedThing::From from, std::size_t at, std::optional<Date> decided = std::nullopt) {
    ++(row.*count);
    if (sought_ && sought_->count == count && sought_->key == Key{area, spanOf(date)}) found_.push_back({from, at, decided.value_or(date)});
  }
  /// The areas whose counts a thing in `area` belongs to.
  std::vector<std::int32_t> areasFor(std::int32_t area) const {
    return together_ ? std::vector<std::int32_t>{area, kAllAreas} : std::vector<std::int32_t>{area};
  }

  void countLooks() {
    for (std::size_t i = 0; i < input_.looks.size(); ++i) {
      const LookEvent& look = input_.looks[i];
      if (!counts(look.date)) continue;
      for (const auto area : areasFor(look.area)) {
        auto& row = at(area, look.date);
        const auto one = [&](Count count) { tally(row, count, area, look.date, CountedThing::From::Look, i); };
        one(&ChangeCounts::looks);
        if (look.planned && look.door >= 0 && isNew(area, look.date, kDoorTag, look.door)) one(&ChangeCounts::planned_doors);
        if (!look.visit) continue;
        one(&ChangeCounts::visits);
        if (look.door >= 0 && isNew(area, look.date, kPremisesTag, look.door)) one(&ChangeCounts::premises);
        if (look.household >= 0 && isNew(area, look.date, kHouseholdTag, look.household)) one(&ChangeCounts::households);
      }
    }
  }

  /// True the first time that an animal comes with this area, span and tag; always for animals that aren't told apart.
  bool isNew(std::int32_t area, Date date, int tag, std::int64_t animal) {
    return animal < 0 || seen_.emplace(area, spanOf(date).index, tag, animal).second;
  }

  void countMet() {
    const auto add = [&](const MetEvent& met, std::int32_t area, Count count) {
      tally(at(area, met.date), count, area, met.date, CountedThing::From::Met, static_cast<std::size_t>(&met - input_.met.data()));
    };
    std::unordered_map<std::int64_t, const MetEvent*> first;
    for (const auto& met : input_.met) {
      if (met.animal < 0) continue;
      auto& earliest = first[met.animal];
      if (earliest == nullptr || met.date < earliest->date) earliest = &met;
    }
    for (const auto& [animal, met] : first) {
      if (!met->planned || !counts(met->date)) continue;
      for (const auto area : areasFor(met->area)) add(*met, area, &ChangeCounts::first_met);
    }
    for (const auto& met : input_.met) {
      if (!counts(met.date)) continue;
      for (const auto area : areasFor(met.area)) {
        if (isNew(area, met.date, kMetTag, met.animal)) add(met, area, &ChangeCounts::dogs_met);
      }
    }
  }

  void countOutcomes() {
    std::map<std::int64_t, const OutcomeEvent*> first_neutered;
    for (const auto& event : input_.outcomes) {
      if (event.kind == OutcomeKind::Neutered && event.animal >= 0) {
        auto& first = first_neutered[event.animal];
        if (!first || event.date < first->date) first = &event;
        continue;
      }
      if (counts(event.date)) add(event);
    }
    for (const auto& [animal, event] : first_neutered) {
      if (counts(event->date)) add(*event);
    }
  }

  void add(const OutcomeEvent& event) {
    for (const auto area : areasFor(event.area)) {
      if (!isNew(area, event.date, static_cast<int>(event.kind), event.animal)) continue;
      const Count count = event.kind == OutcomeKind::GivenUp ? &ChangeCounts::given_up : event.kind == OutcomeKind::Neutered ? &ChangeCounts::neutered : &ChangeCounts::referred;
      tally(at(area, event.date), count, area, event.date, CountedThing::From::Outcome, static_cast<std::size_t>(&event - input_.outcomes.data()));
    }
  }

  Result<void> judgeAnimals(Progress& progress) {
    for (std::size_t i = 0; i < input_.animals.size(); ++i) {
      if (i % 256 == 0) {
        LEEWARD_TRY(progress.checkStop());
        progress.report(static_cast<double>(i) / static_cast<double>(input_.animals.size()), "Comparing checks");
      }
      judgeAnimal(input_.animals[i], static_cast<std::int64_t>(i));
    }
    return {};
  }

  /// Judges an animal at the end of each period in which it was checked: between checks nothing can change.
  void judgeAnimal(const CheckedAnimal& animal, std::int64_t number) {
    std::set<Period> periods;
    for (const auto& check : animal.found) {
      if (check.date <= request_.as_of) periods.insert(periodOf(check.date, request_.every));
    }
    bool was_improved = false;
    std::optional<std::pair<Date, Change>> latest;
    for (const auto& period : periods) {
      const Date end = std::min(period.last(), request_.as_of);
      const auto judgement = judge(animal.found, request_.rule, end);
      const bool is_improved = judgement.change == Change::Improved;
      if (counts(end)) {
        for (const auto area : areasFor(animal.area)) {
          const Date decided = judgement.latest.value_or(end);
          if (is_improved && !was_improved && isNew(area, end, kImprovedTag, number)) addAnimal(&ChangeCounts::improved, area, end, decided, number);
          if (!together_ && judgement.latest && *judgement.latest >= period.first()) addRecheck(judgement.change, area, end, decided, number);
        }
        if (judgement.latest && counts(*judgement.latest)) latest = {*judgement.latest, judgement.change};
      }
      was_improved = is_improved;
    }
    if (!together_ || !latest) return;
    for (const auto area : areasFor(animal.area)) addRecheck(latest->second, area, latest->first, latest->first, number);
  }

  void addAnimal(Count count, std::int32_t area, Date counted_on, Date decided, std::int64_t number) {
    tally(at(area, counted_on), count, area, counted_on, CountedThing::From::Animal, static_cast<std::size_t>(number), decided);
  }
  void addRecheck(Change change, std::int32_t area, Date counted_on, Date decided, std::int64_t number) {
    addAnimal(&ChangeCounts::rechecked, area, counted_on, decided, number);
    if (change == Change::Improved) addAnimal(&ChangeCounts::rechecked_improved, area, counted_on, decided, number);
  }

  static constexpr int kMetTag = -1, kImprovedTag = -2, kDoorTag = -3, kPremisesTag = -4, kHouseholdTag = -5;  ///< beside the numbers of OutcomeKind
  const ChangedInput& input_;
  const ChangedRequest& request_;
  const bool together_;
  std::map<Key, ChangeCounts> counts_;
  struct Sought {
    Count count;
    Key key;
  };
  std::optional<Sought> sought_;
  std::vector<CountedThing> found_;
  using Seen = std::tuple<std::int32_t, std::int32_t, int, std::int64_t>;
  struct SeenHash {
    std::size_t operator()(const Seen& seen) const {
      std::uint64_t hash = 0;
      std::apply([&](auto... part) { ((hash = (hash ^ static_cast<std::uint64_t>(part)) * 0x9E3779B97F4A7C15ULL, hash ^= hash >> 29U), ...); }, seen);
      return hash;
    }
  };
  std::unordered_set<Seen, SeenHash> seen_;
};

std::vector<ChangedRow> Counter::periodRows() const {
  std::vector<ChangedRow> rows;
  std::optional<Period> first;
  std::optional<Date> begins;
  if (!request_.from) {
    for (const auto& look : input_.looks) begins = std::min(begins.value_or(look.date), look.date);
  }
  if (request_.from) first = periodOf(*request_.from, request_.every);
  if (!first) {
    for (const auto& [key, row] : counts_) first = first ? std::min(*first, key.second) : key.second;
  }
  const auto last = periodOf(request_.as_of, request_.every);
  if (!first || *first > last) return rows;
  const auto addPeriods = [&](std::int32_t area) {
    for (Period period = *first; period <= last; ++period.index) {
      const auto found = counts_.find({area, period});
      const bool cut_short = begins && periodOf(*begins, request_.every) == period && *begins > period.first();
      rows.push_back({found == counts_.end() ? ChangeCounts{} : found->second, area, period, period.last() <= request_.as_of, cut_short ? begins : std::nullopt});
    }
  };
  for (std::size_t area = 0; area < request_.areas; ++area) addPeriods(static_cast<std::int32_t>(area));
  const bool any_outside = std::any_of(counts_.begin(), counts_.end(), [](const auto& row) { return row.first.first == -1; });
  if (any_outside) addPeriods(-1);
  return rows;
}

std::vector<ChangedTotal> Counter::totalRows() const {
  std::vector<ChangedTotal> rows;
  if (counts_.empty()) return rows;
  const auto add = [&](std::int32_t area) {
    const auto found = counts_.find({area, Period{request_.every, 0}});
    if (found != counts_.end()) rows.push_back({found->second, area});
    else if (area >= 0) rows.push_back({ChangeCounts{}, area});
  };
  for (std::size_t area = 0; area < request_.areas; ++area) add(static_cast<std::int32_t>(area));
  add(-1);
  add(kAllAreas);
  return rows;
}

Result<Counter> counted(Counter counter, const ChangedRequest& request, Progress& progress) {
  LEEWARD_TRY(validate(request.rule));
  LEEWARD_TRY(counter.checkAreas());
  LEEWARD_TRY(counter.count(progress));
  return counter;
}

}  // namespace

Result<std::vector<ChangedRow>> countChanges(const ChangedInput& input, const ChangedRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(counter, counted(Counter(input, request, false), request, progress));
  return counter.periodRows();
}

Result<std::vector<CountedThing>> thingsCounted(const ChangedInput& input, const ChangedRequest& request, Count count, std::int32_t area, Period period, Progress& progress) {
  Counter seeking(input, request, false);
  seeking.seek(count, area, period);
  LEEWARD_ASSIGN(counter, counted(std::move(seeking), request, progress));
  return counter.found();
}

Result<std::vector<ChangedTotal>> countTotals(const ChangedInput& input, const ChangedRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(counter, counted(Counter(input, request, true), request, progress));
  return counter.totalRows();
}

}  // namespace leeward::analysis
