#include "shared/ledger/schema.h"

#include <fmt/format.h>

namespace leeward {

const char* tableName(Entity entity) {
  switch (entity) {
    case Entity::Imports:
      return "imports";
    case Entity::RefusedRows:
      return "refused_rows";
    case Entity::Premises:
      return "premises";
    case Entity::Placements:
      return "placements";
    case Entity::Looks:
      return "looks";
    case Entity::Permissions:
      return "permissions";
    case Entity::Animals:
      return "animals";
    case Entity::Visits:
      return "visits";
    case Entity::Checks:
      return "checks";
    case Entity::Services:
      return "services";
    case Entity::Treatments:
      return "treatments";
    case Entity::Outcomes:
      return "outcomes";
    case Entity::Referrals:
      return "referrals";
    case Entity::Sightings:
      return "sightings";
    case Entity::Photos:
      return "photos";
    case Entity::Stock:
      return "stock";
    case Entity::Decisions:
      return "decisions";
    case Entity::Outputs:
      return "outputs";
  }
  return "";
}

namespace ledger {

int newestVersion() { return static_cast<int>(migrations().size()); }

Result<void> migrate(const Database& database, int from_version) {
  for (int version = from_version + 1; version <= newestVersion(); ++version) {
    LEEWARD_ASSIGN(transaction, Transaction::begin(database));
    // A second program may have done it while this one waited.
    LEEWARD_ASSIGN(now, database.number("PRAGMA user_version"));
    if (now.value_or(0) >= version) continue;
    LEEWARD_TRY(database.run(migrations()[static_cast<std::size_t>(version - 1)], true));
    LEEWARD_TRY(database.run(fmt::format("PRAGMA user_version={}", version)));
    LEEWARD_TRY(transaction.commit());
  }
  return {};
}

const std::vector<Entity>& allEntities() {
  static const std::vector<Entity> all = {Entity::Imports,   Entity::RefusedRows, Entity::Premises,   Entity::Placements,
                                          Entity::Looks,     Entity::Permissions, Entity::Animals,    Entity::Visits,
                                          Entity::Checks,    Entity::Services,    Entity::Treatments, Entity::Outcomes,
                                          Entity::Referrals, Entity::Sightings,   Entity::Photos,     Entity::Stock,
                                          Entity::Decisions, Entity::Outputs};
  return all;
}

Parents parentsOf(Entity entity) {
  switch (entity) {
    case Entity::Permissions:
    case Entity::Visits:
    case Entity::Referrals:
      return {.look = true, .visit = false};
    case Entity::Checks:
    case Entity::Treatments:
    case Entity::Outcomes:
      return {.look = false, .visit = true};
    case Entity::Services:
      return {.look = true, .visit = true};
    default:
      return {};
  }
}

bool isKeyed(Entity entity) { return entity == Entity::Looks || entity == Entity::Sightings || entity == Entity::Photos || entity == Entity::Stock; }

Result<std::vector<Field>> fieldsOf(const Database& database, Entity entity) {
  LEEWARD_ASSIGN(statement, database.prepare("SELECT name, type, \"notnull\", dflt_value FROM pragma_table_info(?1)"));
  statement.bind(1, std::string_view(tableName(entity)));
  std::vector<Field> fields;
  while (true) {
    LEEWARD_ASSIGN(more, statement.step());
    if (!more) break;
    Field field{.name = std::string(statement.text(0)), .kind = Column::Kind::Text, .is_position = false, .fallback = ""};
    const std::string_view type = statement.text(1);
    if (type == "INTEGER") field.kind = Column::Kind::Integer;
    if (type == "REAL") field.kind = Column::Kind::Real;
    field.is_position = type == "BLOB";
    if (statement.integer(2) != 0) field.fallback = statement.text(3);
    fields.push_back(std::move(field));
  }
  if (fields.empty()) {
    return Problem{ProblemCode::BadData, fmt::format("the ledger has no table {}", tableName(entity)), database.file().string(),
                   "Take the last backup"};
  }
  return fields;
}

const Field* findField(const std::vector<Field>& fields, std::string_view name) {
  for (const auto& field : fields) {
    if (field.name == name) return &field;
  }
  return nullptr;
}

}  // namespace ledger
}  // namespace leeward
