// Forgetting: rows leave with no copy in the change log, pages are overwritten, and a keyed hash keeps them from coming back.
#include "shared/ledger/forget.h"

#include <algorithm>
#include <set>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/base/text.h"
#include "shared/ledger/change_log.h"
#include "shared/ledger/store.h"
#include "shared/ledger/tombstones.h"

namespace leeward {
namespace {

using ledger::Database;
using ledger::Tombstones;
using View = std::string_view;
using Ids = std::set<std::string>;

constexpr std::size_t kShortestWords = 4;  ///< shorter texts ("no", "Bo") stand in rows that have nothing to do with it

/// The texts of a one-column query for each bound value.
Result<Ids> textsFor(const Database& database, const std::string& sql, const Ids& values) {
  LEEWARD_ASSIGN(select, database.prepare(sql));
  Ids found;
  for (const auto& value : values) {
    select.bind(1, View(value));
    while (true) {
      LEEWARD_ASSIGN(more, select.step());
      if (!more) break;
      if (!select.text(0).empty()) found.emplace(select.text(0));
    }
  }
  return found;
}

Result<std::uint64_t> eraseFor(const Database& database, const std::string& sql, const Ids& values) {
  LEEWARD_ASSIGN(remove, database.prepare(sql));
  LEEWARD_ASSIGN(before, database.number("SELECT total_changes()"));
  for (const auto& value : values) LEEWARD_TRY(remove.bind(1, View(value)).run());
  LEEWARD_ASSIGN(after, database.number("SELECT total_changes()"));
  return static_cast<std::uint64_t>(after.value_or(0) - before.value_or(0));
}

/// `words` as a whole piece of `text`: no letter or digit goes on at either end. Upper and lower case alike.
bool holdsWords(View text, View words) {
  const std::string low = lowerAscii(text), sought = lowerAscii(words);
  const auto goesOn = [&](std::size_t at) { return at < low.size() && (isDigit(low[at]) || (low[at] >= 'a' && low[at] <= 'z')); };
  for (std::size_t at = low.find(sought); at != std::string::npos; at = low.find(sought, at + 1)) {
    if ((at == 0 || !goesOn(at - 1)) && !goesOn(at + sought.size())) return true;
  }
  return false;
}

class Forgetting {
 public:
  Forgetting(const Database& database, const ForgetRequest& request, Tombstones tombstones) : database_(database), request_(request), tombstones_(std::move(tombstones)) {}

  Result<Forgotten> run(Progress& progress) {
    LEEWARD_TRY(find());
    LEEWARD_TRY(checkReferrals());
    LEEWARD_TRY(collectWords());
    progress.report(0.3, "Forgetting");
    LEEWARD_TRY(bury());
    LEEWARD_TRY(eraseRows());
    LEEWARD_TRY(eraseLog());
    done_.words.assign(words_.begin(), words_.end());
    return done_;
  }

 private:
  Result<void> find() {
    const Ids named(request_.premises.begin(), request_.premises.end());
    LEEWARD_ASSIGN(premises, textsFor(database_, "SELECT id FROM premises WHERE id = ?1 OR public_id = ?1", named));
    premises_ = std::move(premises);
    for (const char* table : {"looks", "sightings"}) {
      Ids& rows = table == View("looks") ? looks_ : sightings_;
      const std::string until = request_.until_day ? " AND date <= '" + request_.day + "'" : "";  // an ISO day of our own
      LEEWARD_ASSIGN(linked, textsFor(database_, fmt::format("SELECT id FROM {} WHERE premises_id = ?1{}", table, until), premises_));
      rows = std::move(linked);
      if (!request_.until_day) continue;
      LEEWARD_ASSIGN(later, textsFor(database_, fmt::format("SELECT premises_id FROM {} WHERE premises_id = ?1 AND date > '{}'", table, request_.day), premises_));
      stay_.merge(later);
    }
    for (const auto& id : stay_) premises_.erase(id);
    if (!request_.household.empty()) LEEWARD_TRY(findHousehold());
    LEEWARD_ASSIGN(placements, textsFor(database_, "SELECT id FROM placements WHERE premises_id = ?1", premises_));
    placements_ = std::move(placements);
    LEEWARD_ASSIGN(visits, textsFor(database_, "SELECT id FROM visits WHERE look_id = ?1", looks_));
    visits_ = std::move(visits);
    LEEWARD_ASSIGN(animals, textsFor(database_, "SELECT id FROM animals WHERE premises_id = ?1", premises_));
    animals_ = std::move(animals);
    done_.looks = looks_.size(), done_.sightings = sightings_.size(), done_.visits = visits_.size();
    return {};
  }

