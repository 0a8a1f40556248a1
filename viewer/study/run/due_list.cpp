#include "viewer/study/run/due_list.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <tuple>
#include <unordered_map>

#include <fmt/format.h>

#include "analysis/weather/frost.h"
#include "shared/base/text.h"
#include "analysis/outcomes/stock.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/bring.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

struct DueRow {
  Date date;
  std::int32_t door;
  std::string kind, what, dog, because;
  Bring bring;
};

/// Gathers what is due; a kind a function.
class DueList {
 public:
  DueList(const RunContext& context, const Book& book) : context_(context), book_(book) {
    result_ = textsOf(book.looks, "door_result");
    promised_ = textsOf(book.looks, "promised");
    is_visited_.resize(book.looks.rows());
    for (const std::size_t look : book.visit_look) is_visited_[look] = true;
    for (std::size_t look = 0; look < book.looks.rows(); ++look) look_row_.emplace(columnOf(book.looks, "id").textAt(look), look);
    for (std::size_t visit = 0; visit < book.visits.rows(); ++visit) visit_row_.emplace(columnOf(book.visits, "id").textAt(visit), visit);
    for (const auto& history : book.histories) {
      const auto standing = analysis::outcomeOf(history, improvedRule(context.study)).standing;
      is_there_.push_back(standing == analysis::Standing::There || standing == analysis::Standing::LostContact);
    }
  }

  Result<void> readItems();
  void addPromises();
  void addVisits(const analysis::DoorCoverage& doors);
  void addNotes();
  Result<void> addTreatments();
  Result<void> addPermissions();
  void addReferrals();
  void addUrgent();
  Result<void> addStraw();
  Table table(const std::vector<std::string>& block_ids);

 private:
  struct Straw {
    std::optional<Date> in, out;  ///< the last of each
  };
  Result<std::map<std::int32_t, Straw>> strawByDoor() const;
  std::map<std::int32_t, int> housesByDoor() const;
  bool isClosed(std::int32_t door) const {
    const auto& asked = book_.doors.asked_not_to_return[static_cast<std::size_t>(door)];
    return asked && *asked <= context_.as_of;
  }
  bool isAnswered(std::size_t look) const {
    return is_visited_[look] || !(result_[look].empty() || result_[look] == "nobody_home" || result_[look] == "no_access");
  }
  /// The latest look at each door for which `counts`; of several on one day the last of the record.
  template <class Counts>
  std::map<std::int32_t, std::size_t> latestLooks(const Counts& counts) const {
    std::map<std::int32_t, std::size_t> latest;
    for (std::size_t look = 0; look < book_.looks.rows(); ++look) {
      const auto door = book_.look_door[look];
      if (door < 0 || !counts(look)) continue;
      const auto [at, is_new] = latest.try_emplace(door, look);
      if (!is_new && book_.look_date[look] >= book_.look_date[at->second]) at->second = look;
    }
    return latest;
  }
  void add(Date date, std::int32_t door, const char* kind, std::string what, std::string because, std::string dog = "", Bring bring = {}) {
    if (date > context_.as_of + kDueAheadDays && std::string_view(kind) != "promise") return;
    rows_.push_back({date, door, kind, std::move(what), std::move(dog), std::move(because), std::move(bring)});
  }

  const RunContext& context_;
  const Book& book_;
  std::vector<std::string> result_, promised_;
  std::vector<bool> is_visited_, is_there_;
  std::unordered_map<std::string, std::size_t> look_row_, visit_row_;
  std::set<std::int32_t> promised_doors_;
  std::set<std::string> known_items_;  ///< that a promise may name
  std::vector<DueRow> rows_;
};

