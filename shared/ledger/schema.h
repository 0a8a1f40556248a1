#pragma once
/// What the tables look like, read from the file itself, and how a file is brought up to the present schema.
/// For shared/ledger/*.cpp only.
#include <string>
#include <string_view>
#include <vector>

#include "shared/ledger/ledger.h"
#include "shared/ledger/sqlite.h"

namespace leeward::ledger {

constexpr std::uint32_t kApplicationId = 0x4C574401;

/// migrations/*.sql in order; number n brings user_version from n - 1 to n.
const std::vector<const char*>& migrations();
int newestVersion();
/// Applies what is missing, each in a transaction of its own. The connection needs SpatiaLite.
Result<void> migrate(const Database& database, int from_version);

/// All entities, parents before children.
const std::vector<Entity>& allEntities();

/// How a row hangs on a look or a visit. A row that hangs on both (services) goes with either.
struct Parents {
  bool look = false;
  bool visit = false;
};
Parents parentsOf(Entity entity);
/// Looks, sightings, photos and stock: what a file's rows are recognised by.
bool isKeyed(Entity entity);

struct Field {
  std::string name;
  Column::Kind kind = Column::Kind::Text;
  bool is_position = false;  ///< stands for two columns of a Table: lon, lat
  std::string fallback;      ///< SQL literal that is stored where a value is missing; "" = NULL (or refused by the schema)
};

/// The table's columns in their order. BadData if there is no such table.
Result<std::vector<Field>> fieldsOf(const Database& database, Entity entity);
const Field* findField(const std::vector<Field>& fields, std::string_view name);

}  // namespace leeward::ledger
