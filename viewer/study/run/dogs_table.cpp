// dogsTable(): a row an animal that was met, with its outcome by the rules.
#include <optional>
#include <string>
#include <vector>

#include "shared/base/text.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

std::string dayOr(const std::optional<Date>& day) { return day ? toIso(*day) : ""; }

/// The latest day on which each animal was met with permission; nothing for those that were only seen or told of.
std::vector<std::optional<Date>> lastMet(const Book& book) {
  std::vector<std::optional<Date>> last(book.dogs.animals.size());
  for (std::size_t row = 0; row < book.animal_rows.size(); ++row) {
    if (!book.animal_rows[row].met) continue;
    const auto keep = [&](std::int64_t animal) {
      auto& day = last[static_cast<std::size_t>(animal)];
      day = std::max(day.value_or(book.animal_rows[row].date), book.animal_rows[row].date);
    };
    if (book.dogs.animal[row] >= 0) keep(book.dogs.animal[row]);
    for (const auto animal : book.dogs.more[row]) keep(animal);
  }
  return last;
}

}  // namespace

Table dogsTable(const Book& book, const analysis::ImprovedRule& rule) {
  std::vector<std::string> premises, address, name, kind, first_met, last_met, change, why_not, first, latest, standing, since, followed, neutered, need, unclear;
  std::vector<std::int64_t> checks, compared, unmet_first, unmet_latest;
  const auto met = lastMet(book);
  for (std::size_t i = 0; i < book.histories.size(); ++i) {
    const auto& animal = book.dogs.animals[i];
    const auto& history = book.histories[i];
    if (!animal.first_met && history.told.empty()) continue;  // seen only: nothing came of it yet
    const auto outcome = analysis::outcomeOf(history, rule);
    const auto& judged = outcome.judgement;
    const bool has_door = animal.premises >= 0;
    premises.push_back(has_door ? book.doors.id[static_cast<std::size_t>(animal.premises)] : "");
    address.push_back(has_door ? book.doors.address[static_cast<std::size_t>(animal.premises)] : "");
    name.push_back(animal.name), kind.push_back(animal.kind);
    first_met.push_back(dayOr(animal.first_met)), last_met.push_back(dayOr(met[i]));
    checks.push_back(static_cast<std::int64_t>(history.found.size()));
    change.emplace_back(analysis::words(judged.change)), why_not.emplace_back(analysis::words(judged.why_not));
    first.push_back(dayOr(judged.first)), latest.push_back(dayOr(judged.latest));
    compared.push_back(judged.compared), unmet_first.push_back(judged.unmet_first), unmet_latest.push_back(judged.unmet_latest);
    standing.emplace_back(analysis::words(outcome.standing)), since.push_back(dayOr(outcome.since)), followed.push_back(outcome.followed);
    neutered.push_back(dayOr(outcome.neutered));
    need.emplace_back(!outcome.in_need ? "" : *outcome.in_need ? "yes" : "no");
    std::vector<std::string> reasons;
    for (const auto one : outcome.unclear) reasons.emplace_back(analysis::words(one));
    unclear.push_back(join(reasons, "; "));
  }
  return TableMaker{}
      .named("premises_id", premises).named("address", address).named("dog_name", name).texts("kind", kind).named("first_met", first_met).named("last_met", last_met)
      .integers("checks", checks).texts("change", change).named("why_not", why_not).named("first_check", first).named("latest_check", latest)
      .integers("compared", compared).integers("unmet_first", unmet_first).integers("unmet_latest", unmet_latest).texts("standing", standing).named("since", since)
      .named("followed", followed).named("neutered", neutered).named("in_need", need).named("unclear", unclear).done();
}

}  // namespace leeward::study
