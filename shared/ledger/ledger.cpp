#include "shared/ledger/ledger.h"

#include <array>
#include <fstream>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/seal.h"
#include "shared/ledger/schema.h"
#include "shared/ledger/sealed_vfs.h"
#include "shared/ledger/store.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

using ledger::Database;
using ledger::Field;

Problem notALedger(const fs::path& file, std::string what) {
  return {ProblemCode::BadData, std::move(what), file.string(), "Name a ledger that Leeward made, or take the last backup"};
}

/// A ledger up to this size is read through at every opening: that takes some hundredths of a second.
constexpr std::uintmax_t kAlwaysCheckedBytes = 16U << 20U;

std::uint32_t numberAt(const std::array<char, 100>& header, std::size_t at, std::size_t bytes) {
  std::uint32_t number = 0;
  for (std::size_t i = at; i < at + bytes; ++i) number = (number << 8U) | static_cast<unsigned char>(header[i]);
  return number;
}

/// Looks at the first bytes (sqlite.org/fileformat2.html, 1.3) before SQLite gets to see the file. Whether it must be
/// checked in whole: it is small, or the last program didn't close it (or another has it open now).
Result<bool> checkHeader(const fs::path& file) {
  std::error_code error;
  const auto status = fs::status(file, error);
  if (!fs::exists(status))
    return Problem{ProblemCode::NotFound, "there is no ledger", file.string(), "Check the folder, or make a study with new"};
  if (!fs::is_regular_file(status)) return notALedger(file, "this is no file");
  std::array<char, 100> header{};
  std::ifstream in(file, std::ios::binary);
  if (!in) return Problem{ProblemCode::Io, "the ledger can't be read", file.string(), "Check its permissions"};
  const bool sealed = isSealed(file);
  std::streamsize got = 0;
  if (sealed) {
    LEEWARD_ASSIGN(start, ledger::plainStart(file, header.size()));
    got = static_cast<std::streamsize>(start.copy(header.data(), header.size()));
  } else {
    got = in.read(header.data(), header.size()).gcount();
  }
  static constexpr std::string_view kMagic("SQLite format 3\0", 16);
  if (got < static_cast<std::streamsize>(header.size()) || std::string_view(header.data(), kMagic.size()) != kMagic) {
    return notALedger(file, "this is not a ledger");
  }
  if (numberAt(header, 68, 4) != ledger::kApplicationId) {
    return notALedger(file, "this is another program's database, not a ledger");
  }
  // While open the header says "write-ahead log" (18, 19); closing changes that and removes the side files.
  const auto beside = [&](const char* ending) { return fs::exists(file.string() + ending, error); };
  const bool closed = header[18] == 1 && header[19] == 1 && !beside("-wal") && !beside("-journal");
  if (!closed) return true;
  const std::uint32_t page_bytes = numberAt(header, 16, 2) == 1 ? 65536 : numberAt(header, 16, 2);
  std::uintmax_t bytes = fs::file_size(file, error);
  if (sealed) {
    LEEWARD_ASSIGN(plain, ledger::plainBytes(file));
    bytes = plain;
  }
  const bool count_holds = numberAt(header, 24, 4) == numberAt(header, 92, 4);
  if (error || (count_holds && bytes != std::uintmax_t{page_bytes} * numberAt(header, 28, 4))) {
    return notALedger(file, "the ledger is damaged (its length is not what it says)");
  }
  return !count_holds || bytes <= kAlwaysCheckedBytes;
}

Result<void> quickCheck(const Database& database) {
  LEEWARD_ASSIGN(check, database.prepare("PRAGMA quick_check(1)"));
  LEEWARD_ASSIGN(found, check.step());
  if (found && check.text(0) == "ok") return {};
  return notALedger(database.file(), fmt::format("the ledger is damaged ({})", found ? check.text(0) : "no answer"));
}

Result<void> set(const Database& database, const std::string& name, const std::string& value) {
  LEEWARD_ASSIGN(write, database.prepare("INSERT INTO settings (name, value) VALUES (?1, ?2) "
                                         "ON CONFLICT (name) DO UPDATE SET value = excluded.value"));
  return write.bind(1, std::string_view(name)).bind(2, std::string_view(value)).run();
}

std::string hex(std::string_view bytes) {
  std::string text;
  for (const char byte : bytes) text += fmt::format("{:02x}", static_cast<unsigned char>(byte));
  return text;
}

