#include "viewer/study/run/book.h"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <map>
#include <string>
#include <unordered_set>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/overlay/locate.h"
#include "shared/base/hash.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// Those rows; the table itself where they are all, which most often they are.
Table only(Table table, const std::vector<std::size_t>& rows) { return rows.size() == table.rows() ? std::move(table) : table.take(rows); }

/// The rows whose `date` is not after as_of.
Table upTo(Table table, Date as_of) {
  const Column& dates = columnOf(table, "date");
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto date = dateAt(dates, row);
    if (date && *date <= as_of) rows.push_back(row);
  }
  return only(std::move(table), rows);
}

/// Rows by id; the ids' letters are the table's, which must outlive this.
using RowOf = std::unordered_map<std::string_view, std::size_t>;

/// The rows that name an id that is kept.
Table ofKept(Table table, const std::string& column, const RowOf& kept) {
  const Column& ids = columnOf(table, column);
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (kept.contains(ids.textAt(row))) rows.push_back(row);
  }
  return only(std::move(table), rows);
}

RowOf rowsById(const Table& table) {
  RowOf rows;
  rows.reserve(table.rows());
  const Column& ids = columnOf(table, "id");
  for (std::size_t row = 0; row < table.rows(); ++row) rows.emplace(ids.textAt(row), row);
  return rows;
}

/// `named`: ids of the premises that the rows up to as_of name. Doors that only later rows made known are left out, so that frozen
/// figures stay.
Result<DoorList> readDoors(RunContext& context, const std::unordered_set<std::string>& named, Progress& progress) {
  DoorList doors;
  std::unordered_map<std::string, std::int32_t> of_public;
  if (const Layer* premises = context.layer("premises")) {
    const auto points = addressPoints(*premises);
    for (std::size_t row = 0; row < points.size(); ++row) {
      of_public.try_emplace(points.id[row], static_cast<std::int32_t>(doors.size()));
      doors.id.push_back(points.id[row]);
      doors.address.push_back(points.number[row] + " " + points.street[row] + (points.unit.empty() || points.unit[row].empty() ? "" : " " + points.unit[row]));
      doors.position.push_back(points.position[row]);
    }
  }
  doors.public_doors = doors.size();
  LEEWARD_ASSIGN(known, context.ledger.read(Entity::Premises));
  LEEWARD_ASSIGN(to_frame, Transform::between(context.positions(), context.frame));
  const auto ids = textsOf(known, "id"), public_ids = textsOf(known, "public_id"), addresses = textsOf(known, "address");
  std::vector<std::int32_t> door_of(known.rows());
  for (std::size_t row = 0; row < known.rows(); ++row) {
    const auto found = of_public.find(public_ids[row]);
    if (!public_ids[row].empty() && found != of_public.end()) {
      door_of[row] = found->second;
    } else if (!named.contains(ids[row])) {
      door_of[row] = -1;
      continue;
    } else {
      door_of[row] = static_cast<std::int32_t>(doors.size());
      const auto at = pointAt(known, row);
      doors.id.push_back(ids[row]);
      doors.address.push_back(addresses[row]);
      doors.position.push_back(at ? to_frame(*at) : Point{kNan, kNan});
    }
    doors.of_premises.emplace(ids[row], door_of[row]);
  }
  doors.asked_not_to_return.resize(doors.size());
  doors.hazard.resize(doors.size());
  const Column& asked = columnOf(known, "asked_not_to_return");
  const auto hazards = textsOf(known, "hazard");
  for (std::size_t row = 0; row < known.rows(); ++row) {
    if (door_of[row] < 0) continue;
    const auto door = static_cast<std::size_t>(door_of[row]);
    doors.asked_not_to_return[door] = dateAt(asked, row);
    doors.hazard[door] = hazards[row];
  }
  LEEWARD_ASSIGN(blocks, areaOf(context.layer("blocks"), doors.position, progress));
  doors.block = std::move(blocks);
  return doors;
}

/// Where each row is: its door's position, else its placement's, else what the phone said.
Result<void> locateRows(RunContext& context, const Table& rows, const DoorList& doors, const Table& placements, std::vector<std::int32_t>& door,
                        std::vector<Point>& position, std::vector<std::int32_t>& block, Progress& progress) {
  LEEWARD_ASSIGN(to_frame, Transform::between(context.positions(), context.frame));
  const auto placement_row = rowsById(placements);
  const auto premises = textsOf(rows, "premises_id"), placement = textsOf(rows, "placement_id");
  const auto decision = textsOf(placements, "decision");
  door.assign(rows.rows(), -1);
  position.assign(rows.rows(), Point{kNan, kNan});
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (const auto found = doors.of_premises.find(premises[row]); found != doors.of_premises.end()) {
      door[row] = found->second;
      position[row] = doors.position[static_cast<std::size_t>(found->second)];
      continue;
    }
    const auto at = placement_row.find(placement[row]);
    if (at != placement_row.end() && decision[at->second] == "placed") {
      if (const auto point = pointAt(placements, at->second)) position[row] = to_frame(*point);
    } else if (const auto point = pointAt(rows, row)) {
      position[row] = to_frame(*point);
    }
  }
  LEEWARD_ASSIGN(found, areaOf(context.layer("blocks"), position, progress));
  block = std::move(found);
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (door[row] >= 0) block[row] = doors.block[static_cast<std::size_t>(door[row])];
  }
  return {};
}

