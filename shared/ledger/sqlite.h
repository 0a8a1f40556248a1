#pragma once
/// The ledger's own thin hold on SQLite: connections, statements and transactions as values that clean up after
/// themselves, and SQLite's errors as Problems. For shared/ledger/*.cpp only.
#include <array>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "shared/base/result.h"
#include "shared/table/table.h"

struct sqlite3;
struct sqlite3_stmt;

namespace leeward::ledger {

/// A place in EPSG:4326 and the 60 bytes that SpatiaLite stores for it (little endian: start, SRID, bounding box, type, point,
/// end).
struct Point {
  double lon = 0;
  double lat = 0;
};
std::array<unsigned char, 60> toBlob(Point point);
std::optional<Point> toPoint(std::span<const unsigned char> blob);

/// One prepared statement. Parameters and result columns count as in SQLite: from 1 and from 0.
class Statement {
 public:
  Statement(sqlite3* connection, sqlite3_stmt* statement) : connection_(connection), statement_(statement) {}
  Statement(Statement&& other) noexcept;
  Statement& operator=(Statement&& other) noexcept;
  ~Statement();

  /// Text is not copied: it must stay until the statement has run. A failed bind is reported by the next step().
  Statement& bind(int parameter, std::string_view text);
  Statement& bind(int parameter, std::int64_t value);
  Statement& bind(int parameter, double value);
  Statement& bind(int parameter, Point point);
  Statement& bindNull(int parameter);
  /// The value in its own kind, missing as NULL.
  Statement& bind(int parameter, const Column& column, std::size_t row);

  /// True when there is a row; false at the end, after which the statement may be bound and stepped again.
  Result<bool> step();
  /// Steps to the end.
  Result<void> run();
  void reset();

  bool isNull(int column) const;
  std::string_view text(int column) const;  ///< until the next step
  std::int64_t integer(int column) const;
  double real(int column) const;
  std::span<const unsigned char> blob(int column) const;

 private:
  void note(int code);
  sqlite3* connection_;
  sqlite3_stmt* statement_;
  int failed_bind_ = 0;
};

class Database {
 public:
  enum class Access { Create, ReadWrite, ReadOnly };
  /// A connection that trusts nothing in the file: no triggers, no views, no functions with side effects from its schema.
  static Result<Database> open(const std::filesystem::path& file, Access access);
  Database(Database&& other) noexcept;
  Database& operator=(Database&& other) noexcept;
  ~Database();
  /// Closes; a Problem if the system refused to write what was left.
  Result<void> close();

  /// Loads SpatiaLite's functions (needed for making and migrating a ledger only).
  Result<void> loadSpatial();

  /// One or several statements. The first column of a row that is 0 is a failure where `checked` is set: this is how
  /// SpatiaLite's functions report.
  Result<void> run(const std::string& sql, bool checked = false) const;
  Result<Statement> prepare(const std::string& sql) const;
  /// The first column of the first row as a number; nothing without a row.
  Result<std::optional<std::int64_t>> number(const std::string& sql) const;
  static constexpr int kWaitMs = 5000;  ///< how long a call waits for other programs
  void waitForOthers(int milliseconds = kWaitMs) const;
  /// Whether the last call failed because another program holds the file.
  bool wasBusy() const;
  const std::filesystem::path& file() const { return file_; }
  sqlite3* raw() const { return connection_; }

 private:
  Database(sqlite3* connection, std::filesystem::path file) : connection_(connection), file_(std::move(file)) {}
  sqlite3* connection_;
  void* spatial_ = nullptr;
  std::filesystem::path file_;
};

/// SQLite's last error on this connection as a Problem.
Problem problemOf(sqlite3* connection, int code);

/// Rolled back at the end of its life unless committed. Begins as a writer, so that waiting happens here.
class Transaction {
 public:
  static Result<Transaction> begin(const Database& database);
  Transaction(Transaction&& other) noexcept : database_(std::exchange(other.database_, nullptr)) {}
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();
  Result<void> commit();

 private:
  explicit Transaction(const Database* database) : database_(database) {}
  const Database* database_;
};

}  // namespace leeward::ledger
