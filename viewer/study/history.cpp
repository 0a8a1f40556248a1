#include "viewer/study/history.h"

#include <algorithm>
#include <map>
#include <set>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "shared/ledger/ledger.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace {

std::string spaced(std::string words) {
  std::ranges::replace(words, '_', ' ');
  return words;
}

/// Every table that can tell something of a look.
struct Records {
  Table premises, looks, permissions, visits, checks, services, treatments, outcomes, referrals, animals;
};

Result<Records> readRecords(const std::filesystem::path& folder) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  Records records;
  const std::pair<Entity, Table Records::*> all[] = {
      {Entity::Premises, &Records::premises}, {Entity::Looks, &Records::looks}, {Entity::Permissions, &Records::permissions}, {Entity::Visits, &Records::visits},
      {Entity::Checks, &Records::checks}, {Entity::Services, &Records::services}, {Entity::Treatments, &Records::treatments}, {Entity::Outcomes, &Records::outcomes},
      {Entity::Referrals, &Records::referrals}, {Entity::Animals, &Records::animals}};
  for (const auto& [entity, member] : all) {
    LEEWARD_ASSIGN(table, ledger.read(entity));
    records.*member = std::move(table);
  }
  LEEWARD_TRY(ledger.close());
  return records;
}

std::string at(const Table& table, const char* column, std::size_t row) { return columnOf(table, column).asText(row); }

/// What was unmet of a packed check; what was seen and met is counted.
std::string checkWords(const std::string& items) {
  std::vector<std::string> unmet;
  int met = 0;
  for (const auto item : split(items, ';')) {
    const std::string text(item);
    const auto equals = text.find('=');
    if (equals == std::string::npos) continue;
    if (text.substr(equals + 1) == "unmet") unmet.push_back(spaced(text.substr(0, equals)));
    met += text.substr(equals + 1) == "met" ? 1 : 0;
  }
  if (unmet.empty()) return fmt::format("{} items met, none unmet", met);
  return fmt::format("unmet: {}; {} met", join(unmet, ", "), met);
}

class Teller {
 public:
  explicit Teller(const Records& records) : records_(records) {
    const auto note = [](const Table& table, const char* column, std::unordered_map<std::string, std::vector<std::size_t>>& rows) {
      const auto ids = textsOf(table, column);
      for (std::size_t row = 0; row < ids.size(); ++row) rows[ids[row]].push_back(row);
    };
    note(records.visits, "look_id", visits_), note(records.checks, "visit_id", checks_), note(records.services, "look_id", services_);
    note(records.treatments, "visit_id", treatments_), note(records.outcomes, "visit_id", outcomes_), note(records.referrals, "look_id", referrals_);
  }

  std::string detail(std::size_t look) const {
    const std::string id = at(records_.looks, "id", look);
    std::vector<std::string> lines;
    for (const auto visit : rowsOf(visits_, id)) addAnimal(visit, lines);
    std::vector<std::string> done;
    for (const auto row : rowsOf(services_, id)) done.push_back(fmt::format("{} {}", at(records_.services, "item", row), at(records_.services, "quantity", row)));
    if (!done.empty()) lines.push_back("done: " + join(done, ", "));
    for (const auto row : rowsOf(referrals_, id)) lines.push_back("referred to " + at(records_.referrals, "referred_to", row));
    for (const auto& [column, words] : {std::pair("promised", "promised: "), std::pair("return_by", "return by "), std::pair("notes", "note: "), std::pair("photos", "photos: ")}) {
      if (const std::string text = at(records_.looks, column, look); !text.empty()) lines.push_back(words + text);
    }
    return join(lines, "\n");
  }

 private:
  using Rows = std::unordered_map<std::string, std::vector<std::size_t>>;
  static const std::vector<std::size_t>& rowsOf(const Rows& rows, const std::string& id) {
    static const std::vector<std::size_t> kNone;
    const auto found = rows.find(id);
    return found == rows.end() ? kNone : found->second;
  }

  void addAnimal(std::size_t visit, std::vector<std::string>& lines) const {
    const std::string id = at(records_.visits, "id", visit), name = at(records_.visits, "name", visit);
    const std::string who = name.empty() ? "a " + at(records_.visits, "kind", visit) : name;
    for (const auto row : rowsOf(checks_, id)) {
      const std::string step = at(records_.checks, "body_condition", row);
      lines.push_back(fmt::format("{}, as {}: {}{}", who, at(records_.checks, "moment", row), checkWords(at(records_.checks, "items", row)),
                                  step.empty() ? "" : fmt::format("; body condition {} ({})", step, spaced(at(records_.checks, "body_scale", row)))));
    }
    if (rowsOf(checks_, id).empty()) lines.push_back(who + " met");
    for (const auto row : rowsOf(treatments_, id)) {
      const std::string next = at(records_.treatments, "next_due", row);
      lines.push_back(fmt::format("{}: {} given{}", who, at(records_.treatments, "product", row), next.empty() ? "" : ", next due " + next));
    }
    for (const auto row : rowsOf(outcomes_, id)) lines.push_back(fmt::format("{}: {}", who, spaced(at(records_.outcomes, "outcome", row))));
  }