void readChecks(Book& book) {
  const auto visit_row = rowsById(book.visits);
  const auto visit = textsOf(book.checks, "visit_id"), moment = textsOf(book.checks, "moment"), items = textsOf(book.checks, "items"),
             scale = textsOf(book.checks, "body_scale");
  const Column& condition = columnOf(book.checks, "body_condition");
  struct Both {
    std::optional<analysis::ConditionCheck> found, left;
  };
  std::map<std::size_t, Both> of_visit;  // in the visits' order, which decides between checks of one day
  for (std::size_t row = 0; row < book.checks.rows(); ++row) {
    const std::size_t of = visit_row.at(visit[row]);
    if (book.visit_animal[of] < 0) continue;
    analysis::ConditionCheck check;
    check.date = book.look_date[book.visit_look[of]];
    if (auto read = analysis::parseItems(items[row])) check.items = *read;
    if (const auto step = condition.asInteger(row)) check.body_condition = static_cast<int>(*step);
    check.body_scale = analysis::parseBodyScale(scale[row]);
    (moment[row] == "found" ? of_visit[of].found : of_visit[of].left) = check;
  }
  for (const auto& [of, checks] : of_visit) {
    auto& history = book.histories[static_cast<std::size_t>(book.visit_animal[of])];
    if (checks.found) history.found.push_back(*checks.found);
    history.left.push_back(checks.found && checks.left ? analysis::asLeft(*checks.found, *checks.left) : checks.found ? *checks.found : *checks.left);
  }
  for (auto& history : book.histories) {
    for (auto* list : {&history.found, &history.left}) std::ranges::stable_sort(*list, {}, &analysis::ConditionCheck::date);
  }
}

std::optional<analysis::Told> toldOf(const std::string& outcome, const std::string& followed) {
  using enum analysis::Told;
  if (outcome == "given_up") return followed == "returned" ? Returned : GivenUp;
  static const std::map<std::string, analysis::Told> kWords = {{"moved", Moved}, {"died", Died}, {"lost_contact", LostContact}, {"neutered", Neutered},
                                                                {"referred", Referred}, {"improved", Improved}, {"unchanged", Unchanged}, {"worse", Worse}};
  const auto found = kWords.find(outcome);
  return found == kWords.end() ? std::nullopt : std::optional(found->second);
}

/// When each animal was seen, and what was written of it.
void readWords(Book& book) {
  for (std::size_t row = 0; row < book.animal_rows.size(); ++row) {
    if (book.animal_sources[row].from == AnimalSource::From::Visit && !book.animal_rows[row].met) continue;
    const auto add = [&](std::int64_t animal) {
      if (animal >= 0) book.histories[static_cast<std::size_t>(animal)].seen.push_back(book.animal_rows[row].date);
    };
    add(book.dogs.animal[row]);
    for (const auto animal : book.dogs.more[row]) add(animal);
  }
  const auto visit_row = rowsById(book.visits);
  const auto of = textsOf(book.outcomes, "visit_id"), outcome = textsOf(book.outcomes, "outcome"), followed = textsOf(book.outcomes, "followed");
  const Column& date = columnOf(book.outcomes, "date");
  for (std::size_t row = 0; row < book.outcomes.rows(); ++row) {
    const auto animal = book.visit_animal[visit_row.at(of[row])];
    const auto told = toldOf(outcome[row], followed[row]);
    if (animal >= 0 && told) book.histories[static_cast<std::size_t>(animal)].told.push_back({*dateAt(date, row), *told, followed[row]});
  }
  const auto confusable = analysis::confusableAnimals(book.dogs.animals);
  for (std::size_t i = 0; i < confusable.size(); ++i) book.histories[i].confusable = confusable[i];
}

