#include "analysis/outcomes/changed.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace leeward::analysis {
namespace {

class Counter {
 public:
  Counter(const ChangedInput& input, const ChangedRequest& request) : input_(input), request_(request) {}

  Result<void> checkAreas() const {
    const auto fits = [&](const auto& row) { return row.area >= -1 && row.area < static_cast<std::int64_t>(request_.areas); };
    const bool ok = std::all_of(input_.looks.begin(), input_.looks.end(), fits) &&
                    std::all_of(input_.met.begin(), input_.met.end(), fits) &&
                    std::all_of(input_.outcomes.begin(), input_.outcomes.end(), fits) &&
                    std::all_of(input_.animals.begin(), input_.animals.end(), fits);
    if (ok) return {};
    return Problem{ProblemCode::InvalidArgument, "an event names an area that does not exist", "", ""};
  }

  Result<std::vector<ChangedRow>> run(Progress& progress) {
    LEEWARD_TRY(progress.checkStop());
    countLooks();
    countMet();
    countOutcomes();
    LEEWARD_TRY(judgeAnimals(progress));
    return table();
  }

 private:
  using Key = std::pair<std::int32_t, Period>;

  bool counts(Date date) const {
    if (date > request_.as_of) return false;
    return !request_.from || date >= periodOf(*request_.from, request_.every).first();
  }
  ChangedRow& at(std::int32_t area, Date date) { return rows_[{area, periodOf(date, request_.every)}]; }

  void countLooks() {
    for (const auto& look : input_.looks) {
      if (!counts(look.date)) continue;
      auto& row = at(look.area, look.date);
      ++row.looks;
      if (look.visit) ++row.visits;
    }
  }

  /// True the first time that an animal comes with this area, period and tag; always for animals that aren't told apart.
  bool isNew(std::int32_t area, Date date, int tag, std::int64_t animal) {
    return animal < 0 || seen_.emplace(area, periodOf(date, request_.every).index, tag, animal).second;
  }

  void countMet() {
    for (const auto& met : input_.met) {
      if (counts(met.date) && isNew(met.area, met.date, -1, met.animal)) ++at(met.area, met.date).dogs_met;
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
      if (!counts(event.date) || !isNew(event.area, event.date, static_cast<int>(event.kind), event.animal)) continue;
      add(event);
    }
    for (const auto& [animal, event] : first_neutered) {
      if (counts(event->date)) add(*event);
    }
  }

  void add(const OutcomeEvent& event) {
    auto& row = at(event.area, event.date);
    switch (event.kind) {
      case OutcomeKind::GivenUp:
        ++row.given_up;
        break;
      case OutcomeKind::Neutered:
        ++row.neutered;
        break;
      case OutcomeKind::Referred:
        ++row.referred;
        break;
    }
  }

  Result<void> judgeAnimals(Progress& progress) {
    for (std::size_t i = 0; i < input_.animals.size(); ++i) {
      if (i % 256 == 0) {
        LEEWARD_TRY(progress.checkStop());
        progress.report(static_cast<double>(i) / static_cast<double>(input_.animals.size()), "Comparing checks");
      }
      judgeAnimal(input_.animals[i]);
    }
    return {};
  }

  /// Judges an animal at the end of each period in which it was checked: between checks nothing can change.
  void judgeAnimal(const CheckedAnimal& animal) {
    std::set<Period> periods;
    for (const auto& check : animal.found) {
      if (check.date <= request_.as_of) periods.insert(periodOf(check.date, request_.every));
    }
    bool was_improved = false;
    for (const auto& period : periods) {
      const auto judgement = judge(animal.found, request_.rule, std::min(period.last(), request_.as_of));
      const bool is_improved = judgement.change == Change::Improved;
      if (counts(period.last() < request_.as_of ? period.last() : request_.as_of)) {
        auto& row = rows_[{animal.area, period}];
        if (is_improved && !was_improved) ++row.improved;
        if (judgement.latest && *judgement.latest >= period.first()) {
          ++row.rechecked;
          if (is_improved) ++row.rechecked_improved;
        }
      }
      was_improved = is_improved;
    }
  }

  std::vector<ChangedRow> table() {
    std::vector<ChangedRow> rows;
    std::optional<Period> first;
    if (request_.from) first = periodOf(*request_.from, request_.every);
    if (!first) {
      for (const auto& [key, row] : rows_) first = first ? std::min(*first, key.second) : key.second;
    }
    const auto last = periodOf(request_.as_of, request_.every);
    if (!first || *first > last) return rows;
    const auto addPeriods = [&](std::int32_t area) {
      for (Period period = *first; period <= last; ++period.index) {
        auto row = rows_[{area, period}];
        row.area = area;
        row.period = period;
        row.complete = period.last() <= request_.as_of;
        rows.push_back(row);
      }
    };
    for (std::size_t area = 0; area < request_.areas; ++area) addPeriods(static_cast<std::int32_t>(area));
    const bool any_outside = std::any_of(rows_.begin(), rows_.end(), [](const auto& row) { return row.first.first == -1; });
    if (any_outside) addPeriods(-1);
    return rows;
  }

  const ChangedInput& input_;
  const ChangedRequest& request_;
  std::map<Key, ChangedRow> rows_;
  std::set<std::tuple<std::int32_t, std::int32_t, int, std::int64_t>> seen_;
};

}  // namespace

Result<std::vector<ChangedRow>> countChanges(const ChangedInput& input, const ChangedRequest& request, Progress& progress) {
  LEEWARD_TRY(validate(request.rule));
  Counter counter(input, request);
  LEEWARD_TRY(counter.checkAreas());
  return counter.run(progress);
}

}  // namespace leeward::analysis
