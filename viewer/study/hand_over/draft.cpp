#include "viewer/study/hand_over/draft.h"

#include <algorithm>
#include <cstdlib>
#include <ctime>

#include <fmt/chrono.h>
#include <fmt/format.h>

#include "shared/base/hash.h"
#include "shared/base/text.h"
#include "viewer/study/receipts.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/run/session.h"

namespace leeward::study {
namespace {

Result<void> checkRequest(const HandOverRequest& request) {
  const auto wrong = [](std::string what, std::string mend) { return Problem{ProblemCode::InvalidArgument, std::move(what), "", std::move(mend)}; };
  if (request.audience != "public" && request.audience != "partner" && request.audience != "authority") return wrong("there is no audience \"" + request.audience + "\"", "Audiences are public, partner, authority");
  if (request.audience == "authority" && request.case_id.empty()) return wrong("an authority gets one case's own file, not the study", "Name the case: --case with a visit_id of its premises");
  if (request.audience != "authority" && !request.case_id.empty()) return wrong("a case is for an authority alone", "Leave --case out, or say --audience authority");
  return {};
}

/// Doors of the case: of the look with that visit_id, or of the premises with that id.
std::set<std::int32_t> doorsOfCase(const Book& book, const std::string& id) {
  std::set<std::int32_t> doors;
  const auto keys = textsOf(book.looks, "source_key");
  for (std::size_t row = 0; row < keys.size(); ++row) {
    if (keys[row] == id && book.look_door[row] >= 0) doors.insert(book.look_door[row]);
  }
  for (std::size_t door = 0; door < book.doors.size(); ++door) {
    if (book.doors.id[door] == id) doors.insert(static_cast<std::int32_t>(door));
  }
  return doors;
}

/// The rows of a table that belong to the case, these columns of them.
Table rowsOf(const Table& from, const std::vector<std::size_t>& rows, const std::vector<std::string>& columns) {
  const Table some = from.take(rows);
  Table table;
  for (const auto& name : columns) {
    if (const Column* column = some.find(name)) table.add(*column);
  }
  return table;
}

Result<void> fillCase(const Session& session, HandOverDraft& draft, const std::set<std::int32_t>& doors) {
  const Book& book = session.book;
  draft.case_address = book.doors.address[static_cast<std::size_t>(*doors.begin())];
  std::vector<std::size_t> looks, checks, referrals;
  std::set<std::string> look_ids, visit_ids;
  const auto look_id = textsOf(book.looks, "id"), visit_id = textsOf(book.visits, "id");
  for (std::size_t row = 0; row < book.looks.rows(); ++row) {
    if (doors.contains(book.look_door[row])) looks.push_back(row), look_ids.insert(look_id[row]);
  }
  std::map<std::string, std::pair<std::string, std::string>> told_of_visit;
  const auto names = textsOf(book.visits, "name");
  for (std::size_t row = 0; row < book.visits.rows(); ++row) {
    if (look_ids.contains(look_id[book.visit_look[row]])) told_of_visit[visit_id[row]] = {toIso(book.look_date[book.visit_look[row]]), names[row]};
  }
  const auto of_check = textsOf(book.checks, "visit_id"), of_referral = textsOf(book.referrals, "look_id");
  for (std::size_t row = 0; row < of_check.size(); ++row) {
    if (told_of_visit.contains(of_check[row])) checks.push_back(row);
  }
  for (std::size_t row = 0; row < of_referral.size(); ++row) {
    if (look_ids.contains(of_referral[row])) referrals.push_back(row);
  }
  draft.case_looks = rowsOf(book.looks, looks, {"date", "time", "look", "door_result", "note_left", "dogs_seen", "dogs_met", "promised", "return_by"});
  draft.case_referrals = rowsOf(book.referrals, referrals, {"date", "referred_to", "answered", "answer"});
  Column date("date", Column::Kind::Text), animal("animal", Column::Kind::Text);
  for (const auto row : checks) date.addText(told_of_visit[of_check[row]].first), animal.addText(told_of_visit[of_check[row]].second);
  const Table items = rowsOf(book.checks, checks, {"moment", "items", "body_condition", "body_scale"});
  draft.case_checks.add(std::move(date)), draft.case_checks.add(std::move(animal));
  for (const auto& column : items.columns()) draft.case_checks.add(column);
  return {};
}

/// What is told of an earlier day can't take back what its readers know of a later one.
Result<void> checkDay(const Ledger& ledger, const std::string& audience, Date as_of) {
  LEEWARD_ASSIGN(exports, ledger.exports());
  for (const auto& one : exports) {
    if ((one.audience != audience && one.audience != "public" && one.audience != "partner") || one.as_of <= toIso(as_of)) continue;
    return Problem{ProblemCode::BadData, fmt::format("figures of {} were handed over already ({}), so those of {} can't be made without giving something away", one.as_of, one.audience, toIso(as_of)), "",
                   "Use the folder that was handed over then, or hand over the figures of a later day"};
  }
  return {};
}

Result<void> fillFigures(Session& session, const HandOverRequest& request, HandOverDraft& draft, Progress progress) {
  LEEWARD_TRY(checkDay(session.ledger, draft.audience, draft.as_of));
  auto locating = progress.part(0, 0.2), counting = progress.part(0.2, 0.5), masking = progress.part(0.5, 1);
  LEEWARD_ASSIGN(areas, toldAreas(session.context, session.book.doors.position, request.by, locating));
  draft.areas = std::move(areas);
  const Every every = request.every.value_or(parseEvery(session.study.outputs.every).value_or(Every::Quarter));
  LEEWARD_ASSIGN(counts, toldCounts(session.context, session.book, draft.areas, draft.audience, every, counting));
  draft.counts = std::move(counts);
  draft.figures = toldTable(draft.counts, draft.threshold);
  LEEWARD_ASSIGN(places, toldPlaces(session.context, session.book, draft.areas, draft.audience, masking));
  draft.places = std::move(places);
  return {};
}

std::string account() {
  for (const char* name : {"USER", "LOGNAME"}) {
    if (const char* value = std::getenv(name); value != nullptr && *value != '\0') return value;
  }
  return "unknown";
}

std::string momentNow() { return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::time(nullptr))); }

}  // namespace

