#pragma once
/// Writing of the ledger's change log. For shared/ledger/*.cpp only.
#include <memory>
#include <string>
#include <string_view>

#include "shared/ledger/schema.h"
#include "shared/ledger/sqlite.h"

namespace leeward::ledger {

/// ISO time in UTC, to the second.
std::string nowIso();

/// Lines of the change log within one transaction, all with the same time.
class ChangeLog {
 public:
  static Result<ChangeLog> start(const Database& database);
  Result<void> imported(Entity entity, std::string_view import_id, std::uint64_t count);
  Result<void> inserted(Entity entity, std::string_view row_id);
  Result<void> updated(Entity entity, std::string_view row_id, std::string_view before);
  Result<void> deleted(Entity entity, std::string_view row_id, std::string_view before);

 private:
  explicit ChangeLog(Statement insert) : insert_(std::move(insert)), at_(nowIso()) {}
  Result<void> write(Entity entity, std::string_view row_id, std::string_view action, std::uint64_t count,
                     std::optional<std::string_view> before);
  Statement insert_;
  std::string at_;
};

/// A row as a JSON object, numbers so that they read back to the same value; position as [lon, lat].
class RowAsJson {
 public:
  RowAsJson();
  ~RowAsJson();
  /// Adds the value in a result column of a statement that stands on a row.
  void add(const Field& field, const Statement& row, int column);
  bool empty() const;
  std::string text() const;

 private:
  struct Json;
  std::unique_ptr<Json> json_;
};

}  // namespace leeward::ledger
