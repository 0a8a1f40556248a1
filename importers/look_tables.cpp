#include "importers/look_tables.h"

#include <algorithm>

#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr auto kText = Column::Kind::Text;
constexpr auto kInteger = Column::Kind::Integer;
constexpr auto kReal = Column::Kind::Real;

template <class T>
void keepFirst(std::optional<T>& kept, const std::optional<T>& value) {
  if (!kept && value) kept = value;
}

std::string isoOrEmpty(const std::optional<Date>& date) { return date ? toIso(*date) : std::string{}; }

}  // namespace

/// What the rows of a look say together.
struct LookTables::Look {
  std::string id = newUuid();
  Sha256 content;
  std::optional<Date> date, return_by, permission_until;
  std::string time, address;
  std::optional<Point> lon_lat;
  std::string crew, place, postcode, promised, notes, hazard, household, phone, photos, language, heard_by;
  std::string permission_by, permission_how, permission_for;
  std::string_view look, why_here, door_result;
  bool note_left = false, permitted = false, withdrawn = false;
  std::optional<std::int64_t> dogs_seen, dogs_met;
  std::vector<std::string> referred_to;
  std::int64_t animals = 0;
};

LookTables::LookTables(const Rows& rows, const VisitColumns& columns, const std::vector<VisitRow>& visits, LookCounts& counts)
    : rows_(rows), columns_(columns), visits_(visits), counts_(counts),
      looks_({{"id", kText}, {"source_key", kText}, {"date", kText}, {"time", kText}, {"crew", kText}, {"address", kText}, {"place", kText},
              {"postcode", kText}, {"placement_id", kText}, {"premises_id", kText}, {"look", kText}, {"why_here", kText},
              {"door_result", kText}, {"note_left", kInteger}, {"dogs_seen", kInteger}, {"dogs_met", kInteger}, {"promised", kText},
              {"return_by", kText}, {"notes", kText}, {"hazard", kText}, {"household", kText}, {"phone", kText}, {"photos", kText},
              {"language", kText}, {"heard_by", kText}, {"lon", kReal}, {"lat", kReal}, {"content_hash", kText}}),
      permissions_({{"id", kText}, {"look_id", kText}, {"given_by", kText}, {"how", kText}, {"for_what", kText}, {"until", kText}, {"withdrawn", kText}}),
      animals_({{"id", kText}, {"look_id", kText}, {"ordinal", kInteger}, {"animal_id", kText}, {"name", kText}, {"kind", kText}, {"sex", kText},
                {"age", kText}, {"altered", kText}, {"description", kText}}),
      checks_({{"id", kText}, {"visit_id", kText}, {"moment", kText}, {"items", kText}, {"body_condition", kInteger}, {"body_scale", kText}}),
      services_({{"id", kText}, {"look_id", kText}, {"visit_id", kText}, {"item", kText}, {"quantity", kReal}}),
      treatments_({{"id", kText}, {"visit_id", kText}, {"product", kText}, {"lot", kText}, {"weight", kReal}, {"weight_unit", kText}, {"next_due", kText}}),
      outcomes_({{"id", kText}, {"visit_id", kText}, {"date", kText}, {"outcome", kText}, {"followed", kText}}),
      referrals_({{"id", kText}, {"look_id", kText}, {"date", kText}, {"referred_to", kText}, {"answered", kText}, {"answer", kText}}) {}

void LookTables::gather(Look& look, const std::vector<std::size_t>& look_rows) {
  bool unlike = false;
  for (const std::size_t row : look_rows) {
    const VisitRow& visit = visits_[row];
    keepFirst(look.date, visit.date);
    keepFirst(look.return_by, visit.return_by);
    keepFirst(look.permission_until, visit.permission_until);
    keepFirst(look.lon_lat, visit.lon_lat);
    if (look.time.empty()) look.time = visit.time;
    if (look.address.empty()) look.address = visit.address;
    if (look.look.empty()) look.look = visit.look;
    if (look.why_here.empty()) look.why_here = visit.why_here;
    if (look.door_result.empty()) look.door_result = visit.door_result;
    look.note_left = look.note_left || visit.note_left.value_or(false);
    look.permitted = look.permitted || visit.permitted;
    look.withdrawn = look.withdrawn || visit.withdrawn;
    for (const auto& [said, kept] : {std::pair(&visit.dogs_seen, &look.dogs_seen), std::pair(&visit.dogs_met, &look.dogs_met)}) {
      unlike = unlike || (*said && *kept && **said != **kept);
      if (*said && (!*kept || **said > **kept)) *kept = *said;
    }
    for (const auto& [slot, joined] : {std::pair(columns_.crew, &look.crew), {columns_.place, &look.place}, {columns_.postcode, &look.postcode},
                                       {columns_.promised, &look.promised}, {columns_.notes, &look.notes}, {columns_.hazard, &look.hazard},
                                       {columns_.household, &look.household}, {columns_.phone, &look.phone}, {columns_.photos, &look.photos},
                                       {columns_.language, &look.language}, {columns_.heard_by, &look.heard_by},
                                       {columns_.permission_by, &look.permission_by}, {columns_.permission_how, &look.permission_how},
                                       {columns_.permission_for, &look.permission_for}}) {
      addDistinct(*joined, text(slot, row));
    }
    const std::string_view to = text(columns_.referred_to, row);
    const std::string authority(to.empty() && visit.outcome == "referred" ? "not said" : to);
    if (!authority.empty() && std::ranges::find(look.referred_to, authority) == look.referred_to.end()) look.referred_to.push_back(authority);
  }
  counts_.unlike_counts += unlike ? 1 : 0;
}