Result<PreparedHandOver> prepareHandOver(const HandOverRequest& request, Progress& progress) {
  LEEWARD_TRY(checkRequest(request));
  auto running = progress.part(0, 0.5);
  LEEWARD_ASSIGN(outcome, runStudy(request.run, running));
  PreparedHandOver prepared{.draft = {}, .run = std::move(outcome)};
  LEEWARD_ASSIGN(session, openSession(request.run, progress.part(0.5, 0.7)));
  HandOverDraft& draft = prepared.draft;
  const Findings& findings = *prepared.run.findings;
  draft.audience = request.audience, draft.case_id = request.case_id, draft.study = findings.name, draft.as_of = findings.as_of;
  draft.sources = findings.sources, draft.improved_rule = findings.improved_rule;
  if (!session->book.look_date.empty()) draft.record_begins = toIso(std::ranges::min(session->book.look_date));
  if (request.audience != "authority") {
    draft.threshold = session->study.audiences.at(request.audience).threshold, draft.k = session->study.audiences.at(request.audience).k;
    LEEWARD_TRY(fillFigures(*session, request, draft, progress.part(0.7, 0.95)));
  }
  std::set<std::int32_t> doors;
  if (request.audience == "authority") {
    doors = doorsOfCase(session->book, request.case_id);
    if (doors.size() != 1) return Problem{ProblemCode::NotFound, "there is no such case with a known premises", request.case_id, "Give the visit_id of a look there, as the crew's file has it, or the premises' id"};
    LEEWARD_TRY(fillCase(*session, draft, doors));
  }
  LEEWARD_ASSIGN(facts, privateFacts(session->context, session->book, doors));
  draft.facts = std::move(facts);
  for (const char* audience : {"public", "partner"}) {
    LEEWARD_ASSIGN(places, session->ledger.maskedPlaces(audience));
    for (const auto& place : places) {
      if (place.lon_lat) draft.facts.told_before.push_back(*place.lon_lat);
    }
  }
  return prepared;
}

Result<void> keepHandOver(const PreparedHandOver& done, const std::vector<std::pair<std::string, std::string>>& files, Progress& progress) {
  LEEWARD_ASSIGN(ledger, Ledger::open(done.run.study.ledger()));
  HandOverNote note;
  Sha256 content;
  std::vector<std::string> id, sha256, name, audience, made_at, receipt;
  Receipt told = receiptOf(done.run.study, done.draft.as_of, done.run.inputs);
  told.what = "Hand-over: " + done.draft.audience, told.findings = done.run.key;
  for (const auto& [file, hash] : files) {
    content.addField(file).addField(hash);
    note.what.files += hash + " " + file + "\n";
    id.push_back(newUuid()), sha256.push_back(hash), name.push_back(file), audience.push_back(done.draft.audience), made_at.push_back(toIso(today()));
    receipt.push_back(toJson(told));
  }
  note.what.id = newUuid(), note.what.made_at = momentNow(), note.what.made_by = account();
  note.what.audience = done.draft.audience, note.what.case_id = done.draft.case_id, note.what.as_of = toIso(done.draft.as_of), note.what.content_hash = content.hex();
  note.tables = done.draft.counts.tables, note.cells = done.draft.counts.news, note.places = done.draft.places.news;
  LEEWARD_TRY(ledger.noteHandOver(note));
  LEEWARD_TRY(ledger.put({{Entity::Outputs, TableMaker{}.texts("id", id).texts("sha256", sha256).texts("file_name", name).texts("audience", audience).texts("made_at", made_at).texts("receipt", receipt).done()}}, progress));
  return ledger.close();
}

}  // namespace leeward::study