Result<void> makeIn(const fs::path& file) {
  LEEWARD_ASSIGN(database, Database::open(file, Database::Access::ReadWrite));
  LEEWARD_TRY(database.loadSpatial());
  LEEWARD_TRY(database.run("PRAGMA page_size=8192"));  // fewer, fuller pages: a tenth less time for a large import
  LEEWARD_TRY(database.run(fmt::format("PRAGMA application_id={}", ledger::kApplicationId)));
  LEEWARD_TRY(ledger::migrate(database, 0));
  LEEWARD_TRY(set(database, "study_id", newUuid()));
  LEEWARD_TRY(set(database, "masking_secret", hex(randomBytes(32))));
  return database.close();
}

/// Everything that has to hold before a file is used as a ledger.
Result<void> accept(Database& database, bool whole) {
  if (whole) LEEWARD_TRY(quickCheck(database));
  LEEWARD_ASSIGN(version, database.number("PRAGMA user_version"));
  if (version.value_or(0) > ledger::newestVersion()) {
    return Problem{
        ProblemCode::Unsupported,
        fmt::format("a newer Leeward wrote this ledger (its version is {}, ours {})", *version, ledger::newestVersion()),
        database.file().string(), "Install the newer version"};
  }
  if (version.value_or(0) < 1) return notALedger(database.file(), "the ledger was never finished");
  if (*version < ledger::newestVersion()) {
    LEEWARD_TRY(database.loadSpatial());
    LEEWARD_TRY(ledger::migrate(database, static_cast<int>(*version)));
  }
  for (const Entity entity : ledger::allEntities()) LEEWARD_TRY(ledger::fieldsOf(database, entity));
  return {};
}

void addValue(Column& column, const Field& field, const ledger::Statement& row, int at) {
  if (row.isNull(at)) {
    column.addMissing();
    return;
  }
  switch (field.kind) {
    case Column::Kind::Text:
      column.addText(row.text(at));
      break;
    case Column::Kind::Integer:
      column.addInteger(row.integer(at));
      break;
    case Column::Kind::Real:
      column.addReal(row.real(at));
      break;
  }
}

Result<Table> readTable(const Database& database, Entity entity) {
  LEEWARD_ASSIGN(fields, ledger::fieldsOf(database, entity));
  std::string names;
  std::vector<Column> columns;
  for (const auto& field : fields) {
    names += (names.empty() ? "\"" : ", \"") + field.name + "\"";
    if (field.is_position) {
      columns.emplace_back("lon", Column::Kind::Real);
      columns.emplace_back("lat", Column::Kind::Real);
    } else {
      columns.emplace_back(field.name, field.kind);
    }
  }
  LEEWARD_ASSIGN(select, database.prepare(fmt::format("SELECT {} FROM {} ORDER BY id", names, tableName(entity))));
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) break;
    std::size_t column = 0;
    for (std::size_t i = 0; i < fields.size(); ++i) {
      const int at = static_cast<int>(i);
      if (!fields[i].is_position) {
        addValue(columns[column++], fields[i], select, at);
        continue;
      }
      const auto point = ledger::toPoint(select.blob(at));
      for (const double value : {point ? point->lon : 0.0, point ? point->lat : 0.0}) {
        if (point)
          columns[column++].addReal(value);
        else
          columns[column++].addMissing();
      }
    }
  }
  Table table;
  for (auto& column : columns) table.add(std::move(column));
  return table;
}

/// A word that changes with every line of the change log but those of outputs.
Result<std::string> stateOf(const Database& database) {
  // The last line's id is random, so that two copies that went on differently never share a key.
  LEEWARD_ASSIGN(last, database.prepare("SELECT sequence, id FROM change_log WHERE table_name <> 'outputs' ORDER BY sequence DESC LIMIT 1"));
  LEEWARD_ASSIGN(found, last.step());
  return found ? fmt::format("{} {}", last.integer(0), last.text(1)) : std::string("nothing yet");
}

}  // namespace

Ledger::Ledger(std::unique_ptr<Store> store) : store_(std::move(store)) {}
Ledger::Ledger(Ledger&&) noexcept = default;
Ledger& Ledger::operator=(Ledger&& other) noexcept {
  if (this != &other) {
    (void)close();
    store_ = std::move(other.store_);
  }
  return *this;
}
Ledger::~Ledger() { (void)close(); }

Result<Ledger> Ledger::create(const fs::path& file) {
  std::error_code error;
  if (fs::exists(fs::symlink_status(file, error))) {
    return Problem{ProblemCode::AlreadyExists, "there is a file of this name already", file.string(),
                   "Choose another folder, or open the ledger"};
  }
  LEEWARD_TRY(writeBeside(file, makeIn, true));
  return open(file);
}