void LookTables::add(const std::string& source_key, const std::vector<std::size_t>& look_rows) {
  Look look;
  gather(look, look_rows);
  for (TableWriter* writer : {&looks_, &permissions_, &animals_, &checks_, &services_, &treatments_, &outcomes_, &referrals_}) {
    writer->tee = &look.content;
  }
  for (const std::size_t row : look_rows) addAnimal(look, row, look_rows.size() == 1);
  addPermission(look);
  for (const std::string& to : look.referred_to) {
    referrals_.id(newUuid()).id(look.id).text(isoOrEmpty(look.date)).text(to).none().text("");
  }
  if (look.dogs_met && look.dogs_seen && *look.dogs_met > *look.dogs_seen) ++counts_.met_above_seen;
  if (look.dogs_met && *look.dogs_met > look.animals) ++counts_.more_met_than_rows;
  addLook(look, source_key);
}

bool LookTables::addAnimal(Look& look, std::size_t row, bool only_row) {
  const VisitRow& visit = visits_[row];
  const bool described = !visit.found.empty() || !visit.left.empty() || visit.body_condition || !text(columns_.dog_name, row).empty() ||
                         !text(columns_.description, row).empty() || !text(columns_.sex, row).empty() ||
                         !text(columns_.age, row).empty() || !text(columns_.altered, row).empty();
  const bool permitted = look.permitted || look.door_result == "welcomed";
  const bool met = look.dogs_met.value_or(0) > 0;
  const bool ended = !visit.outcome.empty() && visit.outcome != "referred";
  const bool made = ended || !visit.treatments.empty() || (met && (described || only_row)) || (permitted && described);
  if (!made) {
    addChildren(look, row, {});
    if (!described) return false;
    std::string seen = "seen without permission:";
    for (const Rows::Slot slot : {columns_.dog_name, columns_.sex, columns_.age, columns_.altered, columns_.description}) {
      if (!text(slot, row).empty()) seen.append(" ").append(text(slot, row)).append(",");
    }
    for (const std::string* packed : {&visit.found, &visit.left}) {
      if (!packed->empty()) seen.append(" ").append(*packed).append(",");
    }
    if (visit.body_condition) seen += fmt::format(" body condition {} ({}),", *visit.body_condition, visit.body_scale);
    seen.pop_back();
    addDistinct(look.notes, seen);
    ++counts_.kept_as_notes;
    return false;
  }
  const std::string id = newUuid();
  const std::string kind = tidyWord(text(columns_.kind, row));
  animals_.id(id).id(look.id).integer(++look.animals).none().text(text(columns_.dog_name, row)).text(kind.empty() ? "dog" : kind);
  animals_.text(tidyWord(text(columns_.sex, row))).text(text(columns_.age, row)).text(tidyWord(text(columns_.altered, row)));
  animals_.text(text(columns_.description, row));
  if (!visit.found.empty() || visit.body_condition) addCheck(id, "found", visit.found, &visit);
  if (!visit.left.empty()) addCheck(id, "left", visit.left, nullptr);
  addChildren(look, row, id);
  return true;
}

void LookTables::addCheck(const std::string& visit_id, const char* moment, const std::string& items, const VisitRow* body) {
  checks_.id(newUuid()).id(visit_id).text(moment).text(items);
  checks_.integer(body != nullptr ? body->body_condition : std::nullopt).text(body != nullptr ? body->body_scale : std::string_view{});
}

