#include "sample-data/generator/truth.h"

#include <set>

#include "shared/base/text.h"
#include "sample-data/generator/text.h"

namespace leeward::town {

namespace {

struct BadRow {
  std::map<std::string, std::string> fields;
  const char* column;
  const char* why;
};

const std::vector<BadRow>& badVisits() {
  static const std::vector<BadRow> rows{
      {{{"visit_id", "V90001"}, {"date", "2025-02-31"}, {"address", "212 W Elm St"}, {"look", "knock"}, {"why_here", "planned"}, {"door_result", "nobody_home"}}, "date", "31 February"},
      {{{"visit_id", "V90002"}, {"date", "2025-03-04"}, {"look", "knock"}, {"why_here", "planned"}, {"door_result", "nobody_home"}}, "address", "neither address nor position"},
      {{{"visit_id", "V90003"}, {"date", "2025-03-06"}, {"address", "318 W Cedar St"}, {"look", "knock"}, {"why_here", "planned"}, {"door_result", "welcomed"}, {"dogs_seen", "-2"}}, "dogs_seen", "negative count"},
      {{{"visit_id", "V90004"}, {"date", "2025-04-11"}, {"address", "245 S 2nd St"}, {"look", "knock"}, {"why_here", "return"}, {"door_result", "welcomed"}, {"permission_by", "owner"}, {"dogs_seen", "1"}, {"dogs_met", "1"}, {"dog_name", "Biscuit"}, {"body_condition", "3"}}, "body_scale", "body condition without its scale"},
      {{{"visit_id", "V90005"}, {"date", "2031-05-02"}, {"address", "421 S 5th St"}, {"look", "knock"}, {"why_here", "planned"}, {"door_result", "no_dog"}}, "date", "in the future"},
      {{{"visit_id", "V90006"}, {"date", "2025-05-09"}, {"address", "562 W Elm St"}, {"look", "helicopter"}, {"why_here", "planned"}, {"door_result", "no_dog"}}, "look", "no such kind of look"},
      {{{"visit_id", "V90007"}, {"date", "sometime in May"}, {"address", "562 W Elm St"}, {"look", "knock"}, {"why_here", "planned"}, {"door_result", "no_dog"}}, "date", "not a date"}};
  return rows;
}

const std::vector<BadRow>& badSightings() {
  static const std::vector<BadRow> rows{
      {{{"sighting_id", "S90001"}, {"date", "2024-02-30"}, {"lon", "-37.20310"}, {"lat", "41.50210"}, {"what", "dog"}, {"count", "1"}, {"source", "crew"}}, "date", "30 February"},
      {{{"sighting_id", "S90002"}, {"date", "2024-06-03"}, {"what", "dog"}, {"count", "1"}, {"source", "caller"}}, "address", "neither address nor position"},
      {{{"sighting_id", "S90003"}, {"date", "2024-06-09"}, {"lon", "-37.20310"}, {"lat", "41.50210"}, {"what", "dog"}, {"count", "-1"}, {"source", "crew"}}, "count", "negative count"},
      {{{"sighting_id", "S90004"}, {"date", "2024-07-01"}, {"lon", "41.50210"}, {"lat", "-137.20310"}, {"what", "dog"}, {"count", "1"}, {"source", "crew"}}, "lat", "latitude beyond 90 degrees, swapped"},
      {{{"sighting_id", "S90005"}, {"date", "2024-07-15"}, {"lon", "-37.20310"}, {"lat", "41.50210"}, {"what", "dragon"}, {"count", "1"}, {"source", "crew"}}, "what", "no such kind of sighting"}};
  return rows;
}

void addBad(const std::vector<BadRow>& bad, const std::vector<std::string>& headings, std::size_t lines, const char* file, Csv& table, Csv& list) {
  for (const BadRow& row : bad) {
    std::vector<std::string> fields;
    for (const std::string& heading : headings) fields.push_back(row.fields.contains(heading) ? row.fields.at(heading) : std::string());
    table.row(fields);
    list.row({file, std::to_string(++lines), row.column, row.why});
  }
}

std::string unmetItems(const Dog& dog) {
  std::string out;
  for (std::size_t i = 0; i < kItems; ++i) {
    if (dog.unmet[i]) out += (out.empty() ? "" : ";") + std::string(kCheck[i].id);
  }
  return out;
}

void addBlockTruth(const Town& town, const Population& population, const Record& record, Files& files) {
  Csv table({"block_id", "as_of", "doors", "doors_looked", "animals", "met", "unmet", "unmet_in_need"});
  struct Sum {
    int doors = 0, looked = 0, animals = 0, met = 0, in_need = 0;
  };
  std::vector<Sum> sums(town.blocks.size());
  for (std::size_t d = 0; d < town.doors.size(); ++d) {
    Sum& sum = sums[static_cast<std::size_t>(town.doors[d].block)];
    ++sum.doors;
    sum.looked += record.looked[d];
  }
  for (const Dog& dog : population.dogs) {
    if (!dog.here(kLastDay)) continue;
    Sum& sum = sums[static_cast<std::size_t>(town.doors[static_cast<std::size_t>(dog.door)].block)];
    ++sum.animals;
    if (dog.met) ++sum.met;
    else if (dog.inNeed()) ++sum.in_need;
  }
  for (std::size_t b = 0; b < sums.size(); ++b) {
    const Sum& s = sums[b];
    table.row({town.blocks[b].geoid, toIso(kLastDay), std::to_string(s.doors), std::to_string(s.looked), std::to_string(s.animals), std::to_string(s.met),
               std::to_string(s.animals - s.met), std::to_string(s.in_need)});
  }
  files["truth/blocks.csv"] = table.text();
}

}  // namespace

void addCrewFiles(const Record& record, const std::vector<SightingRow>& sightings, Files& files) {
  Csv bad({"file", "line", "column", "why"});
  Csv visits(visitHeadings());
  for (const VisitRow& row : record.visits) visits.row(row.fields);
  addBad(badVisits(), visitHeadings(), record.visits.size() + 1, "visits.csv", visits, bad);
  Csv seen(sightingHeadings());
  for (const SightingRow& row : sightings) seen.row(row.fields);
  addBad(badSightings(), sightingHeadings(), sightings.size() + 1, "sightings.csv", seen, bad);
  files["visits.csv"] = visits.text();
  files["sightings.csv"] = seen.text();
  files["truth/bad_rows.csv"] = bad.text();
}

void addTruth(const Town& town, const Population& population, const Record& record, const std::vector<SightingRow>& sightings, Files& files) {
  Csv animals({"animal_id", "premises_id", "block_id", "from", "to", "why_left", "outdoors", "name", "sex", "description", "altered", "seen", "met", "first_met",
               "unmet_items", "body_condition", "in_need"});
  int id = 0;
  for (const Dog& dog : population.dogs) {
    ++id;
    if (dog.from > kLastDay) continue;
    const Door& door = town.doors[static_cast<std::size_t>(dog.door)];
    const bool here = dog.here(kLastDay);
    animals.row({"A" + std::to_string(10000 + id), door.id, town.blocks[static_cast<std::size_t>(door.block)].geoid, toIso(dog.from), here ? "" : toIso(dog.to),
                 here ? "" : dog.left, dog.all_year ? "all year" : "April to October", dog.name, dog.sex, dog.coat, dog.altered ? "yes" : "no",
                 dog.seen ? "yes" : "no", dog.met ? "yes" : "no", dog.met ? toIso(dog.first_met) : "", unmetItems(dog), std::to_string(dog.body),
                 dog.inNeed() ? "yes" : "no"});
  }
  files["truth/animals.csv"] = animals.text();
  Csv visits({"visit_id", "premises_id", "mangled"});
  std::set<std::string> written;
  for (const VisitRow& row : record.visits) {
    if (!written.insert(row.visit_id).second) continue;
    visits.row({row.visit_id, town.doors[static_cast<std::size_t>(row.door)].id, join(row.slips, "; ")});
  }
  files["truth/visits_truth.csv"] = visits.text();
  Csv seen({"sighting_id", "premises_id"});
  for (const SightingRow& row : sightings) seen.row({row.fields.front(), row.door < 0 ? "" : town.doors[static_cast<std::size_t>(row.door)].id});
  files["truth/sightings_truth.csv"] = seen.text();
  addBlockTruth(town, population, record, files);
}

}  // namespace leeward::town
