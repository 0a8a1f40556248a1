#include <algorithm>
#include <initializer_list>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/base/text.h"
#include "shared/ledger/change_log.h"
#include "shared/ledger/store.h"

namespace leeward {
namespace {

using ledger::ChangeLog;
using ledger::Database;
using ledger::RowAsJson;

// ?1 is the import.
constexpr const char* kItsLooks = "SELECT id FROM looks WHERE import_id = ?1";
constexpr const char* kItsPlacements =
    "SELECT placement_id FROM looks WHERE import_id = ?1 AND placement_id IS NOT NULL "
    "UNION SELECT placement_id FROM sightings WHERE import_id = ?1 AND placement_id IS NOT NULL";
constexpr const char* kOtherPlacements =
    "SELECT placement_id FROM looks WHERE import_id <> ?1 AND placement_id IS NOT NULL "
    "UNION SELECT placement_id FROM sightings WHERE import_id <> ?1 AND placement_id IS NOT NULL";
/// Ids of a table's column that links to another.
std::string linked(const char* column, std::initializer_list<const char*> tables) {
  std::vector<std::string> selects;
  for (const char* table : tables) selects.push_back(fmt::format("SELECT {0} FROM {1} WHERE {0} IS NOT NULL", column, table));
  return join(selects, " UNION ");
}

/// Deletes the rows of a table that meet a condition and writes each into the change log. Returns how many.
Result<std::uint64_t> erase(const Database& database, Entity entity, const std::string& condition, std::optional<std::string_view> import_id, ChangeLog& log,
                            Progress& progress) {
  LEEWARD_ASSIGN(fields, ledger::fieldsOf(database, entity));
  std::vector<std::string> names;
  for (const auto& field : fields) names.push_back(field.name);
  const std::string from = fmt::format("FROM {} WHERE {}", tableName(entity), condition);
  LEEWARD_ASSIGN(select, database.prepare(fmt::format("SELECT {} {}", join(names, ", "), from)));
  LEEWARD_ASSIGN(remove, database.prepare("DELETE " + from));
  if (import_id) select.bind(1, *import_id), remove.bind(1, *import_id);
  std::uint64_t rows = 0;
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) break;
    if (rows++ % ledger::kRowsBetweenReports == 0) LEEWARD_TRY(progress.checkStop());
    RowAsJson before;
    std::string id;
    for (std::size_t i = 0; i < fields.size(); ++i) {
      if (fields[i].name == "id") id = select.text(static_cast<int>(i));
      before.add(fields[i], select, static_cast<int>(i));
    }
    LEEWARD_TRY(log.deleted(entity, id, before.text()));
  }
  LEEWARD_TRY(remove.run());
  return rows;
}

/// What hangs on the import's looks, leaves first.
Result<void> eraseChildren(const Database& database, std::string_view import_id, ChangeLog& log, Progress& progress) {
  const auto& all = ledger::allEntities();
  for (auto entity = all.rbegin(); entity != all.rend(); ++entity) {
    const auto parents = ledger::parentsOf(*entity);
    std::vector<std::string> conditions;
    if (parents.look) conditions.push_back(fmt::format("look_id IN ({})", kItsLooks));
    if (parents.visit) conditions.push_back(fmt::format("visit_id IN (SELECT id FROM visits WHERE look_id IN ({}))", kItsLooks));
    if (!conditions.empty()) LEEWARD_TRY(erase(database, *entity, join(conditions, " OR "), import_id, log, progress));
  }
  return {};
}

/// Animals, placements and premises that no look or sighting leads to any more. (The next run gathers and places anew.)
Result<void> eraseUnused(const Database& database, ChangeLog& log, Progress& progress) {
  LEEWARD_TRY(erase(database, Entity::Animals,
                    fmt::format("id NOT IN ({}) AND CASE WHEN premises_id IS NULL THEN substr(gather_key, 5, 36) NOT IN (SELECT id FROM looks) "
                                "ELSE premises_id NOT IN ({}) END", linked("animal_id", {"visits", "sightings"}), linked("premises_id", {"looks", "sightings"})),
                    std::nullopt, log, progress));
  LEEWARD_TRY(erase(database, Entity::Placements, fmt::format("id NOT IN ({})", linked("placement_id", {"looks", "sightings"})), std::nullopt, log, progress));
  LEEWARD_TRY(erase(database, Entity::Premises, fmt::format("id NOT IN ({})", linked("premises_id", {"looks", "sightings", "placements", "animals"})),
                    std::nullopt, log, progress));
  return {};
}

Result<std::uint64_t> countFor(const Database& database, const std::string& sql, std::string_view import_id) {
  LEEWARD_ASSIGN(select, database.prepare(sql));
  LEEWARD_ASSIGN(found, select.bind(1, import_id).step());
  return found ? static_cast<std::uint64_t>(select.integer(0)) : 0;
}

