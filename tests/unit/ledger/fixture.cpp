#include "tests/unit/ledger/fixture.h"

#include <sqlite3.h>
#include <sys/stat.h>

#include <spatialite.h>  // needs sqlite3.h

namespace leeward::test {

std::vector<std::string> query(const std::filesystem::path& file, const std::string& sql, bool spatial) {
  sqlite3* connection = nullptr;
  EXPECT_EQ(sqlite3_open_v2(file.c_str(), &connection, SQLITE_OPEN_READWRITE, nullptr), SQLITE_OK);
  void* functions = spatial ? spatialite_alloc_connection() : nullptr;
  if (spatial) spatialite_init_ex(connection, functions, 0);
  std::vector<std::string> rows;
  const auto collect = [](void* into, int columns, char** values, char**) {
    std::string row;
    for (int i = 0; i < columns; ++i) row += std::string(i == 0 ? "" : "|") + (values[i] ? values[i] : "NULL");
    static_cast<std::vector<std::string>*>(into)->push_back(row);
    return 0;
  };
  EXPECT_EQ(sqlite3_exec(connection, sql.c_str(), collect, &rows, nullptr), SQLITE_OK) << sqlite3_errmsg(connection);
  sqlite3_close(connection);
  if (spatial) spatialite_cleanup_ex(functions);
  return rows;
}

unsigned modeOf(const std::filesystem::path& file) {
  struct stat status {};
  return ::stat(file.c_str(), &status) == 0 ? status.st_mode & 0777U : 0;
}

std::uint64_t count(const Ledger& ledger, Entity entity) {
  const auto counted = ledger.count(entity);
  EXPECT_OK(counted);
  return counted ? *counted : 0;
}

Table read(const Ledger& ledger, Entity entity) {
  auto table = ledger.read(entity);
  EXPECT_OK(table);
  return table ? std::move(table).value() : Table{};
}

std::string at(const Table& table, const std::string& column, std::size_t row) {
  const Column* found = table.find(column);
  EXPECT_NE(found, nullptr) << column;
  return !found ? "" : found->isMissing(row) ? "NULL" : found->asText(row);
}

std::string stateKey(const Ledger& ledger) {
  const auto key = ledger.stateKey();
  EXPECT_OK(key);
  return key ? *key : "";
}

Table premises(const std::string& id, const std::string& address, double uncertainty_m, std::optional<double> lon) {
  Table table;
  table.add(Column::text("id", {id}));
  table.add(Column::text("address", {address}));
  table.add(Column::reals("uncertainty_m", {uncertainty_m}));
  table.add(Column::reals("lon", {lon.value_or(std::nan(""))}));
  table.add(Column::reals("lat", {lon ? 42.5 : std::nan("")}));
  return table;
}

}  // namespace leeward::test
