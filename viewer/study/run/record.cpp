// recordOf(): from the book's tables to the columns that coverage, need and rounds work on.
#include <algorithm>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "viewer/study/reference.h"
#include "viewer/study/run/book.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using analysis::DoorResult;
using analysis::Known;
using analysis::LookKind;
using analysis::WhyHere;

template <class Value>
Value wordIn(const std::map<std::string, Value>& words, const std::string& word, Value other) {
  const auto found = words.find(word);
  return found == words.end() ? other : found->second;
}

const std::map<std::string, LookKind> kLookKinds = {{"knock", LookKind::Knock}, {"street", LookKind::Street}, {"call", LookKind::Call}, {"track", LookKind::Track}};
const std::map<std::string, WhyHere> kWhys = {{"planned", WhyHere::Planned}, {"passing", WhyHere::Passing}, {"caller", WhyHere::Caller},
                                              {"owner_asked", WhyHere::OwnerAsked}, {"return", WhyHere::Return}};
const std::map<std::string, DoorResult> kResults = {
    {"welcomed", DoorResult::Welcomed}, {"declined", DoorResult::Declined}, {"asked_not_to_return", DoorResult::AskedNotToReturn},
    {"nobody_home", DoorResult::NobodyHome}, {"no_dog", DoorResult::NoDog}, {"no_access", DoorResult::NoAccess}, {"vacant", DoorResult::Vacant}};

/// Whether a critical item was unmet at a first check as found: known only where every critical item was seen, so that the share of "yes" isn't
/// raised by checks that were cut short after the first bad item.
Known criticalIn(const analysis::ConditionCheck& check) {
  const auto items = analysis::conditionItems();
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (items[i].critical && check.items[i] == analysis::ItemState::NotSeen) return Known::Unknown;
  }
  return analysis::criticalUnmet(check) > 0 ? Known::Yes : Known::No;
}

void fillLooks(const Book& book, analysis::Looks& looks) {
  const auto kind = textsOf(book.looks, "look"), why = textsOf(book.looks, "why_here"), result = textsOf(book.looks, "door_result");
  const Column& seen = columnOf(book.looks, "dogs_seen");
  const Column& met = columnOf(book.looks, "dogs_met");
  looks.reserve(book.looks.rows());
  for (std::size_t row = 0; row < book.looks.rows(); ++row) {
    looks.door.push_back(book.look_door[row]);
    looks.block.push_back(book.look_block[row]);
    looks.date.push_back(book.look_date[row]);
    looks.kind.push_back(wordIn(kLookKinds, kind[row], LookKind::Knock));
    looks.why.push_back(wordIn(kWhys, why[row], WhyHere::Passing));
    looks.result.push_back(wordIn(kResults, result[row], DoorResult::NotSaid));
    looks.dogs_seen.push_back(static_cast<std::int32_t>(seen.asInteger(row).value_or(analysis::kNotSaid)));
    looks.dogs_met.push_back(static_cast<std::int32_t>(met.asInteger(row).value_or(analysis::kNotSaid)));
  }
}

void fillAnimals(const Book& book, const analysis::ImprovedRule& rule, analysis::Animals& animals) {
  const auto& dogs = book.dogs.animals;
  std::vector<std::optional<Date>> last_visit(dogs.size());
  const Column& met_in_all = columnOf(book.looks, "dogs_met");
  for (std::size_t row = 0; row < book.visits.rows(); ++row) {
    if (book.visit_animal[row] < 0 || met_in_all.asInteger(book.visit_look[row]) == 0) continue;  // named there, not met
    auto& last = last_visit[static_cast<std::size_t>(book.visit_animal[row])];
    last = std::max(last.value_or(book.look_date[book.visit_look[row]]), book.look_date[book.visit_look[row]]);
  }
  const auto why = textsOf(book.looks, "why_here");
  animals.reserve(dogs.size());
  for (std::size_t i = 0; i < dogs.size(); ++i) {
    const auto& source = book.animal_sources[dogs[i].first_row];
    const bool sighted = source.from == AnimalSource::From::Sighting;
    const std::size_t look = source.from == AnimalSource::From::Visit ? book.visit_look[source.row] : source.row;
    animals.door.push_back(static_cast<std::int32_t>(dogs[i].premises));
    animals.block.push_back(sighted ? book.sighting_block[source.row] : book.look_block[look]);
    animals.first_seen.push_back(dogs[i].first_seen);
    animals.first_met.push_back(dogs[i].first_met);
    animals.last_seen.push_back(dogs[i].last_seen);
    animals.by_planned_look.push_back(!sighted && why[look] == "planned" ? 1 : 0);
    const auto outcome = analysis::outcomeOf(book.histories[i], rule);
    const bool is_gone = outcome.standing != analysis::Standing::There && outcome.standing != analysis::Standing::LostContact;
    animals.gone.push_back(is_gone ? outcome.since : std::nullopt);
    animals.last_visit.push_back(last_visit[i]);
    animals.critical_first_found.push_back(book.histories[i].found.empty() ? Known::Unknown : criticalIn(book.histories[i].found.front()));
    animals.critical_last_left.push_back(!outcome.in_need ? Known::Unknown : *outcome.in_need ? Known::Yes : Known::No);
  }
}

}  // namespace

analysis::Record recordOf(const RunContext& context, const Book& book) {
  analysis::Record record;
  const Layer* blocks = context.layer("blocks");
  record.blocks = blocks == nullptr ? 0 : blocks->rows();
  record.doors.block = book.doors.block;
  record.doors.position = book.doors.position;
  record.doors.asked_not_to_return = book.doors.asked_not_to_return;
  fillLooks(book, record.looks);
  fillAnimals(book, improvedRule(context.study), record.animals);
  for (const auto& [word, kind] : kLookKinds) {
    const auto chances = context.study.chance_of_seeing.find(word);
    if (chances != context.study.chance_of_seeing.end()) std::ranges::copy(chances->second, record.chance_of_seeing[static_cast<std::size_t>(kind)].begin());
  }
  record.half_life_days = context.study.half_life_days;
  record.service_interval_days = context.study.service_interval_days;
  record.as_of = context.as_of;
  return record;
}

}  // namespace leeward::study