/// File names of the imports whose rows this one replaced: a replaced row's former import stands in the change log.
Result<std::vector<std::string>> correctedBy(const Database& database, std::string_view import_id) {
  std::vector<std::string> files;
  LEEWARD_ASSIGN(name_of, database.prepare("SELECT file_name FROM imports WHERE id = ?1"));
  for (const char* table : {"looks", "sightings"}) {
    LEEWARD_ASSIGN(lines, database.prepare(fmt::format("SELECT before FROM change_log WHERE action = 'update' AND table_name = '{0}' "
                                                       "AND row_id IN (SELECT id FROM {0} WHERE import_id = ?1)", table)));
    lines.bind(1, import_id);
    while (true) {
      LEEWARD_ASSIGN(more, lines.step());
      if (!more) break;
      const auto before = nlohmann::json::parse(lines.text(0), nullptr, false);
      if (!before.is_object() || !before.contains("import_id") || !before["import_id"].is_string()) continue;
      const std::string former = before["import_id"];
      LEEWARD_ASSIGN(found, name_of.bind(1, std::string_view(former)).step());
      std::string file = found ? std::string(name_of.text(0)) : "";
      name_of.reset();
      if (!file.empty() && std::ranges::find(files, file) == files.end()) files.push_back(std::move(file));
    }
  }
  return files;
}

Result<void> addWhatHangs(const Database& database, ImportStanding& standing) {
  LEEWARD_ASSIGN(looks, countFor(database, "SELECT count(*) FROM looks WHERE import_id = ?1", standing.import_id));
  LEEWARD_ASSIGN(sightings, countFor(database, "SELECT count(*) FROM sightings WHERE import_id = ?1", standing.import_id));
  LEEWARD_ASSIGN(photos, countFor(database, "SELECT count(*) FROM photos WHERE import_id = ?1", standing.import_id));
  LEEWARD_ASSIGN(stock, countFor(database, "SELECT count(*) FROM stock WHERE import_id = ?1", standing.import_id));
  standing.rows = looks + sightings + photos + stock;
  LEEWARD_ASSIGN(decisions, countFor(database,
                                     fmt::format("SELECT count(*) FROM decisions WHERE undone = 0 AND kind IN ('accept', 'move', 'refuse') AND typed IN "
                                                 "(SELECT typed_key FROM placements WHERE id IN ({}) AND id NOT IN ({}))", kItsPlacements, kOtherPlacements),
                                     standing.import_id));
  standing.decisions = decisions;
  LEEWARD_ASSIGN(corrected, correctedBy(database, standing.import_id));
  standing.corrected = std::move(corrected);
  LEEWARD_ASSIGN(later, database.prepare("SELECT DISTINCT file_name FROM imports WHERE kind = ?2 AND id > ?1 AND rows_known > 0 ORDER BY file_name"));
  later.bind(1, std::string_view(standing.import_id)).bind(2, std::string_view(standing.kind));
  while (true) {
    LEEWARD_ASSIGN(more, later.step());
    if (!more) return {};
    standing.repeated_in.emplace_back(later.text(0));
  }
}

Result<std::vector<ImportStanding>> listed(const Database& database) {
  LEEWARD_ASSIGN(select, database.prepare("SELECT id, kind, file_name, imported_at, rows_refused FROM imports ORDER BY id"));
  std::vector<ImportStanding> list;
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) break;
    ImportStanding& one = list.emplace_back();
    one.import_id = select.text(0), one.kind = select.text(1), one.file_name = select.text(2), one.imported_at = select.text(3);
    one.refused = static_cast<std::uint64_t>(select.integer(4));
  }
  for (auto& one : list) LEEWARD_TRY(addWhatHangs(database, one));
  return list;
}

}  // namespace

Result<std::vector<ImportStanding>> Ledger::imports() const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  return listed(*database);
}

Result<ImportStanding> Ledger::takeBack(const std::string& import_id, bool decided_too, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(all, listed(*database));
  const auto found = std::ranges::find(all, import_id, &ImportStanding::import_id);
  if (found == all.end()) return Problem{ProblemCode::NotFound, "the ledger has no such import", import_id, "List them and name one of those"};
  if (found->decisions > 0 && !decided_too) {
    return Problem{ProblemCode::AlreadyExists,
                   fmt::format("{} {} been settled by hand on addresses of this file alone; nothing was changed", found->decisions, found->decisions == 1 ? "thing has" : "things have"),
                   found->file_name, "Confirm that it is to go all the same; what was settled is kept and holds again when the file is taken in again"};
  }
  const std::string_view id = import_id;
  LEEWARD_ASSIGN(log, ChangeLog::start(*database));
  progress.report(0, "Taking back " + found->file_name);
  LEEWARD_TRY(eraseChildren(*database, id, log, progress));
  progress.report(0.6);
  LEEWARD_TRY(erase(*database, Entity::Looks, "import_id = ?1", id, log, progress));
  LEEWARD_TRY(erase(*database, Entity::Sightings, "import_id = ?1", id, log, progress));
  LEEWARD_TRY(erase(*database, Entity::Photos, "import_id = ?1", id, log, progress));
  LEEWARD_TRY(erase(*database, Entity::Stock, "import_id = ?1", id, log, progress));
  LEEWARD_TRY(erase(*database, Entity::RefusedRows, "import_id = ?1", id, log, progress));
  LEEWARD_TRY(erase(*database, Entity::Imports, "id = ?1", id, log, progress));
  progress.report(0.8);
  LEEWARD_TRY(eraseUnused(*database, log, progress));
  LEEWARD_TRY(progress.checkStop());
  LEEWARD_TRY(transaction.commit());
  progress.report(1);
  return *found;
}

}  // namespace leeward