/// visit_id "": the look has no animal to hang them on.
void LookTables::addChildren(const Look& look, std::size_t row, const std::string& visit_id) {
  const VisitRow& visit = visits_[row];
  for (const Item& item : visit.done) {
    services_.id(newUuid()).id(look.id);
    if (visit_id.empty()) services_.none();
    else services_.id(visit_id);
    services_.text(item.item).real(item.quantity);
  }
  if (visit_id.empty()) return;
  for (const Treatment& treatment : visit.treatments) {
    treatments_.id(newUuid()).id(visit_id).text(treatment.product).text(treatment.lot).real(treatment.weight);
    treatments_.text(treatment.weight_unit).textOrMissing(treatment.next_due);
  }
  if (!visit.outcome.empty()) outcomes_.id(newUuid()).id(visit_id).text(isoOrEmpty(look.date)).text(visit.outcome).text(visit.followed);
}

void LookTables::addPermission(const Look& look) {
  if (!look.permitted && !look.withdrawn && !look.permission_until) return;
  const std::string by = lowerAscii(look.permission_by);
  permissions_.id(newUuid()).id(look.id).text(look.withdrawn || by == "yes" || by == "y" ? "" : by).text(lowerAscii(look.permission_how));
  permissions_.text(look.permission_for).textOrMissing(isoOrEmpty(look.permission_until)).textOrMissing(look.withdrawn ? isoOrEmpty(look.date) : "");
}

void LookTables::addLook(Look& look, const std::string& source_key) {
  std::string_view kind = look.look;
  if (kind.empty()) {
    kind = lowerAscii(look.permission_how) == "phone" && look.door_result.empty() ? "call" : "knock";
    if (look.door_result.empty()) ++counts_.look_not_said;
  }
  if (look.why_here.empty()) ++counts_.why_not_said;
  looks_.id(look.id).id(source_key).text(isoOrEmpty(look.date)).text(look.time).text(look.crew).text(look.address);
  looks_.text(look.place).text(look.postcode).none().none().text(kind).text(look.why_here.empty() ? "passing" : look.why_here);
  looks_.text(look.door_result).integer(look.note_left ? 1 : 0).integer(look.dogs_seen).integer(look.dogs_met).text(look.promised);
  looks_.textOrMissing(isoOrEmpty(look.return_by)).text(look.notes).text(look.hazard).text(look.household).text(look.phone);
  looks_.text(look.photos).text(look.language).text(look.heard_by);
  looks_.real(look.lon_lat ? std::optional(look.lon_lat->x) : std::nullopt).real(look.lon_lat ? std::optional(look.lon_lat->y) : std::nullopt);
  looks_.id(look.content.hex());
}

void LookTables::expect(double times) {
  for (TableWriter* writer : {&looks_, &permissions_, &animals_, &checks_, &services_, &treatments_, &outcomes_, &referrals_}) writer->expect(times);
}

void LookTables::finish(ImportBatch& batch) {
  counts_.looks += looks_.rows(), counts_.animals += animals_.rows();
  batch.rows.emplace(Entity::Looks, looks_.take());
  batch.rows.emplace(Entity::Permissions, permissions_.take());
  batch.rows.emplace(Entity::Visits, animals_.take());
  batch.rows.emplace(Entity::Checks, checks_.take());
  batch.rows.emplace(Entity::Services, services_.take());
  batch.rows.emplace(Entity::Treatments, treatments_.take());
  batch.rows.emplace(Entity::Outcomes, outcomes_.take());
  batch.rows.emplace(Entity::Referrals, referrals_.take());
}

std::vector<std::string> LookCounts::remarks() const {
  std::vector<std::string> said;
  const auto remark = [&](std::size_t count, std::string_view what) {
    if (count > 0) said.push_back(fmt::format("{} {} {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? "look" : "looks", what));
  };
  remark(look_not_said, "without a kind of look and door result, taken as knock");
  remark(why_not_said, "without a reason (why_here), taken as passing: they do not count as planned. If they were planned rounds: --map why=planned");
  remark(met_above_seen, "with more dogs met than seen; kept as written");
  remark(more_met_than_rows, "with more dogs met than animals described");
  remark(unlike_counts, "whose rows give different dogs_seen or dogs_met; the largest was taken");
  if (kept_as_notes > 0) {
    said.push_back(fmt::format("{} descriptions of animals without permission or meeting were kept in the look's notes", formatCount(static_cast<std::int64_t>(kept_as_notes))));
  }
  return said;
}

}  // namespace leeward::importers