/// Visit rows, dogs that a look met or saw beyond those described, and sightings, as rows to gather.
void listAnimals(Book& book) {
  const auto name = textsOf(book.visits, "name"), kind = textsOf(book.visits, "kind"), sex = textsOf(book.visits, "sex"),
             description = textsOf(book.visits, "description");
  std::vector<int> met(book.looks.rows());
  const auto add = [&](analysis::AnimalRow row, AnimalSource source) {
    book.animal_rows.push_back(std::move(row));
    book.animal_sources.push_back(source);
  };
  const Column& met_in_all = columnOf(book.looks, "dogs_met");
  for (std::size_t row = 0; row < book.visits.rows(); ++row) {
    const std::size_t look = book.visit_look[row];
    ++met[look];
    // Named at a look that met no dog ("moved away, says the neighbour"): an outcome, not a meeting.
    const bool were_none = met_in_all.asInteger(look) == 0;
    add({.met = !were_none, .look = static_cast<std::int64_t>(look), .premises = book.look_door[look], .where = book.look_position[look], .date = book.look_date[look],
         .name = name[row], .kind = kind[row], .sex = sex[row], .description = description[row]},
        {AnimalSource::From::Visit, row});
  }
  // Beyond those with a row of their own: first the others that were met, then those that were only seen.
  const Column& seen = columnOf(book.looks, "dogs_seen");
  const auto said = [](const Column& count, std::size_t look) { return static_cast<int>(std::min<std::int64_t>(count.asInteger(look).value_or(0), 100)); };
  for (std::size_t look = 0; look < book.looks.rows(); ++look) {
    const int all_met = std::max(met[look], said(met_in_all, look));
    for (const auto& [were_met, further] : {std::pair(true, all_met - met[look]), std::pair(false, said(seen, look) - all_met)}) {
      if (further <= 0) continue;
      add({.met = were_met, .look = static_cast<std::int64_t>(look), .premises = book.look_door[look], .where = book.look_position[look],
           .date = book.look_date[look], .count = further},
          {AnimalSource::From::Look, look});
    }
  }
  const auto what = textsOf(book.sightings, "what"), about = textsOf(book.sightings, "description");
  const Column& count = columnOf(book.sightings, "count");
  for (std::size_t row = 0; row < book.sightings.rows(); ++row) {
    const bool is_dog = what[row] == "dog" || what[row] == "heard";  // a house, pen, chain or sign shows no animal
    add({.premises = book.sighting_door[row], .where = book.sighting_position[row], .date = book.sighting_date[row], .description = about[row],
         .count = is_dog ? static_cast<int>(std::min<std::int64_t>(count.asInteger(row).value_or(1), 100)) : 0},
        {AnimalSource::From::Sighting, row});
  }
}

std::vector<Date> datesOf(const Table& table) {
  const Column& column = columnOf(table, "date");
  std::vector<Date> dates;
  for (std::size_t row = 0; row < table.rows(); ++row) dates.push_back(*dateAt(column, row));
  return dates;
}

}  // namespace

Result<std::vector<std::int32_t>> areaOf(const Layer* areas, const std::vector<Point>& points, Progress& progress) {
  std::vector<std::int32_t> rows(points.size(), -1);
  if (areas == nullptr || !areas->hasGeometry()) return rows;
  LEEWARD_ASSIGN(located, analysis::locate(points, {}, areas->geometry, progress));
  for (std::size_t i = 0; i < points.size(); ++i) rows[i] = located[i].area;
  return rows;
}

std::string bookKey(const RunContext& context, const std::string& ledger_state) {
  return stepKey("book", {ledger_state, toIso(context.as_of), context.keyOf("premises"), context.keyOf("blocks"), context.frame.definition()});
}

Result<Book> readBook(RunContext& context, Progress progress) {
  Book book;
  LEEWARD_ASSIGN(state, context.ledger.stateKey());
  book.key = bookKey(context, state);
  LEEWARD_ASSIGN(tables, context.ledger.read({Entity::Looks, Entity::Checks, Entity::Visits, Entity::Placements, Entity::Sightings, Entity::Outcomes, Entity::Referrals}, progress));
  Table &looks = tables[0], &checks = tables[1], &visits = tables[2], &placements = tables[3], &sightings = tables[4], &outcomes = tables[5], &referrals = tables[6];
  book.looks = upTo(std::move(looks), context.as_of);
  book.sightings = upTo(std::move(sightings), context.as_of);
  book.referrals = upTo(std::move(referrals), context.as_of);
  const auto look_row = rowsById(book.looks);
  book.visits = ofKept(std::move(visits), "look_id", look_row);
  const auto visit_row = rowsById(book.visits);
  book.checks = ofKept(std::move(checks), "visit_id", visit_row);
  book.outcomes = upTo(ofKept(std::move(outcomes), "visit_id", visit_row), context.as_of);
  book.look_date = datesOf(book.looks);
  book.sighting_date = datesOf(book.sightings);
  const Column& look_of = columnOf(book.visits, "look_id");
  for (std::size_t row = 0; row < book.visits.rows(); ++row) book.visit_look.push_back(look_row.at(look_of.textAt(row)));

  std::unordered_set<std::string> named;
  for (const Table* rows : {&book.looks, &book.sightings}) {
    for (auto& premises : textsOf(*rows, "premises_id")) named.insert(std::move(premises));
  }
  LEEWARD_ASSIGN(doors, readDoors(context, named, progress));
  book.doors = std::move(doors);
  LEEWARD_TRY(locateRows(context, book.looks, book.doors, placements, book.look_door, book.look_position, book.look_block, progress));
  LEEWARD_TRY(locateRows(context, book.sightings, book.doors, placements, book.sighting_door, book.sighting_position, book.sighting_block, progress));
  listAnimals(book);
  LEEWARD_ASSIGN(dogs, analysis::gatherAnimals(book.animal_rows, {}, progress));
  book.dogs = std::move(dogs);
  book.visit_animal.assign(book.visits.rows(), -1);
  for (std::size_t i = 0; i < book.animal_rows.size(); ++i) {
    if (book.animal_sources[i].from == AnimalSource::From::Visit) book.visit_animal[book.animal_sources[i].row] = book.dogs.animal[i];
  }
  book.histories.resize(book.dogs.animals.size());
  readChecks(book);
  readWords(book);
  return book;
}

