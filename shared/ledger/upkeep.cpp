// Copies and checks of a whole ledger.
#include <fstream>

#include <fmt/format.h>
#include <sqlite3.h>

#include "shared/base/files.h"
#include "shared/base/seal.h"
#include "shared/ledger/copy_pages.h"
#include "shared/ledger/store.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

using ledger::Database;

constexpr int kPagesAStep = 1024;

/// A sealed ledger's copy is sealed: by the same key and passphrase.
Result<void> putHead(const fs::path& copy, const fs::path& from) {
  LEEWARD_ASSIGN(head, readSealHead(from));
  std::ofstream out(copy, std::ios::binary);
  out << head;
  out.close();
  if (!out) return Problem{ProblemCode::Io, "the copy can't be written", copy.string(), "Check that the disk has room"};
  return {};
}

/// An earlier backup of the same study may be replaced, nothing else.
Result<void> mayReplace(const fs::path& file, const fs::path& own, const std::string& study_id) {
  std::error_code error;
  if (!fs::exists(fs::symlink_status(file, error))) return {};
  if (fs::equivalent(file, own, error)) {
    return Problem{ProblemCode::InvalidArgument, "the backup would replace the ledger itself", file.string(),
                   "Name another file"};
  }
  const Problem theirs{ProblemCode::AlreadyExists, "there is a file of this name, and it is no backup of this study",
                       file.string(), "Name another file"};
  auto earlier = Database::open(file, Database::Access::ReadOnly);
  if (!earlier) return theirs;
  auto read = earlier->prepare("SELECT 1 FROM settings WHERE name = 'study_id' AND value = ?1");
  if (!read) return theirs;
  const auto found = read->bind(1, std::string_view(study_id)).step();
  return found && *found ? Result<void>() : theirs;
}

Result<void> addLines(const Database& database, const std::string& pragma, std::vector<std::string>& lines) {
  LEEWARD_ASSIGN(check, database.prepare(pragma));
  while (true) {
    LEEWARD_ASSIGN(more, check.step());
    if (!more) return {};
    if (check.text(0) != "ok") lines.emplace_back(check.text(0));
  }
}

}  // namespace

Result<void> ledger::copyPages(const Database& from, const Database& to, Progress& progress) {
  sqlite3_backup* backup = sqlite3_backup_init(to.raw(), "main", from.raw(), "main");
  if (!backup) return ledger::problemOf(to.raw(), sqlite3_errcode(to.raw()));
  int code = SQLITE_OK;
  while (code == SQLITE_OK && !progress.stopRequested()) {
    code = sqlite3_backup_step(backup, kPagesAStep);
    const double total = std::max(1, sqlite3_backup_pagecount(backup));
    progress.report(1.0 - sqlite3_backup_remaining(backup) / total, "copying the ledger");
  }
  const int finished = sqlite3_backup_finish(backup);
  if (code == SQLITE_DONE) return {};
  if (code == SQLITE_OK) return Progress::stopped();
  return ledger::problemOf(finished == SQLITE_OK ? from.raw() : to.raw(), code);
}

Result<void> Ledger::backup(const fs::path& file, Progress& progress) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(study_id, setting("study_id"));
  LEEWARD_TRY(mayReplace(file, database->file(), study_id.value_or("")));
  const auto write = [&](const fs::path& temporary) -> Result<void> {
    if (isSealed(database->file())) LEEWARD_TRY(putHead(temporary, database->file()));
    LEEWARD_ASSIGN(copy, Database::open(temporary, Database::Access::ReadWrite));
    LEEWARD_TRY(ledger::copyPages(*database, copy, progress));
    // The copy carries the mark of a write-ahead log; at rest there is none.
    LEEWARD_TRY(copy.run("PRAGMA journal_mode=DELETE"));
    return copy.close();
  };
  return writeBeside(file, write, true);
}

Result<std::vector<std::string>> Ledger::check() const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  std::vector<std::string> lines;
  LEEWARD_TRY(addLines(*database, "PRAGMA integrity_check", lines));
  LEEWARD_TRY(addLines(*database,
                       "SELECT printf('%s: row %s points to a row of %s that is not there', \"table\", rowid, parent) "
                       "FROM pragma_foreign_key_check",
                       lines));
  return lines;
}

}  // namespace leeward