  Result<void> findHousehold() {
    const std::string tag = tombstones_.tagOf(Tombstones::What::Name, request_.household);
    LEEWARD_ASSIGN(select, database_.prepare("SELECT id, household, premises_id FROM looks WHERE household <> ''"));
    while (true) {
      LEEWARD_ASSIGN(more, select.step());
      if (!more) return {};
      if (tombstones_.tagOf(Tombstones::What::Name, select.text(1)) == tag) looks_.emplace(select.text(0));
    }
  }

  Result<void> checkReferrals() {
    LEEWARD_ASSIGN(open, textsFor(database_, "SELECT date || ' to ' || referred_to FROM referrals WHERE look_id = ?1 AND answered IS NULL", looks_));
    if (open.empty() || request_.despite_referral) return {};
    return Problem{ProblemCode::AlreadyExists, fmt::format("a referral has no answer yet ({}), so the record is held: it may be evidence; nothing was forgotten", *open.begin()), "",
                   "Wait for the answer, or ask counsel and say --despite-referral"};
  }

  /// What other rows and files may still say: addresses as typed, names, telephones.
  Result<void> collectWords() {
    for (const char* column : {"address", "household", "phone"}) {
      LEEWARD_ASSIGN(texts, textsFor(database_, fmt::format("SELECT {} FROM looks WHERE id = ?1", column), looks_));
      keepWords(texts);
    }
    LEEWARD_ASSIGN(typed, textsFor(database_, "SELECT address FROM sightings WHERE id = ?1", sightings_));
    keepWords(typed);
    LEEWARD_ASSIGN(matched, textsFor(database_, "SELECT address FROM premises WHERE id = ?1", premises_));
    keepWords(matched);
    if (!request_.household.empty()) keepWords({request_.household});
    for (const auto& [table, rows] : {std::pair("looks", &looks_), std::pair("sightings", &sightings_)}) {
      LEEWARD_ASSIGN(files, textsFor(database_, fmt::format("SELECT file_name FROM imports JOIN {0} ON {0}.import_id = imports.id WHERE {0}.id = ?1", table), *rows));
      done_.from_files.insert(done_.from_files.end(), files.begin(), files.end());
    }
    return findPhotos();
  }

  void keepWords(const Ids& texts) {
    for (const auto& text : texts) {
      if (trim(text).size() >= kShortestWords) words_.emplace(trim(text));
    }
  }

  Result<void> findPhotos() {
    LEEWARD_ASSIGN(lists, textsFor(database_, "SELECT photos FROM looks WHERE id = ?1", looks_));
    Ids names;
    for (const auto& list : lists) {
      for (const auto name : split(list, ';')) {
        if (!trim(name).empty()) names.emplace(trim(name));
      }
    }
    LEEWARD_ASSIGN(ids, textsFor(database_, "SELECT id FROM photos WHERE file_name = ?1 OR file_name LIKE '%/' || ?1", names));
    photos_ = std::move(ids);
    LEEWARD_ASSIGN(files, textsFor(database_, "SELECT folder || '/' || file_name FROM photos WHERE id = ?1", photos_));
    done_.photo_files.assign(files.begin(), files.end());
    done_.photos = photos_.size();
    return {};
  }

  Result<void> buryColumn(Tombstones::What what, const std::string& sql, const Ids& rows) {
    LEEWARD_ASSIGN(texts, textsFor(database_, sql, rows));
    for (const auto& text : texts) LEEWARD_TRY(tombstones_.add(database_, what, text, request_.day));
    return {};
  }
  Result<void> bury() {
    using What = Tombstones::What;
    LEEWARD_TRY(buryColumn(What::Key, "SELECT source_key FROM looks WHERE id = ?1", looks_));
    LEEWARD_TRY(buryColumn(What::Key, "SELECT source_key FROM sightings WHERE id = ?1", sightings_));
    LEEWARD_TRY(buryColumn(What::Key, "SELECT source_key FROM photos WHERE id = ?1", photos_));
    LEEWARD_TRY(buryColumn(What::Name, "SELECT household FROM looks WHERE id = ?1", looks_));
    LEEWARD_TRY(buryColumn(What::Premises, "SELECT coalesce(public_id, address) FROM premises WHERE id = ?1", premises_));
    if (!premises_.empty()) {  // of a household alone the address is not to be shut to others who live there
      LEEWARD_TRY(buryColumn(What::Address, "SELECT address FROM looks WHERE id = ?1", looks_));
      LEEWARD_TRY(buryColumn(What::Address, "SELECT address FROM sightings WHERE id = ?1", sightings_));
    }
    if (!request_.household.empty()) LEEWARD_TRY(tombstones_.add(database_, What::Name, request_.household, request_.day));
    return {};
  }

