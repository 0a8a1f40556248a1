#include "viewer/study/run/due_list.h"

#include <algorithm>
#include <array>
#include <tuple>

#include <fmt/format.h>

#include "analysis/outcomes/stock.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/due_rows.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {

DueRows::DueRows(const RunContext& context, const Book& book) : context_(context), book_(book) {
  result_ = textsOf(book.looks, "door_result");
  promised_ = textsOf(book.looks, "promised");
  is_visited_.resize(book.looks.rows());
  for (const std::size_t look : book.visit_look) is_visited_[look] = true;
  const Column& return_by = columnOf(book.looks, "return_by");
  for (std::size_t look = 0; look < book.looks.rows(); ++look) {
    look_row_.emplace(columnOf(book.looks, "id").textAt(look), look);
    return_by_.push_back(dateAt(return_by, look));
    if (isAnswered(look) && book.look_door[look] >= 0) answered_days_.emplace(book.look_door[look], book.look_date[look]);
  }
  for (std::size_t visit = 0; visit < book.visits.rows(); ++visit) visit_row_.emplace(columnOf(book.visits, "id").textAt(visit), visit);
  for (const auto& history : book.histories) {
    const auto standing = analysis::outcomeOf(history, improvedRule(context.study)).standing;
    is_there_.push_back(standing == analysis::Standing::There || standing == analysis::Standing::LostContact);
  }
}

void DueRows::add(Date date, std::int32_t door, const char* kind, std::string what, std::string because, std::string dog, Bring bring) {
  const std::string_view of(kind);
  if (date > context_.as_of + kDueAheadDays && of != "promise" && of != "appointment") return;
  rows_.push_back({date, door, kind, std::move(what), std::move(dog), std::move(because), std::move(bring)});
}

/// The latest word on coming in at each door: a permission, its withdrawal, or a refusal.
std::map<std::int32_t, std::size_t> DueRows::latestWords() const {
  return latestLooks([&](std::size_t look) { return permission_of_look_.contains(look) || result_[look] == "declined" || result_[look] == "asked_not_to_return"; });
}

Result<void> DueRows::read() {
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
  services_ = std::move(services);
  LEEWARD_ASSIGN(permissions, context_.ledger.read(Entity::Permissions));
  permissions_ = std::move(permissions);
  const auto look_ids = textsOf(permissions_, "look_id"), for_what = textsOf(permissions_, "for_what");
  const Column& withdrawn = columnOf(permissions_, "withdrawn");
  for (std::size_t row = 0; row < permissions_.rows(); ++row) {
    const auto look = look_row_.find(look_ids[row]);
    if (look != look_row_.end()) permission_of_look_.emplace(look->second, row);
  }
  for (const auto& [door, look] : latestWords()) {
    const auto given = permission_of_look_.find(look);
    if (given == permission_of_look_.end() || dateAt(withdrawn, given->second)) continue;
    const std::string covers = lowerAscii(for_what[given->second]);
    if (covers.find("transport") != std::string::npos || covers.find("traslad") != std::string::npos) transport_doors_.insert(door);
  }
  return {};
}

void DueRows::addVisits(const analysis::DoorCoverage& doors) {
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

Result<void> DueRows::addTreatments() {
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
    add(*one.next, door, "treatment", "next " + one.product, "given on " + toWords(one.given), book_.dogs.animals[animal].name, {{analysis::itemKey(one.product), 1}});
  }
  return {};
}

void DueRows::addPermissions() {
  const auto by = textsOf(permissions_, "given_by"), for_what = textsOf(permissions_, "for_what");
  const Column &until = columnOf(permissions_, "until"), &withdrawn = columnOf(permissions_, "withdrawn");
  // The latest word at the door counts: a later permission without an end, or a refusal, takes the place of one that ends.
  for (const auto& [door, look] : latestWords()) {
    const auto permission = permission_of_look_.find(look);
    if (permission == permission_of_look_.end() || result_[look] == "declined" || isClosed(door)) continue;
    const auto ends = dateAt(until, permission->second);
    if (!ends || dateAt(withdrawn, permission->second)) continue;
    const auto& what = for_what[permission->second];
    add(*ends, door, "permission", "permission ends" + (what.empty() ? "" : " (" + what + ")"),
        fmt::format("given{} on {}", by[permission->second].empty() ? "" : " by " + by[permission->second], toWords(book_.look_date[look])));
  }
}

void DueRows::addReferrals() {
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
        fmt::format("handed over on {}; {} days without an answer on record", toWords(one.first), formatCount(context_.as_of - one.first)));
  }
}

/// Items that can't wait for the next round. Common practice, no published source; what to do is the veterinarian's to say.
void DueRows::addUrgent() {
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
    add(last.date + (settings.urgent_hours + 23) / 24, door, "urgent", join(words, ", "),
        fmt::format("within {} hours{}; left so on {}", settings.urgent_hours, call, toWords(last.date)), book_.dogs.animals[animal].name, bringFor(last, settings.bring));
  }
}

Table DueRows::table(const std::vector<std::string>& block_ids) {
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

Result<Table> dueTable(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, const analysis::DoorCoverage& doors) {
  DueRows rows(context, book);
  LEEWARD_TRY(rows.read());
  rows.addPromises();
  rows.addAppointments();
  rows.addVisits(doors);
  rows.addNotes();
  rows.addUnanswered();
  LEEWARD_TRY(rows.addTreatments());
  rows.addPermissions();
  rows.addReferrals();
  rows.addUrgent();
  rows.addStraw();
  return rows.table(block_ids);
}

Table dueBy(const Table& ahead, Date until) {
  const Column& due = columnOf(ahead, "due");
  const std::string last = toIso(until);
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < ahead.rows() && due.textAt(row) <= last; ++row) rows.push_back(row);  // in order of day
  return ahead.take(rows);
}

}  // namespace leeward::study