Result<Ledger> Ledger::open(const fs::path& file) {
  LEEWARD_ASSIGN(whole, checkHeader(file));
  // SQLite gives its side files the mode of the ledger. A file that isn't ours keeps its mode.
  std::error_code ignored;
  fs::permissions(file, fs::perms::owner_read | fs::perms::owner_write, ignored);
  LEEWARD_ASSIGN(database, Database::open(file, Database::Access::ReadWrite));
  // A write-ahead log needs memory that all its programs share, which folders of other machines don't give: there a rollback journal serves.
  LEEWARD_TRY(database.run(liesElsewhere(file) ? "PRAGMA journal_mode=DELETE" : "PRAGMA journal_mode=WAL"));
  LEEWARD_TRY(accept(database, whole));
  return Ledger(std::make_unique<Store>(std::move(database)));
}

Result<void> Ledger::close() {
  if (!store_) return {};
  const auto store = std::move(store_);
  // Refused as busy while another program has the ledger open; the last one out tidies up.
  store->database.waitForOthers(0);
  auto tidied = store->database.run("PRAGMA journal_mode=DELETE");
  if (!tidied && store->database.wasBusy()) tidied = {};
  auto closed = store->database.close();
  return tidied ? closed : tidied;
}

Result<Table> Ledger::read(Entity entity) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  return readTable(*database, entity);
}

Result<std::vector<Table>> Ledger::read(const std::vector<Entity>& entities, Progress& progress) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(as_it_was, stateOf(*database));
  std::vector<Table> tables(entities.size());
  std::vector<Result<bool>> same(entities.size(), true);  // whether the table is of that state
  const auto readAside = [&](std::size_t at) -> Result<bool> {
    LEEWARD_ASSIGN(aside, Database::open(database->file(), Database::Access::ReadOnly));
    LEEWARD_TRY(aside.run("BEGIN"));  // state and table of one moment
    LEEWARD_ASSIGN(state, stateOf(aside));
    LEEWARD_ASSIGN(table, readTable(aside, entities[at]));
    tables[at] = std::move(table);
    return state == as_it_was;
  };
  bool is_one_moment = progress.threads() > 1;
  if (is_one_moment) {
    LEEWARD_TRY(progress.parallelFor(entities.size(), 1, [&](std::size_t at, std::size_t) { same[at] = readAside(at); }));
    for (const auto& one : same) is_one_moment = is_one_moment && one && *one;
  }
  if (is_one_moment) return tables;
  // Over the ledger's own connection; what may be wrong with the file is said here.
  LEEWARD_TRY(database->run("SAVEPOINT one_moment"));
  Result<void> all;
  for (std::size_t at = 0; at < entities.size() && all; ++at) {
    auto table = readTable(*database, entities[at]);
    if (table) tables[at] = *std::move(table);
    else all = table.problem();
  }
  LEEWARD_TRY(database->run("RELEASE one_moment"));
  if (!all) return all.problem();
  return tables;
}

Result<std::uint64_t> Ledger::count(Entity entity) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(count, database->number(fmt::format("SELECT count(*) FROM {}", tableName(entity))));
  return static_cast<std::uint64_t>(count.value_or(0));
}

Result<std::uint64_t> Ledger::openRefusals() const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(open, database->number(
                           "SELECT count(*) FROM refused_rows AS refused JOIN imports AS own ON own.id = refused.import_id "
                           "WHERE NOT EXISTS (SELECT 1 FROM imports AS later WHERE later.kind = own.kind AND later.file_name = own.file_name "
                           "AND later.id > own.id AND (later.rows_known > 0 OR later.sha256 = own.sha256)) "
                           "AND NOT EXISTS (SELECT 1 FROM looks WHERE source_key = refused.source_key AND import_id > own.id) "
                           "AND NOT EXISTS (SELECT 1 FROM sightings WHERE source_key = refused.source_key AND import_id > own.id)"));
  return static_cast<std::uint64_t>(open.value_or(0));
}

Result<std::optional<std::string>> Ledger::setting(const std::string& name) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(read, database->prepare("SELECT value FROM settings WHERE name = ?1"));
  LEEWARD_ASSIGN(found, read.bind(1, std::string_view(name)).step());
  return found ? std::optional(std::string(read.text(0))) : std::nullopt;
}

Result<void> Ledger::setSetting(const std::string& name, const std::string& value) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  return set(*database, name, value);
}

Result<std::string> Ledger::stateKey() const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(state, stateOf(*database));
  return sha256Hex(state);
}

}  // namespace leeward