  Result<void> eraseRows() {
    for (const char* table : {"checks", "treatments", "outcomes", "services"}) {
      LEEWARD_ASSIGN(ids, textsFor(database_, fmt::format("SELECT id FROM {} WHERE visit_id = ?1", table), visits_));
      gone_.insert(ids.begin(), ids.end());
    }
    for (const char* table : {"permissions", "referrals", "services"}) {
      LEEWARD_ASSIGN(ids, textsFor(database_, fmt::format("SELECT id FROM {} WHERE look_id = ?1", table), looks_));
      gone_.insert(ids.begin(), ids.end());
    }
    LEEWARD_ASSIGN(typed, textsFor(database_, "SELECT typed_key FROM placements WHERE id = ?1", placements_));
    LEEWARD_ASSIGN(decided, textsFor(database_, "SELECT id FROM decisions WHERE typed = ?1", typed));
    keepTyped(typed);
    for (const Ids* ids : std::initializer_list<const Ids*>{&looks_, &sightings_, &visits_, &placements_, &premises_, &animals_, &photos_, &decided}) gone_.insert(ids->begin(), ids->end());
    LEEWARD_TRY(eraseRefused());
    LEEWARD_ASSIGN(decisions, eraseFor(database_, "DELETE FROM decisions WHERE id = ?1", decided));
    done_.decisions = decisions;
    LEEWARD_TRY(eraseFor(database_, "DELETE FROM looks WHERE id = ?1", looks_));
    LEEWARD_TRY(eraseFor(database_, "DELETE FROM sightings WHERE id = ?1", sightings_));
    LEEWARD_TRY(eraseFor(database_, "DELETE FROM photos WHERE id = ?1", photos_));
    for (const char* link : {"UPDATE visits SET animal_id = NULL WHERE animal_id = ?1", "UPDATE sightings SET animal_id = NULL WHERE animal_id = ?1", "DELETE FROM animals WHERE id = ?1"}) {
      LEEWARD_TRY(eraseFor(database_, link, animals_));
    }
    LEEWARD_TRY(eraseFor(database_, "DELETE FROM placements WHERE id = ?1", placements_));
    LEEWARD_TRY(eraseFor(database_, "DELETE FROM premises WHERE id = ?1", premises_));
    LEEWARD_TRY(eraseUnlinked());
    LEEWARD_ASSIGN(masked, eraseFor(database_, "DELETE FROM masked_places WHERE premises_tag = ?1", Ids(request_.premises_tags.begin(), request_.premises_tags.end())));
    done_.masked_places = masked;
    return {};
  }

  void keepTyped(const Ids& typed_keys) {
    for (const auto& key : typed_keys) keepWords({std::string(trim(View(key).substr(0, key.find('|'))))});
  }

  /// Animals and placements that only the forgotten rows led to.
  Result<void> eraseUnlinked() {
    const auto take = [&](const char* table, const std::string& condition) -> Result<void> {
      LEEWARD_ASSIGN(ids, textsFor(database_, fmt::format("SELECT id FROM {} WHERE ?1 = '' AND {}", table, condition), {""}));
      gone_.insert(ids.begin(), ids.end());
      LEEWARD_TRY(eraseFor(database_, fmt::format("DELETE FROM {} WHERE id = ?1", table), ids));
      return {};
    };
    LEEWARD_TRY(take("animals", "premises_id IS NULL AND id NOT IN (SELECT animal_id FROM visits WHERE animal_id IS NOT NULL UNION SELECT animal_id FROM sightings WHERE animal_id IS NOT NULL) "
                                "AND substr(gather_key, 5, 36) NOT IN (SELECT id FROM looks)"));
    return take("placements", "id NOT IN (SELECT placement_id FROM looks WHERE placement_id IS NOT NULL UNION SELECT placement_id FROM sightings WHERE placement_id IS NOT NULL)");
  }