  const Records& records_;
  Rows visits_, checks_, services_, treatments_, outcomes_, referrals_;
};

/// The ledger's own ids of what was asked for.
std::set<std::string> ledgerIds(const Table& premises, const std::vector<std::string>& wanted) {
  const std::set<std::string> asked(wanted.begin(), wanted.end());
  std::set<std::string> ids;
  for (std::size_t row = 0; row < premises.rows(); ++row) {
    if (asked.contains(at(premises, "id", row)) || asked.contains(at(premises, "public_id", row))) ids.insert(at(premises, "id", row));
  }
  ids.erase("");
  return ids;
}

std::string lookWords(const Table& looks, std::size_t row) {
  const std::string result = spaced(at(looks, "door_result", row)), seen = at(looks, "dogs_seen", row), met = at(looks, "dogs_met", row);
  std::string words = spaced(at(looks, "look", row)) + " (" + spaced(at(looks, "why_here", row)) + ")";
  if (!result.empty()) words += ": " + result;
  if (!met.empty() && met != "0") words += fmt::format(", {} met", met);
  else if (!seen.empty() && seen != "0") words += fmt::format(", {} seen", seen);
  return words;
}

void addPermission(const Records& records, const std::set<std::string>& looks, History& history) {
  for (std::size_t row = 0; row < records.permissions.rows(); ++row) {
    if (!looks.contains(at(records.permissions, "look_id", row))) continue;
    const std::string withdrawn = at(records.permissions, "withdrawn", row), until = at(records.permissions, "until", row);
    history.permission = withdrawn.empty() ? fmt::format("given by {}{}{}", at(records.permissions, "given_by", row).empty() ? "the household" : at(records.permissions, "given_by", row),
                                                         at(records.permissions, "for_what", row).empty() ? "" : " for " + at(records.permissions, "for_what", row), until.empty() ? "" : " until " + until)
                                           : "withdrawn on " + withdrawn;
  }
}

}  // namespace

Result<History> historyOf(const HistoryRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(records, readRecords(request.folder));
  LEEWARD_TRY(progress.checkStop());
  const auto ids = ledgerIds(records.premises, request.premises);
  const std::set<std::string> asked(request.looks.begin(), request.looks.end());
  std::map<std::string, std::string> address;
  History history;
  for (std::size_t row = 0; row < records.premises.rows(); ++row) {
    const std::string id = at(records.premises, "id", row);
    if (asked.empty() && !ids.contains(id)) continue;
    address[id] = at(records.premises, "address", row);
    if (!asked.empty()) continue;
    if (const std::string day = at(records.premises, "asked_not_to_return", row); !day.empty()) history.asked_not_to_return = day;
    if (const std::string hazard = at(records.premises, "hazard", row); !hazard.empty()) history.hazard += (history.hazard.empty() ? "" : "; ") + hazard;
  }
  std::vector<std::pair<std::string, std::size_t>> order;
  std::set<std::string> look_ids;
  const auto premises = textsOf(records.looks, "premises_id");
  for (std::size_t row = 0; row < premises.size(); ++row) {
    if (asked.empty() ? !ids.contains(premises[row]) : !asked.contains(at(records.looks, "id", row))) continue;
    order.emplace_back(at(records.looks, "date", row) + at(records.looks, "time", row), row);
    look_ids.insert(at(records.looks, "id", row));
  }
  std::ranges::sort(order, std::greater<>());
  const Teller teller(records);
  std::vector<std::string> date, where, crew, what, detail, id;
  for (const auto& [key, row] : order) {
    date.push_back(at(records.looks, "date", row)), where.push_back(address.contains(premises[row]) ? address[premises[row]] : at(records.looks, "address", row)), crew.push_back(at(records.looks, "crew", row));
    what.push_back(lookWords(records.looks, row)), detail.push_back(teller.detail(row)), id.push_back(premises[row]);
  }
  history.looks = TableMaker{}.texts("date", date).texts("address", where).texts("crew", crew).texts("what", what).texts("detail", detail).texts("premises_id", id).done();
  if (asked.empty()) addPermission(records, look_ids, history);
  for (std::size_t row = 0; row < records.animals.rows(); ++row) {
    if (!ids.contains(at(records.animals, "premises_id", row))) continue;
    history.animals.push_back({at(records.animals, "name", row), at(records.animals, "kind", row), at(records.animals, "sex", row), at(records.animals, "altered", row),
                               at(records.animals, "first_met", row), at(records.animals, "last_seen", row)});
  }
  return history;
}

}  // namespace leeward::study
