#include <unordered_set>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "shared/ledger/row_writer.h"
#include "shared/ledger/store.h"

namespace leeward {
namespace {

using ledger::ChangeLog;
using ledger::kRowsBetweenReports;
using ledger::RowAsJson;
using ledger::RowWriter;
using ledger::Statement;

/// Imports come by take() alone; of what was taken in only the links may change, so rows are not made here.
bool mayInsert(Entity entity) {
  switch (entity) {
    case Entity::Premises:
    case Entity::Placements:
    case Entity::Animals:
    case Entity::Decisions:
    case Entity::Outputs:
      return true;
    default:
      return false;
  }
}

Result<void> mayUpdate(Entity entity, const Table& rows) {
  if (mayInsert(entity)) return {};
  const bool linked = entity == Entity::Looks || entity == Entity::Visits || entity == Entity::Sightings;
  for (const auto& column : rows.columns()) {
    const std::string& name = column.name();
    if (linked && (name == "id" || name == "placement_id" || name == "premises_id" || name == "animal_id")) continue;
    return Problem{ProblemCode::Internal, fmt::format("column {} is not for put()", name),
                   fmt::format("table {}", tableName(entity)), ""};
  }
  return {};
}

Result<void> putTable(const ledger::Database& database, Entity entity, const Table& rows, ChangeLog& log, Progress& progress) {
  if (rows.rows() == 0) return {};
  LEEWARD_TRY(mayUpdate(entity, rows));
  LEEWARD_ASSIGN(writer, RowWriter::make(database, entity, rows));
  const auto ids = writer.texts("id");
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (row % kRowsBetweenReports == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(static_cast<double>(row) / static_cast<double>(rows.rows()));
    }
    const std::string_view id = ids[row];
    LEEWARD_ASSIGN(found, writer.update(id, row, log));
    if (found != RowWriter::Found::Absent) continue;
    if (!mayInsert(entity)) {
      return Problem{ProblemCode::NotFound, fmt::format("the ledger has no row {}", id),
                     fmt::format("table {}", tableName(entity)), ""};
    }
    LEEWARD_TRY(writer.insert(row));
    LEEWARD_TRY(log.inserted(entity, id));
  }
  return {};
}

Result<void> putTables(const ledger::Database& database, const std::vector<std::pair<Entity, Table>>& rows, ChangeLog& log,
                       Progress& progress) {
  const double share = 1.0 / static_cast<double>(std::max<std::size_t>(rows.size(), 1));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    Progress part = progress.part(static_cast<double>(i) * share, static_cast<double>(i + 1) * share);
    LEEWARD_TRY(putTable(database, rows[i].first, rows[i].second, log, part));
  }
  return progress.checkStop();
}

Result<std::vector<std::string>> firstColumn(Statement& select) {
  std::vector<std::string> texts;
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) return texts;
    texts.emplace_back(select.text(0));
  }
}

/// Takes animals out of the ledger, and out of the rows that link to them.
class AnimalRemover {
 public:
  static Result<AnimalRemover> make(const ledger::Database& database) {
    const std::string table = tableName(Entity::Animals);
    LEEWARD_ASSIGN(fields, ledger::fieldsOf(database, Entity::Animals));
    std::vector<std::string> names;
    for (const auto& field : fields) names.push_back(field.name);
    LEEWARD_ASSIGN(select, database.prepare(fmt::format("SELECT {} FROM {} WHERE id = ?1", join(names, ", "), table)));
    LEEWARD_ASSIGN(erase, database.prepare(fmt::format("DELETE FROM {} WHERE id = ?1", table)));
    AnimalRemover remover(std::move(fields), std::move(select), std::move(erase));
    for (const Entity entity : {Entity::Visits, Entity::Sightings}) {
      LEEWARD_ASSIGN(find, database.prepare(fmt::format("SELECT id FROM {} WHERE animal_id = ?1", tableName(entity))));
      LEEWARD_ASSIGN(clear, database.prepare(fmt::format("UPDATE {} SET animal_id = NULL WHERE animal_id = ?1", tableName(entity))));
      remover.links_.push_back({entity, std::move(find), std::move(clear)});
    }
    return remover;
  }

  Result<void> remove(std::string_view id, ChangeLog& log) {
    for (auto& link : links_) {
      LEEWARD_ASSIGN(rows, firstColumn(link.find.bind(1, id)));
      for (const auto& row : rows) LEEWARD_TRY(log.updated(link.entity, row, fmt::format(R"({{"animal_id":"{}"}})", id)));
      if (!rows.empty()) LEEWARD_TRY(link.clear.bind(1, id).run());
    }
    LEEWARD_ASSIGN(found, select_.bind(1, id).step());
    if (!found) return {};
    RowAsJson before;
    for (std::size_t i = 0; i < fields_.size(); ++i) before.add(fields_[i], select_, static_cast<int>(i));
    select_.reset();
    LEEWARD_TRY(log.deleted(Entity::Animals, id, before.text()));
    return erase_.bind(1, id).run();
  }

 private:
  struct Link {
    Entity entity;
    Statement find;
    Statement clear;
  };
  AnimalRemover(std::vector<ledger::Field> fields, Statement select, Statement erase)
      : fields_(std::move(fields)), select_(std::move(select)), erase_(std::move(erase)) {}
  std::vector<ledger::Field> fields_;
  Statement select_;
  Statement erase_;
  std::vector<Link> links_;
};

Result<void> removeOthers(const ledger::Database& database, const Table& animals, ChangeLog& log) {
  std::unordered_set<std::string_view> kept;
  const Column* ids = animals.find("id");
  for (std::size_t row = 0; ids != nullptr && row < animals.rows(); ++row) kept.insert(ids->textAt(row));
  LEEWARD_ASSIGN(all, database.prepare(fmt::format("SELECT id FROM {} ORDER BY id", tableName(Entity::Animals))));
  LEEWARD_ASSIGN(known, firstColumn(all));
  LEEWARD_ASSIGN(remover, AnimalRemover::make(database));
  for (const auto& id : known) {
    if (!kept.contains(id)) LEEWARD_TRY(remover.remove(id, log));
  }
  return {};
}

}  // namespace

Result<void> Ledger::put(const std::vector<std::pair<Entity, Table>>& rows, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(log, ChangeLog::start(*database));
  LEEWARD_TRY(putTables(*database, rows, log, progress));
  return transaction.commit();
}

Result<void> Ledger::putAllAnimals(const Table& animals, const std::vector<std::pair<Entity, Table>>& links, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(log, ChangeLog::start(*database));
  std::vector<std::pair<Entity, Table>> rows = {{Entity::Animals, animals}};
  rows.insert(rows.end(), links.begin(), links.end());
  LEEWARD_TRY(putTables(*database, rows, log, progress));
  LEEWARD_TRY(removeOthers(*database, animals, log));
  return transaction.commit();
}

}  // namespace leeward