Result<void> DueList::readItems() {
  LEEWARD_ASSIGN(services, context_.ledger.read(Entity::Services));
  LEEWARD_ASSIGN(stock, context_.ledger.read(Entity::Stock));
  for (const auto* table : {&services, &stock}) {
    for (const auto& item : textsOf(*table, "item")) {
      if (auto key = analysis::itemKey(item); !key.empty()) known_items_.insert(std::move(key));
    }
  }
  for (const auto& [id, what] : context_.study.due.bring) known_items_.insert(analysis::itemKey(what));
  known_items_.insert("straw");
  known_items_.erase("");
  return {};
}

void DueList::addPromises() {
  // A promise stands until a later look is answered or gives another: passing by, or finding nobody home, keeps none.
  const Column& return_by = columnOf(book_.looks, "return_by");
  for (const auto& [door, look] : latestLooks([&](std::size_t look) { return isAnswered(look) || !promised_[look].empty() || dateAt(return_by, look); })) {
    const auto date = dateAt(return_by, look);
    if ((!date && promised_[look].empty()) || isClosed(door)) continue;
    const std::string said = "said on " + toIso(book_.look_date[look]) + (date ? "" : ", without a day");
    add(date.value_or(book_.look_date[look]), door, "promise", promised_[look].empty() ? "promised return" : "promised: " + promised_[look], said, "", bringFor(promised_[look], known_items_));
    promised_doors_.insert(door);
  }
}

void DueList::addVisits(const analysis::DoorCoverage& doors) {
  std::map<std::int32_t, Bring> unmet;
  for (std::size_t animal = 0; animal < book_.histories.size(); ++animal) {
    if (!is_there_[animal] || book_.histories[animal].left.empty()) continue;
    auto& of_door = unmet[static_cast<std::int32_t>(book_.dogs.animals[animal].premises)];
    for (const auto& [item, count] : bringFor(book_.histories[animal].left.back(), context_.study.due.bring)) of_door[item] += count;
  }
  for (std::size_t door = 0; door < book_.doors.size(); ++door) {
    const auto at = static_cast<std::int32_t>(door);
    const auto& due = doors.due[door];
    if (!due || promised_doors_.contains(at) || isClosed(at)) continue;
    const bool is_overdue = analysis::isOverdue(*due, context_.as_of), is_due = analysis::isDue(*due, context_.as_of);
    add(*due, at, "visit", is_overdue ? "known dog overdue for a visit" : is_due ? "known dog due for a visit today" : "known dog due for a visit",
        fmt::format("{} days after its last visit (if it was never met: after it was last seen)", context_.study.service_interval_days), "", unmet[at]);
  }
}

void DueList::addNotes() {
  const Column& note = columnOf(book_.looks, "note_left");
  const auto time = textsOf(book_.looks, "time");
  const auto hasNote = [&](std::size_t look) { return !isAnswered(look) && note.asInteger(look).value_or(0) != 0; };
  const auto latest = latestLooks([&](std::size_t look) { return isAnswered(look) || hasNote(look); });
  std::map<std::int32_t, std::set<std::string>> hours;
  for (std::size_t look = 0; look < book_.looks.rows(); ++look) {
    const auto door = book_.look_door[look];
    if (door >= 0 && result_[look] == "nobody_home" && time[look].size() >= 5) hours[door].insert(time[look].substr(0, 5));
  }
  for (const auto& [door, look] : latest) {
    if (!hasNote(look) || isClosed(door) || promised_doors_.contains(door)) continue;
    const auto& tried = hours[door];
    std::string because = "note left on " + toIso(book_.look_date[look]);
    if (!tried.empty()) because += "; nobody home at " + join(std::vector<std::string>(tried.begin(), tried.end()), ", ");
    add(book_.look_date[look] + context_.study.due.note_days, door, "note", "call back after a note, at another hour", because);
  }
}

