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
  /// The areas whose counts a thing in `area` belongs to.
  std::vector<std::int32_t> areasFor(std::int32_t area) const {
    return together_ ? std::vector<std::int32_t>{area, kAllAreas} : std::vector<std::int32_t>{area};
  }

  void countLooks() {
    for (const auto& look : input_.looks) {
      if (!counts(look.date)) continue;
      for (const auto area : areasFor(look.area)) {
        auto& row = at(area, look.date);
        ++row.looks;
        if (look.planned && look.door >= 0 && isNew(area, look.date, kDoorTag, look.door)) ++row.planned_doors;
        if (!look.visit) continue;
        ++row.visits;
        if (look.door >= 0 && isNew(area, look.date, kPremisesTag, look.door)) ++row.premises;
        if (look.household >= 0 && isNew(area, look.date, kHouseholdTag, look.household)) ++row.households;
      }
    }
  }

  /// True the first time that an animal comes with this area, span and tag; always for animals that aren't told apart.
  bool isNew(std::int32_t area, Date date, int tag, std::int64_t animal) {
    return animal < 0 || seen_.emplace(area, spanOf(date).index, tag, animal).second;
  }

  void countMet() {
    std::unordered_map<std::int64_t, const MetEvent*> first;
    for (const auto& met : input_.met) {
      if (met.animal < 0) continue;
      auto& earliest = first[met.animal];
      if (earliest == nullptr || met.date < earliest->date) earliest = &met;
    }
    for (const auto& [animal, met] : first) {
      if (!met->planned || !counts(met->date)) continue;
      for (const auto area : areasFor(met->area)) ++at(area, met->date).first_met;
    }
    for (const auto& met : input_.met) {
      if (!counts(met.date)) continue;
      for (const auto area : areasFor(met.area)) {
        if (isNew(area, met.date, kMetTag, met.animal)) ++at(area, met.date).dogs_met;
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
      auto& row = at(area, event.date);
      ++(event.kind == OutcomeKind::GivenUp ? row.given_up : event.kind == OutcomeKind::Neutered ? row.neutered : row.referred);
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
          auto& row = at(area, end);
          if (is_improved && !was_improved && isNew(area, end, kImprovedTag, number)) ++row.improved;
          if (!together_ && judgement.latest && *judgement.latest >= period.first()) addRecheck(row, judgement.change);
        }
        if (judgement.latest && counts(*judgement.latest)) latest = {*judgement.latest, judgement.change};
      }
      was_improved = is_improved;
    }
    if (!together_ || !latest) return;
    for (const auto area : areasFor(animal.area)) addRecheck(at(area, latest->first), latest->second);
  }

  static void addRecheck(ChangeCounts& row, Change change) {
    ++row.rechecked;
    if (change == Change::Improved) ++row.rechecked_improved;
  }

  static constexpr int kMetTag = -1, kImprovedTag = -2, kDoorTag = -3, kPremisesTag = -4, kHouseholdTag = -5;  ///< beside the numbers of OutcomeKind
  const ChangedInput& input_;
  const ChangedRequest& request_;
  const bool together_;
  std::map<Key, ChangeCounts> counts_;
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

Result<Counter> counted(const ChangedInput& input, const ChangedRequest& request, bool together, Progress& progress) {
  LEEWARD_TRY(validate(request.rule));
  Counter counter(input, request, together);
  LEEWARD_TRY(counter.checkAreas());
  LEEWARD_TRY(counter.count(progress));
  return counter;
}

}  // namespace

Result<std::vector<ChangedRow>> countChanges(const ChangedInput& input, const ChangedRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(counter, counted(input, request, false, progress));
  return counter.periodRows();
}

Result<std::vector<ChangedTotal>> countTotals(const ChangedInput& input, const ChangedRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(counter, counted(input, request, true, progress));
  return counter.totalRows();
}

}  // namespace leeward::analysis
