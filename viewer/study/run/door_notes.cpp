#include "viewer/study/run/door_notes.h"

#include <algorithm>
#include <map>
#include <set>
#include <unordered_map>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/bring.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// The looks at each of the doors asked for, by day (of one day in the record's order).
std::map<std::int32_t, std::vector<std::size_t>> looksOf(const Book& book, const std::vector<std::int32_t>& doors) {
  const std::set<std::int32_t> wanted(doors.begin(), doors.end());
  std::map<std::int32_t, std::vector<std::size_t>> looks;
  for (std::size_t look = 0; look < book.looks.rows(); ++look) {
    if (wanted.contains(book.look_door[look])) looks[book.look_door[look]].push_back(look);
  }
  for (auto& [door, rows] : looks) std::ranges::stable_sort(rows, {}, [&](std::size_t look) { return book.look_date[look]; });
  return looks;
}

/// The latest word on coming in: a permission, or a refusal after it.
class Permissions {
 public:
  static Result<Permissions> read(const RunContext& context, const Book& book) {
    Permissions all(context, book);
    LEEWARD_ASSIGN(given, context.ledger.read(Entity::Permissions));
    all.given_ = std::move(given);
    const auto look_ids = textsOf(all.given_, "look_id");
    for (std::size_t row = 0; row < look_ids.size(); ++row) all.of_look_.emplace(look_ids[row], row);
    return all;
  }

  std::string at(const std::vector<std::size_t>& looks) const {
    for (auto look = looks.rbegin(); look != looks.rend(); ++look) {
      const std::string day = toWords(book_->look_date[*look]);
      if (result_[*look] == "declined") return "declined on " + day + ": ask again at the door, look from public ground only";
      const auto found = of_look_.find(columnOf(book_->looks, "id").asText(*look));
      if (found != of_look_.end()) return words(found->second, day);
    }
    return {};
  }

 private:
  Permissions(const RunContext& context, const Book& book) : as_of_(context.as_of), book_(&book), result_(textsOf(book.looks, "door_result")) {}

  std::string words(std::size_t row, const std::string& day) const {
    const auto text = [&](const char* column) { return columnOf(given_, column).asText(row); };
    const auto until = dateAt(columnOf(given_, "until"), row);
    if (const auto withdrawn = dateAt(columnOf(given_, "withdrawn"), row); withdrawn && *withdrawn <= as_of_) return "withdrawn on " + toWords(*withdrawn) + ": ask at the door, look from public ground only";
    if (until && *until < as_of_) return "ended on " + toWords(*until) + ": ask anew, look from public ground only";
    std::string said = text("given_by").empty() ? "given" : "from " + text("given_by");
    if (!text("how").empty()) said += " (" + text("how") + ")";
    if (!text("for_what").empty()) said += ": " + text("for_what");
    said += "; on " + day;
    return until ? said + ", until " + toWords(*until) : said;
  }

  Date as_of_;
  const Book* book_;
  std::vector<std::string> result_;
  Table given_;
  std::unordered_map<std::string, std::size_t> of_look_;
};

std::map<std::int32_t, std::vector<std::string>> animalsAt(const RunContext& context, const Book& book) {
  std::map<std::int32_t, std::vector<std::string>> animals;
  for (std::size_t i = 0; i < book.dogs.animals.size(); ++i) {
    const auto& animal = book.dogs.animals[i];
    const auto standing = analysis::outcomeOf(book.histories[i], improvedRule(context.study)).standing;
    if (animal.premises < 0 || (standing != analysis::Standing::There && standing != analysis::Standing::LostContact)) continue;
    animals[static_cast<std::int32_t>(animal.premises)].push_back(animal.name);
  }
  for (auto& [door, names] : animals) {
    const auto nameless = std::erase(names, "");
    if (nameless > 0) names.push_back(nameless == 1 ? "one without a name" : fmt::format("{} without a name", nameless));
  }
  return animals;
}

std::string whoAt(const Book& book, const std::vector<std::size_t>& looks, const std::vector<std::string>& animals) {
  std::string household, language;
  std::set<std::string> somebody, nobody;
  for (const std::size_t look : looks) {
    const auto text = [&](const char* column) { return columnOf(book.looks, column).asText(look); };
    if (!text("household").empty()) household = text("household");
    if (!text("language").empty()) language = text("language");
    const std::string hour = text("time").substr(0, 2), result = text("door_result");
    if (hour.size() < 2) continue;
    if (result == "nobody_home") nobody.insert(hour);
    else if (result == "welcomed" || result == "declined") somebody.insert(hour);
  }
  const auto hours = [](const std::set<std::string>& at) { return join({at.begin(), at.end()}, ", ") + " h"; };
  std::vector<std::string> pieces;
  if (!household.empty()) pieces.push_back(household);
  if (!language.empty()) pieces.push_back("speaks " + language);
  if (!animals.empty()) pieces.push_back("animals: " + join(animals, ", "));
  if (!somebody.empty()) pieces.push_back("somebody answered at " + hours(somebody));
  if (!nobody.empty()) pieces.push_back("nobody at " + hours(nobody));
  return join(pieces, "; ");
}

}  // namespace

Result<DoorNotes> doorNotes(const RunContext& context, const Book& book, const Table& due, const std::vector<std::int32_t>& doors, Date until) {
  LEEWARD_ASSIGN(permissions, Permissions::read(context, book));
  const auto looks = looksOf(book, doors);
  const auto animals = animalsAt(context, book);
  std::map<std::string, std::vector<std::string>> what;
  std::map<std::string, Bring> bring;
  const auto premises = textsOf(due, "premises_id"), said = textsOf(due, "what"), day = textsOf(due, "due"), dog = textsOf(due, "dog_name"), to_bring = textsOf(due, "bring"), kind = textsOf(due, "kind");
  for (std::size_t row = 0; row < due.rows() && day[row] <= toIso(until); ++row) {  // in order of day
    what[premises[row]].push_back(fmt::format("{}{} ({})", said[row], dog[row].empty() || kind[row] == "urgent" ? "" : ", " + dog[row], toWords(*parseIsoDate(day[row]))));
    for (const auto& [item, count] : bringFrom(to_bring[row])) {
      double& most = bring[premises[row]][item];
      most = std::max(most, count);
    }
  }
  DoorNotes notes;
  for (const auto door : doors) {
    const auto of_door = looks.find(door);
    const auto at_door = animals.find(door);
    const std::vector<std::size_t> none;
    const auto& rows = of_door == looks.end() ? none : of_door->second;
    const std::string& id = book.doors.id[static_cast<std::size_t>(door)];
    notes.permission.push_back(permissions.at(rows));
    notes.who.push_back(whoAt(book, rows, at_door == animals.end() ? std::vector<std::string>{} : at_door->second));
    const auto due_here = what.find(id);
    notes.what_due.push_back(due_here == what.end() ? "" : join(due_here->second, "; "));
    const auto bring_here = bring.find(id);
    notes.bring.push_back(bring_here == bring.end() ? "" : inWords(bring_here->second));
  }
  return notes;
}

}  // namespace leeward::study