Result<void> DueList::addTreatments() {
  LEEWARD_ASSIGN(given, context_.ledger.read(Entity::Treatments));
  struct Latest {
    Date given;
    std::optional<Date> next;
    std::size_t visit;
    std::string product;
  };
  std::map<std::pair<std::int64_t, std::string>, Latest> latest;
  const auto visit_ids = textsOf(given, "visit_id"), product = textsOf(given, "product");
  const Column& next_due = columnOf(given, "next_due");
  for (std::size_t row = 0; row < given.rows(); ++row) {
    const auto at = visit_row_.find(visit_ids[row]);
    if (at == visit_row_.end()) continue;  // after the day of the figures
    const auto animal = book_.visit_animal[at->second];
    if (animal < 0) continue;
    const Latest one{book_.look_date[book_.visit_look[at->second]], dateAt(next_due, row), at->second, product[row]};
    const auto [known, is_new] = latest.try_emplace({animal, lowerAscii(product[row])}, one);
    if (!is_new && one.given >= known->second.given) known->second = one;
  }
  for (const auto& [key, one] : latest) {
    const auto animal = static_cast<std::size_t>(key.first);
    const auto door = static_cast<std::int32_t>(book_.dogs.animals[animal].premises);
    if (!one.next || door < 0 || isClosed(door) || !is_there_[animal]) continue;
    add(*one.next, door, "treatment", "next " + one.product, "given on " + toIso(one.given), book_.dogs.animals[animal].name, {{analysis::itemKey(one.product), 1}});
  }
  return {};
}

Result<void> DueList::addPermissions() {
  LEEWARD_ASSIGN(given, context_.ledger.read(Entity::Permissions));
  const auto look_ids = textsOf(given, "look_id"), by = textsOf(given, "given_by"), for_what = textsOf(given, "for_what");
  const Column &until = columnOf(given, "until"), &withdrawn = columnOf(given, "withdrawn");
  std::unordered_map<std::size_t, std::size_t> of_look;
  for (std::size_t row = 0; row < given.rows(); ++row) {
    const auto look = look_row_.find(look_ids[row]);
    if (look != look_row_.end()) of_look.emplace(look->second, row);
  }
  // The latest word at the door counts: a later permission without an end, or a refusal, takes the place of one that ends.
  const auto latest = latestLooks([&](std::size_t look) { return of_look.contains(look) || result_[look] == "declined" || result_[look] == "asked_not_to_return"; });
  for (const auto& [door, look] : latest) {
    const auto permission = of_look.find(look);
    if (permission == of_look.end() || result_[look] == "declined" || isClosed(door)) continue;
    const auto ends = dateAt(until, permission->second);
    if (!ends || dateAt(withdrawn, permission->second)) continue;
    const auto& what = for_what[permission->second];
    add(*ends, door, "permission", "permission ends" + (what.empty() ? "" : " (" + what + ")"),
        fmt::format("given{} on {}", by[permission->second].empty() ? "" : " by " + by[permission->second], toIso(book_.look_date[look])));
  }
  return {};
}

void DueList::addReferrals() {
  const auto look_ids = textsOf(book_.referrals, "look_id"), to = textsOf(book_.referrals, "referred_to");
  const Column &answered = columnOf(book_.referrals, "answered"), &date = columnOf(book_.referrals, "date");
  std::map<std::pair<std::int32_t, std::string>, std::pair<Date, bool>> latest;  // per door and authority: the last handing over, whether it was answered
  for (std::size_t row = 0; row < book_.referrals.rows(); ++row) {
    const auto look = look_row_.find(look_ids[row]);
    if (look == look_row_.end() || book_.look_door[look->second] < 0) continue;
    const std::pair one{*dateAt(date, row), dateAt(answered, row).has_value()};
    const auto [known, is_new] = latest.try_emplace({book_.look_door[look->second], to[row]}, one);
    if (!is_new && one.first >= known->second.first) known->second = one;
  }
  for (const auto& [key, one] : latest) {
    if (one.second) continue;
    add(one.first + context_.study.due.referral_days, key.first, "referral", "ask again" + (key.second.empty() ? "" : ": " + key.second),
        fmt::format("handed over on {}; {} days without an answer on record", toIso(one.first), formatCount(context_.as_of - one.first)));
  }
}