  Result<void> eraseRefused() {
    LEEWARD_ASSIGN(select, database_.prepare("SELECT id, value, row, source_key FROM refused_rows"));
    Ids ids;
    while (true) {
      LEEWARD_ASSIGN(more, select.step());
      if (!more) break;
      if (std::ranges::any_of(words_, [&](const auto& words) { return holdsWords(select.text(2), words) || holdsWords(select.text(1), words); })) ids.emplace(select.text(0));
    }
    gone_.insert(ids.begin(), ids.end());
    LEEWARD_ASSIGN(erased, eraseFor(database_, "DELETE FROM refused_rows WHERE id = ?1", ids));
    done_.refused_rows = erased;
    return {};
  }

  /// Rows that hung on forgotten ones before a correction replaced them: they stand in the log alone, visits before their checks.
  Result<void> addFormerRows() {
    for (const char* parent : {"look_id", "visit_id"}) {
      LEEWARD_ASSIGN(select, database_.prepare(fmt::format("SELECT row_id, json_extract(before, '$.{}') FROM change_log WHERE action = 'delete' AND before IS NOT NULL", parent)));
      Ids former;
      while (true) {
        LEEWARD_ASSIGN(more, select.step());
        if (!more) break;
        if (gone_.contains(std::string(select.text(1)))) former.emplace(select.text(0));
      }
      gone_.merge(former);
    }
    return {};
  }

  /// Lines about rows that are gone, and former values elsewhere that say any of it.
  Result<void> eraseLog() {
    LEEWARD_TRY(addFormerRows());
    LEEWARD_ASSIGN(lines, eraseFor(database_, "DELETE FROM change_log WHERE row_id = ?1", gone_));
    done_.log_lines = lines;
    LEEWARD_ASSIGN(select, database_.prepare("SELECT id, before FROM change_log WHERE before IS NOT NULL"));
    Ids ids;
    while (true) {
      LEEWARD_ASSIGN(more, select.step());
      if (!more) break;
      const std::string before(select.text(1));
      const auto saysIt = [&](const std::string& words) {
        const std::string escaped = nlohmann::json(words).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
        return holdsWords(before, words) || holdsWords(before, View(escaped).substr(1, escaped.size() - 2));
      };
      if (std::ranges::any_of(words_, saysIt)) ids.emplace(select.text(0));
    }
    LEEWARD_ASSIGN(more_lines, eraseFor(database_, "DELETE FROM change_log WHERE id = ?1", ids));
    done_.log_lines += more_lines;
    LEEWARD_ASSIGN(log, ledger::ChangeLog::start(database_));  // that something was done, not what: results are stale
    return done_.nothing() ? Result<void>() : log.inserted(Entity::Decisions, "forgotten");
  }

  const Database& database_;
  const ForgetRequest& request_;
  Tombstones tombstones_;
  Ids premises_, looks_, sightings_, visits_, placements_, animals_, photos_;
  Ids stay_;   ///< premises at which there are later rows
  Ids gone_;   ///< ids of all rows that leave
  Ids words_;
  Forgotten done_;
};

}  // namespace

Result<Forgotten> Ledger::forget(const ForgetRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_TRY(database->run("PRAGMA secure_delete=ON"));
  LEEWARD_ASSIGN(tombstones, Tombstones::read(*database));
  Forgotten done;
  {
    LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
    Forgetting forgetting(*database, request, std::move(tombstones));
    LEEWARD_ASSIGN(forgotten, forgetting.run(progress));
    done = std::move(forgotten);
    LEEWARD_TRY(progress.checkStop());
    if (request.dry_run || done.nothing()) return done;  // rolled back
    LEEWARD_TRY(transaction.commit());
  }
  progress.report(0.7, "Overwriting free pages");
  LEEWARD_TRY(database->run("PRAGMA journal_mode=DELETE"));  // what stood in the write-ahead log goes with it
  LEEWARD_TRY(database->run("VACUUM"));
  LEEWARD_TRY(database->run("PRAGMA journal_mode=WAL"));
  progress.report(1);
  return done;
}

Result<std::vector<std::pair<std::string, std::string>>> Ledger::forgottenPremises() const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(tombstones, Tombstones::read(*database));
  std::vector<std::pair<std::string, std::string>> known;
  if (tombstones.empty()) return known;
  LEEWARD_ASSIGN(select, database->prepare("SELECT id, coalesce(public_id, address) FROM premises ORDER BY id"));
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) return known;
    if (auto day = tombstones.dayOf(Tombstones::What::Premises, select.text(1)); !day.empty()) known.emplace_back(select.text(0), std::move(day));
  }
}

}  // namespace leeward
