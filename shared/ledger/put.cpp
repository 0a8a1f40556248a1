#include <fmt/format.h>

#include "shared/ledger/row_writer.h"
#include "shared/ledger/store.h"

namespace leeward {
namespace {

using ledger::ChangeLog;
using ledger::RowWriter;

constexpr std::size_t kRowsBetweenReports = 1000;

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
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (row % kRowsBetweenReports == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(static_cast<double>(row) / static_cast<double>(rows.rows()));
    }
    const std::string_view id = writer.textOf("id", row);
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

}  // namespace

Result<void> Ledger::put(const std::vector<std::pair<Entity, Table>>& rows, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(log, ChangeLog::start(*database));
  const double share = 1.0 / static_cast<double>(std::max<std::size_t>(rows.size(), 1));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    Progress part = progress.part(static_cast<double>(i) * share, static_cast<double>(i + 1) * share);
    LEEWARD_TRY(putTable(*database, rows[i].first, rows[i].second, log, part));
  }
  LEEWARD_TRY(progress.checkStop());
  return transaction.commit();
}

}  // namespace leeward