/// Items that can't wait for the next round. Common practice, no published source; what to do is the veterinarian's to say.
void DueList::addUrgent() {
  constexpr std::array<std::pair<const char*, const char*>, 3> kUrgent = {{{"water", "no drinkable water"}, {"wound", "a wound"}, {"collar_fit", "a collar that doesn't fit"}}};
  const auto& settings = context_.study.due;
  for (std::size_t animal = 0; animal < book_.histories.size(); ++animal) {
    const auto door = static_cast<std::int32_t>(book_.dogs.animals[animal].premises);
    if (door < 0 || !is_there_[animal] || book_.histories[animal].left.empty() || isClosed(door)) continue;
    const analysis::ConditionCheck& last = book_.histories[animal].left.back();
    std::vector<std::string> words;
    for (const auto& [item, said] : kUrgent) {
      if (last.items[*analysis::conditionItemIndex(item)] == analysis::ItemState::Unmet) words.emplace_back(said);
    }
    if (analysis::bodyState(last.body_condition, last.body_scale) == analysis::ItemState::Unmet) words.emplace_back("body condition at the worst steps");
    if (words.empty()) continue;
    const std::string call = settings.urgent_call.empty() ? "" : "; call " + join(settings.urgent_call, ", ");
    add(last.date + (settings.urgent_hours + 23) / 24, door, "urgent", fmt::format("within {} hours: {}{}", settings.urgent_hours, join(words, ", "), call),
        fmt::format("so it was left on {}, {} days ago", toIso(last.date), formatCount(context_.as_of - last.date)), book_.dogs.animals[animal].name, bringFor(last, settings.bring));
  }
}

Result<std::map<std::int32_t, DueList::Straw>> DueList::strawByDoor() const {
  LEEWARD_ASSIGN(services, context_.ledger.read(Entity::Services));
  std::map<std::int32_t, Straw> straw;
  const auto look_ids = textsOf(services, "look_id"), item = textsOf(services, "item");
  for (std::size_t row = 0; row < services.rows(); ++row) {
    const std::string word = lowerAscii(item[row]);
    const auto look = look_row_.find(look_ids[row]);
    if (look == look_row_.end() || book_.look_door[look->second] < 0 || (word.find("straw") == std::string::npos && word.find("paja") == std::string::npos)) continue;
    const bool is_out = word.find("out") != std::string::npos || word.find("remov") != std::string::npos || word.find("retir") != std::string::npos;
    auto& last = straw[book_.look_door[look->second]];
    auto& at = is_out ? last.out : last.in;
    at = std::max(at.value_or(book_.look_date[look->second]), book_.look_date[look->second]);
  }
  return straw;
}

/// Animals that are there, by door: each has a house of its own, or should.
std::map<std::int32_t, int> DueList::housesByDoor() const {
  std::map<std::int32_t, int> houses;
  for (std::size_t animal = 0; animal < book_.dogs.animals.size(); ++animal) {
    const auto door = static_cast<std::int32_t>(book_.dogs.animals[animal].premises);
    if (door >= 0 && is_there_[animal] && !isClosed(door)) ++houses[door];
  }
  return houses;
}

