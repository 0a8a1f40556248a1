#include "shared/ledger/change_log.h"

#include <chrono>
#include <ctime>

#include <fmt/chrono.h>
#include <nlohmann/json.hpp>

#include "shared/base/hash.h"

namespace leeward::ledger {

std::string nowIso() {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now));
}

Result<ChangeLog> ChangeLog::start(const Database& database) {
  LEEWARD_ASSIGN(insert, database.prepare("INSERT INTO change_log (id, changed_at, table_name, row_id, action, count, before) "
                                          "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)"));
  return ChangeLog(std::move(insert));
}

Result<void> ChangeLog::write(Entity entity, std::string_view row_id, std::string_view action, std::uint64_t count,
                              std::optional<std::string_view> before) {
  const std::string id = newUuid();
  insert_.bind(1, std::string_view(id)).bind(2, std::string_view(at_)).bind(3, std::string_view(tableName(entity)));
  insert_.bind(4, row_id).bind(5, action).bind(6, static_cast<std::int64_t>(count));
  if (before)
    insert_.bind(7, *before);
  else
    insert_.bindNull(7);
  return insert_.run();
}

Result<void> ChangeLog::imported(Entity entity, std::string_view import_id, std::uint64_t count) {
  return write(entity, import_id, "import", count, std::nullopt);
}

Result<void> ChangeLog::inserted(Entity entity, std::string_view row_id) {
  return write(entity, row_id, "insert", 1, std::nullopt);
}

Result<void> ChangeLog::updated(Entity entity, std::string_view row_id, std::string_view before) {
  return write(entity, row_id, "update", 1, before);
}

Result<void> ChangeLog::deleted(Entity entity, std::string_view row_id, std::string_view before) {
  return write(entity, row_id, "delete", 1, before);
}

struct RowAsJson::Json {
  nlohmann::ordered_json object = nlohmann::ordered_json::object();
};

RowAsJson::RowAsJson() : json_(std::make_unique<Json>()) {}
RowAsJson::~RowAsJson() = default;

void RowAsJson::add(const Field& field, const Statement& row, int column) {
  auto& value = json_->object[field.name];
  if (row.isNull(column)) return;  // stays null
  if (field.is_position) {
    if (const auto point = toPoint(row.blob(column))) value = {point->lon, point->lat};
    return;
  }
  switch (field.kind) {
    case Column::Kind::Text:
      value = std::string(row.text(column));
      break;
    case Column::Kind::Integer:
      value = row.integer(column);
      break;
    case Column::Kind::Real:
      value = row.real(column);
      break;
  }
}

bool RowAsJson::empty() const { return json_->object.empty(); }

std::string RowAsJson::text() const {
  return json_->object.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace leeward::ledger
