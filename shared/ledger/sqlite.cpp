#include "shared/ledger/sqlite.h"

#include <cstring>

#include <fmt/format.h>
#include <sqlite3.h>

#include <spatialite.h>  // needs the one above

#include "shared/base/seal.h"
#include "shared/ledger/sealed_vfs.h"

namespace leeward::ledger {
namespace {


/// Where each part of a stored point lies.
constexpr std::size_t kBoxAt = 6;
constexpr std::size_t kTypeAt = 39;
constexpr std::size_t kPointAt = 43;

/// SQLite otherwise counts every allocation under one lock, for statistics that nobody reads: a sixth of the time of a large import's writing.
/// Set before main, since it may only be set before SQLite is used by any thread.
[[maybe_unused]] const int kStatisticsOff = sqlite3_config(SQLITE_CONFIG_MEMSTATUS, 0);

int hasFailed(void*, int count, char** values, char**) {
  return count > 0 && values[0] && std::strcmp(values[0], "0") == 0 ? 1 : 0;
}

}  // namespace

std::array<unsigned char, 60> toBlob(Point point) {
  std::array<unsigned char, 60> blob{0x00, 0x01, 0xE6, 0x10};  // 4326 = 0x10E6
  const std::array<double, 2> place{point.lon, point.lat};
  for (const std::size_t at : {kBoxAt, kBoxAt + sizeof place, kPointAt})
    std::memcpy(blob.data() + at, place.data(), sizeof place);
  blob[38] = 0x7C;
  blob[kTypeAt] = 1;
  blob[59] = 0xFE;
  return blob;
}

std::optional<Point> toPoint(std::span<const unsigned char> blob) {
  if (blob.size() != 60 || blob[1] != 1 || blob[kTypeAt] != 1) return std::nullopt;
  Point point;
  std::memcpy(&point.lon, blob.data() + kPointAt, sizeof(double));
  std::memcpy(&point.lat, blob.data() + kPointAt + sizeof(double), sizeof(double));
  return point;
}

Problem problemOf(sqlite3* connection, int code) {
  const std::string said = connection ? sqlite3_errmsg(connection) : sqlite3_errstr(code);
  const char* name = connection ? sqlite3_db_filename(connection, "main") : nullptr;
  const std::string where = name ? name : "";
  switch (code & 0xFF) {
    case SQLITE_FULL:
      return {ProblemCode::Io, "the disk is full", where, "Free some room and try again; nothing was changed"};
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {ProblemCode::Io, "another program is writing to the ledger", where, "Wait until it is done, then try again"};
    case SQLITE_IOERR:
    case SQLITE_READONLY:
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return {ProblemCode::Io, fmt::format("the ledger can't be read or written ({})", said), where,
              "Check that the file and its folder may be written and have room"};
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return {ProblemCode::BadData, fmt::format("the ledger is damaged ({})", said), where, "Take the last backup"};
    case SQLITE_NOMEM:
      return {ProblemCode::ResourceExhausted, "there is not enough memory for the ledger", where, "Close other programs"};
    default:
      return {ProblemCode::Internal, said, where, ""};
  }
}

Statement::Statement(Statement&& other) noexcept
    : connection_(other.connection_), statement_(std::exchange(other.statement_, nullptr)), failed_bind_(other.failed_bind_) {}

Statement& Statement::operator=(Statement&& other) noexcept {
  std::swap(connection_, other.connection_);
  std::swap(statement_, other.statement_);
  std::swap(failed_bind_, other.failed_bind_);
  return *this;
}

Statement::~Statement() { sqlite3_finalize(statement_); }

void Statement::note(int code) {
  if (code != SQLITE_OK && failed_bind_ == SQLITE_OK) failed_bind_ = code;
}

Statement& Statement::bind(int parameter, std::string_view text) {
  // A null pointer would be stored as NULL; an empty text is not.
  note(sqlite3_bind_text64(statement_, parameter, text.data() ? text.data() : "", text.size(), SQLITE_STATIC, SQLITE_UTF8));
  return *this;
}

Statement& Statement::bind(int parameter, std::int64_t value) {
  note(sqlite3_bind_int64(statement_, parameter, value));
  return *this;
}

Statement& Statement::bind(int parameter, double value) {
  note(sqlite3_bind_double(statement_, parameter, value));
  return *this;
}

Statement& Statement::bind(int parameter, Point point) {
  const auto blob = toBlob(point);
  note(sqlite3_bind_blob(statement_, parameter, blob.data(), static_cast<int>(blob.size()), SQLITE_TRANSIENT));
  return *this;
}

Statement& Statement::bindNull(int parameter) {
  note(sqlite3_bind_null(statement_, parameter));
  return *this;
}

Statement& Statement::bind(int parameter, const Column& column, std::size_t row) {
  if (column.isMissing(row)) return bindNull(parameter);
  switch (column.kind()) {
    case Column::Kind::Text:
      return bind(parameter, column.textAt(row));
    case Column::Kind::Integer:
      return bind(parameter, *column.asInteger(row));
    case Column::Kind::Real:
      return bind(parameter, *column.asReal(row));
  }
  return *this;
}

Result<bool> Statement::step() {
  if (const int failed = std::exchange(failed_bind_, SQLITE_OK)) return problemOf(connection_, failed);
  const int code = sqlite3_step(statement_);
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) {
    reset();
    return false;
  }
  auto problem = problemOf(connection_, code);
  reset();
  return problem;
}