Result<void> DueList::addStraw() {
  constexpr int kFewWinters = 10, kYear = 365;
  const Layer* weather = context_.layer("weather");
  if (weather == nullptr) return {};
  std::vector<Date> day;
  const Column &dates = columnOf(weather->table, "date"), &minimum = columnOf(weather->table, "tmin_c");
  for (std::size_t row = 0; row < dates.size(); ++row) day.push_back(dateAt(dates, row).value_or(Date{}));
  const auto winters = analysis::wintersOf(day, minimum.toReals());
  const auto frost = analysis::frostRange(winters);
  if (!frost) return {};
  LEEWARD_ASSIGN(straw, strawByDoor());
  const std::string record = fmt::format("of {} whole winter{} on record{}", frost->winters, frost->winters == 1 ? "" : "s", frost->winters < kFewWinters ? ", too few to be a climate" : "");
  for (const auto& [door, houses] : housesByDoor()) {
    const Straw& at = straw[door];
    // Whatever winter it went in for: straw that nobody took out is there still, and is due until somebody does.
    const bool is_in = at.in && !(at.out && *at.out > *at.in);  // out and in on one day: changed for fresh
    const Date last_frost = is_in ? analysis::inWinterOf(frost->latest_last, *at.in) : Date{};
    if (is_in) {
      add(std::max(last_frost, *at.in) + 1, door, "straw", "straw out", fmt::format("put in on {}; latest frost {}: {}", toIso(*at.in), record, toWords(frost->latest_last)));
    }
    for (const Date in_winter : {context_.as_of, context_.as_of + kYear}) {
      const Date in = analysis::inWinterOf(frost->earliest_first, in_winter) + -context_.study.due.straw_days, out = analysis::inWinterOf(frost->latest_last, in_winter) + 1;
      const Date summer = *makeDate(static_cast<int>(calendar(out).year()) - 1, 7, 1);
      if ((at.in && *at.in >= summer && *at.in < out) || context_.as_of >= out) continue;
      const int bales = houses * context_.study.due.straw_bales;
      add(in, door, "straw", fmt::format("straw in: {} bale{}", bales, bales == 1 ? "" : "s"), fmt::format("{} days before the earliest frost {}: {}", context_.study.due.straw_days, record, toWords(frost->earliest_first)), "",
          {{"straw", bales}});
      break;
    }
  }
  return {};
}

Table DueList::table(const std::vector<std::string>& block_ids) {
  std::ranges::sort(rows_, [](const DueRow& a, const DueRow& b) {
    return std::tie(a.date, a.door, a.kind, a.dog, a.what) < std::tie(b.date, b.door, b.kind, b.dog, b.what);
  });
  // One crew a premises, whatever is due there, so that no two meet at a door: the one that was there last.
  const auto crew_of_look = textsOf(book_.looks, "crew");
  const auto last = latestLooks([&](std::size_t look) { return !crew_of_look[look].empty(); });
  std::vector<std::string> premises, block, address, date, what, kind, dog, because, crew, bring;
  for (auto& row : rows_) {
    const auto door = static_cast<std::size_t>(row.door);
    premises.push_back(book_.doors.id[door]);
    block.push_back(book_.doors.block[door] >= 0 ? block_ids[static_cast<std::size_t>(book_.doors.block[door])] : "");
    address.push_back(book_.doors.address[door]);
    date.push_back(toIso(row.date)), what.push_back(std::move(row.what)), kind.push_back(std::move(row.kind));
    dog.push_back(std::move(row.dog)), because.push_back(std::move(row.because)), bring.push_back(inWords(row.bring));
    const auto crew_look = last.find(row.door);
    crew.push_back(crew_look == last.end() ? "" : crew_of_look[crew_look->second]);
  }
  return TableMaker{}.texts("premises_id", premises).named("block_id", block).texts("address", address).texts("due", date).texts("what", what).texts("kind", kind)
      .named("dog_name", dog).texts("because", because).named("crew", crew).named("bring", bring).done();
}

}  // namespace

Result<Table> dueTable(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, const analysis::DoorCoverage& doors) {
  DueList list(context, book);
  LEEWARD_TRY(list.readItems());
  list.addPromises();
  list.addVisits(doors);
  list.addNotes();
  LEEWARD_TRY(list.addTreatments());
  LEEWARD_TRY(list.addPermissions());
  list.addReferrals();
  list.addUrgent();
  LEEWARD_TRY(list.addStraw());
  return list.table(block_ids);
}

Table dueBy(const Table& ahead, Date until) {
  const Column& due = columnOf(ahead, "due");
  const std::string last = toIso(until);
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < ahead.rows() && due.textAt(row) <= last; ++row) rows.push_back(row);  // in order of day
  return ahead.take(rows);
}

}  // namespace leeward::study