Result<void> keepAnimals(RunContext& context, const Book& book, Progress progress) {
  LEEWARD_ASSIGN(last_key, context.ledger.setting("gather_key"));
  if (last_key == book.key) return {};
  LEEWARD_ASSIGN(known, context.ledger.read(Entity::Animals));
  std::unordered_map<std::string, std::string> id_of;
  const auto known_ids = textsOf(known, "id"), known_keys = textsOf(known, "gather_key");
  for (std::size_t row = 0; row < known.rows(); ++row) id_of.emplace(known_keys[row], known_ids[row]);
  std::unordered_map<std::int64_t, std::string> premises_of_door;
  for (const auto& [premises, door] : book.doors.of_premises) premises_of_door.emplace(door, premises);

  const auto sighting_ids = textsOf(book.sightings, "id"), look_ids = textsOf(book.looks, "id"), visit_ids = textsOf(book.visits, "id");
  std::vector<std::string> id, key, premises, name, kind, sex, description, first_seen, first_met, last_seen;
  std::unordered_map<std::string, int> taken;  // rows that count several animals give each its own key
  for (const auto& animal : book.dogs.animals) {
    const auto& source = book.animal_sources[animal.first_row];
    const std::string row_id = source.from == AnimalSource::From::Visit ? visit_ids[source.row] : source.from == AnimalSource::From::Look ? look_ids[source.row] : sighting_ids[source.row];
    const std::string at = animal.premises >= 0 && premises_of_door.contains(animal.premises) ? premises_of_door[animal.premises] : "";
    std::string own = at.empty() ? "row " + row_id : fmt::format("{} {}", at, animal.ordinal);
    if (const int before = taken[own]++; before > 0) own += fmt::format(" +{}", before);
    id.push_back(id_of.try_emplace(own, newUuid()).first->second);
    key.push_back(own), premises.push_back(at), name.push_back(animal.name), kind.push_back(animal.kind), sex.push_back(animal.sex);
    description.push_back(animal.description), first_seen.push_back(toIso(animal.first_seen)), last_seen.push_back(toIso(animal.last_seen));
    first_met.push_back(animal.first_met ? toIso(*animal.first_met) : "");
  }
  std::vector<std::string> of_visit(visit_ids.size()), of_sighting(sighting_ids.size());
  for (std::size_t i = 0; i < book.animal_rows.size(); ++i) {
    const auto animal = book.dogs.animal[i];
    if (animal < 0) continue;
    const auto& source = book.animal_sources[i];
    if (source.from == AnimalSource::From::Visit) of_visit[source.row] = id[static_cast<std::size_t>(animal)];
    if (source.from == AnimalSource::From::Sighting) of_sighting[source.row] = id[static_cast<std::size_t>(animal)];
  }
  LEEWARD_TRY(context.ledger.putAllAnimals(
      TableMaker{}.texts("id", id).texts("gather_key", key).named("premises_id", premises).texts("name", name).texts("kind", kind).texts("sex", sex)
                             .texts("description", description).texts("first_seen", first_seen).named("first_met", first_met).texts("last_seen", last_seen).done(),
      {{Entity::Visits, TableMaker{}.texts("id", visit_ids).named("animal_id", of_visit).done()},
       {Entity::Sightings, TableMaker{}.texts("id", sighting_ids).named("animal_id", of_sighting).done()}},
      progress));
  // The key of a later, equal book includes what was just written, so it is taken anew.
  LEEWARD_ASSIGN(state, context.ledger.stateKey());
  return context.ledger.setSetting("gather_key", bookKey(context, state));
}

}  // namespace leeward::study