Result<void> Statement::run() {
  while (true) {
    LEEWARD_ASSIGN(more, step());
    if (!more) return {};
  }
}

void Statement::reset() { sqlite3_reset(statement_); }
bool Statement::isNull(int column) const { return sqlite3_column_type(statement_, column) == SQLITE_NULL; }
std::int64_t Statement::integer(int column) const { return sqlite3_column_int64(statement_, column); }
double Statement::real(int column) const { return sqlite3_column_double(statement_, column); }

std::string_view Statement::text(int column) const {
  const auto* bytes = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
  return bytes ? std::string_view(bytes, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))) : std::string_view();
}

std::span<const unsigned char> Statement::blob(int column) const {
  const auto* bytes = static_cast<const unsigned char*>(sqlite3_column_blob(statement_, column));
  return bytes ? std::span(bytes, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column)))
               : std::span<const unsigned char>();
}

Result<Database> Database::open(const std::filesystem::path& file, Access access) {
  const int flags =
      SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE | (access == Access::ReadOnly ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE);
  sqlite3* connection = nullptr;
  const int code = sqlite3_open_v2(file.c_str(), &connection, flags, isSealed(file) ? sealedVfs() : nullptr);
  Database database(connection, file);  // a failed open leaves a connection to close as well
  if (code != SQLITE_OK) return problemOf(connection, code).at(connection ? "" : file.string());
  database.waitForOthers();
  for (const int off : {SQLITE_DBCONFIG_ENABLE_TRIGGER, SQLITE_DBCONFIG_ENABLE_VIEW, SQLITE_DBCONFIG_TRUSTED_SCHEMA}) {
    sqlite3_db_config(connection, off, 0, nullptr);
  }
  sqlite3_db_config(connection, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  // temp_store: clients' data must not reach the system's temporary folder.
  LEEWARD_TRY(
      database.run("PRAGMA foreign_keys=ON; PRAGMA synchronous=FULL; PRAGMA cell_size_check=ON; PRAGMA mmap_size=0;"
                   "PRAGMA temp_store=MEMORY; PRAGMA cache_size=-65536;"));
  return database;
}

Database::Database(Database&& other) noexcept
    : connection_(std::exchange(other.connection_, nullptr)),
      spatial_(std::exchange(other.spatial_, nullptr)),
      file_(std::move(other.file_)) {}

Database& Database::operator=(Database&& other) noexcept {
  std::swap(connection_, other.connection_);
  std::swap(spatial_, other.spatial_);
  std::swap(file_, other.file_);
  return *this;
}

Database::~Database() { (void)close(); }

Result<void> Database::close() {
  if (!connection_) return {};
  const int code = sqlite3_close(connection_);
  Result<void> closed;
  if (code != SQLITE_OK) {
    closed = problemOf(connection_, code);
    sqlite3_close_v2(connection_);
  }
  connection_ = nullptr;
  if (spatial_) spatialite_cleanup_ex(std::exchange(spatial_, nullptr));
  return closed;
}

Result<void> Database::loadSpatial() {
  if (spatial_) return {};
  spatial_ = spatialite_alloc_connection();
  if (spatial_) spatialite_init_ex(connection_, spatial_, 0);
  if (!spatial_ || !run("SELECT spatialite_version()")) {
    return Problem{ProblemCode::Unsupported, "SpatiaLite, which the ledger needs, can't be started", file_.string(),
                   "Install the Debian package libspatialite7"};
  }
  return {};
}

Result<void> Database::run(const std::string& sql, bool checked) const {
  const int code = sqlite3_exec(connection_, sql.c_str(), checked ? hasFailed : nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return problemOf(connection_, code);
  return {};
}

Result<Statement> Database::prepare(const std::string& sql) const {
  sqlite3_stmt* statement = nullptr;
  const int code =
      sqlite3_prepare_v3(connection_, sql.c_str(), static_cast<int>(sql.size()), SQLITE_PREPARE_PERSISTENT, &statement, nullptr);
  if (code != SQLITE_OK) return problemOf(connection_, code);
  return Statement(connection_, statement);
}

Result<std::optional<std::int64_t>> Database::number(const std::string& sql) const {
  LEEWARD_ASSIGN(statement, prepare(sql));
  LEEWARD_ASSIGN(found, statement.step());
  if (!found) return std::optional<std::int64_t>();
  return std::optional(statement.integer(0));
}

bool Database::wasBusy() const { return (sqlite3_errcode(connection_) & 0xFF) == SQLITE_BUSY; }
void Database::waitForOthers(int milliseconds) const { sqlite3_busy_timeout(connection_, milliseconds); }

Result<Transaction> Transaction::begin(const Database& database) {
  LEEWARD_TRY(database.run("BEGIN IMMEDIATE"));
  return Transaction(&database);
}

Transaction::~Transaction() {
  // SQLite may have rolled back by itself (disk full): then there is nothing to do.
  if (database_ && sqlite3_get_autocommit(database_->raw()) == 0) (void)database_->run("ROLLBACK");
}

Result<void> Transaction::commit() {
  LEEWARD_TRY(database_->run("COMMIT"));
  database_ = nullptr;
  return {};
}

}  // namespace leeward::ledger
