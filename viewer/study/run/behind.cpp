#include "viewer/study/run/behind.h"

#include <algorithm>
#include <map>
#include <string>

#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using analysis::CountedThing;

/// The looks at which an animal was checked, by animal and day.
std::map<std::pair<std::size_t, Date>, std::size_t> checkedLooks(const Book& book) {
  std::map<std::pair<std::size_t, Date>, std::size_t> looks;
  for (std::size_t visit = 0; visit < book.visits.rows(); ++visit) {
    const auto animal = book.visit_animal[visit];
    const std::size_t look = book.visit_look[visit];
    if (animal >= 0) looks[{static_cast<std::size_t>(animal), book.look_date[look]}] = look;
  }
  return looks;
}

std::string outcomeWords(analysis::OutcomeKind kind) {
  switch (kind) {
    case analysis::OutcomeKind::GivenUp: return "given up";
    case analysis::OutcomeKind::Neutered: return "neutered";
    case analysis::OutcomeKind::Referred: return "referred";
  }
  return {};
}

}  // namespace

Table behindTable(const Book& book, const BookEvents& events, std::vector<CountedThing> things) {
  std::ranges::stable_sort(things, {}, &CountedThing::date);
  const auto checked = checkedLooks(book);
  const auto kind = textsOf(book.looks, "look"), result = textsOf(book.looks, "door_result"), crews = textsOf(book.looks, "crew"), typed = textsOf(book.looks, "address"),
             keys = textsOf(book.looks, "source_key"), ids = textsOf(book.looks, "id");
  std::vector<std::string> date, premises, address, dog, what, crew, visit_id, look_id;
  for (const auto& thing : things) {
    std::size_t look = thing.row;
    std::int64_t animal = -1;
    std::string words;
    switch (thing.from) {
      case CountedThing::From::Look:
        words = kind[look] + (result[look].empty() ? "" : ", " + result[look]);
        break;
      case CountedThing::From::Met:
        look = events.met_look[thing.row], animal = events.met[thing.row].animal, words = "met";
        break;
      case CountedThing::From::Outcome:
        look = events.outcome_look[thing.row], animal = events.outcomes[thing.row].animal, words = outcomeWords(events.outcomes[thing.row].kind);
        break;
      case CountedThing::From::Animal:
        look = checked.at({thing.row, thing.date}), animal = static_cast<std::int64_t>(thing.row), words = "checked, and compared with its first check";
        break;
    }
    std::ranges::replace(words, '_', ' ');
    const auto door = book.look_door[look];
    date.push_back(toIso(thing.date)), what.push_back(words), crew.push_back(crews[look]), visit_id.push_back(keys[look]), look_id.push_back(ids[look]);
    premises.push_back(door < 0 ? "" : book.doors.id[static_cast<std::size_t>(door)]);
    address.push_back(door < 0 ? typed[look] : book.doors.address[static_cast<std::size_t>(door)]);
    dog.push_back(animal < 0 ? "" : book.dogs.animals[static_cast<std::size_t>(animal)].name);
  }
  return TableMaker{}.texts("date", date).named("premises_id", premises).texts("address", address).named("dog_name", dog).texts("what", what).named("crew", crew).texts("visit_id", visit_id)
      .texts("look_id", look_id).done();
}

}  // namespace leeward::study
