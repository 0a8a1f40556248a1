#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "shared/base/hash.h"
#include "shared/base/one_ahead.h"
#include "shared/base/text.h"
#include "shared/ledger/corrections.h"
#include "shared/ledger/row_writer.h"
#include "shared/ledger/store.h"
#include "shared/ledger/tombstones.h"

namespace leeward {
namespace {

using ledger::ChangeLog;
using ledger::kRowsBetweenReports;
using ledger::Database;
using ledger::Field;
using ledger::RowAsJson;
using ledger::RowWriter;
using ledger::Statement;
using ledger::Tombstones;

/// Deletes and logs what hangs on a look that is about to be replaced, leaves first.
class ChildRemover {
 public:
  static Result<ChildRemover> make(const Database& database) {
    ChildRemover remover;
    const auto& all = ledger::allEntities();
    for (auto entity = all.rbegin(); entity != all.rend(); ++entity) {
      const auto parents = ledger::parentsOf(*entity);
      if (!parents.look && !parents.visit) continue;
      std::vector<std::string> conditions;
      if (parents.look) conditions.emplace_back("look_id = ?1");
      if (parents.visit) conditions.emplace_back("visit_id IN (SELECT id FROM visits WHERE look_id = ?1)");
      const std::string from = fmt::format("FROM {} WHERE {}", tableName(*entity), join(conditions, " OR "));
      LEEWARD_ASSIGN(fields, ledger::fieldsOf(database, *entity));
      std::vector<std::string> names;
      for (const auto& field : fields) names.push_back(field.name);
      LEEWARD_ASSIGN(select, database.prepare(fmt::format("SELECT {} {}", join(names, ", "), from)));
      LEEWARD_ASSIGN(erase, database.prepare("DELETE " + from));
      remover.children_.push_back({*entity, std::move(fields), std::move(select), std::move(erase)});
    }
    return remover;
  }

  Result<void> remove(std::string_view look_id, ChangeLog& log) {
    for (auto& child : children_) {
      child.select.bind(1, look_id);
      while (true) {
        LEEWARD_ASSIGN(more, child.select.step());
        if (!more) break;
        RowAsJson before;
        for (std::size_t i = 0; i < child.fields.size(); ++i) before.add(child.fields[i], child.select, static_cast<int>(i));
        LEEWARD_TRY(log.deleted(child.entity, child.select.text(0), before.text()));
      }
      LEEWARD_TRY(child.erase.bind(1, look_id).run());
    }
    return {};
  }

 private:
  struct Child {
    Entity entity;
    std::vector<Field> fields;
    Statement select;
    Statement erase;
  };
  std::vector<Child> children_;
};

std::size_t rowsOf(const ImportBatch& batch) {
  std::size_t rows = 0;
  for (const auto& [entity, table] : batch.rows) rows += table.rows();
  return rows;
}

/// One take(): everything happens within the caller's transaction.
class Taking {
 public:
  Taking(const Database& database, const ImportBatch& head, ledger::Corrections corrections, Tombstones tombstones, ChangeLog log, Progress& progress)
      : database_(&database), head_(&head), corrections_(std::move(corrections)), tombstones_(std::move(tombstones)), log_(std::move(log)), progress_(&progress) {
    taken_.import_id = newUuid();
    taken_.recognised = corrections_.known_as.size();
    taken_.gone = corrections_.gone, taken_.alike = corrections_.alike;
  }

  Result<void> start() { return writeImport(); }

  /// of_all: the rows that progress is a share of; 0 if nobody knows yet.
  Result<void> add(const ImportBatch& piece, std::size_t of_all) {
    total_ = of_all;
    refused_ += piece.report.refused.size();
    LEEWARD_TRY(writeRefused(piece.report));
    for (const auto& [entity, rows] : piece.rows) {  // parents come before children
      if (rows.rows() == 0) continue;
      const auto parents = ledger::parentsOf(entity);
      if (ledger::isKeyed(entity)) {
        LEEWARD_TRY(takeKeyed(entity, rows));
      } else if (parents.look || parents.visit) {
        LEEWARD_TRY(takeChildren(entity, rows, parents));
      } else {
        return Problem{ProblemCode::Internal, fmt::format("table {} is not for take()", tableName(entity)), "", ""};
      }
    }
    left_out_looks_.clear(), left_out_visits_.clear(), ledger_look_.clear();  // views into the piece
    return {};
  }

  Result<TakenIn> finish() {
    LEEWARD_TRY(writeCounts());
    LEEWARD_TRY(progress_->checkStop());
    return taken_;
  }

 private:
  Result<void> writeImport() {
    LEEWARD_ASSIGN(insert, database_->prepare("INSERT INTO imports (id, kind, file_name, sha256, imported_at, columns, rows_read, rows_kept, "
                                              "rows_known, rows_refused, remarks) VALUES (?1, ?2, ?3, ?4, ?5, ?6, 0, 0, 0, 0, '')"));
    const std::string at = ledger::nowIso();
    insert.bind(1, std::string_view(taken_.import_id)).bind(2, std::string_view(head_->kind));
    insert.bind(3, std::string_view(head_->file_name)).bind(4, std::string_view(head_->sha256));
    insert.bind(5, std::string_view(at)).bind(6, std::string_view(head_->columns));
    LEEWARD_TRY(insert.run());
    return log_.inserted(Entity::Imports, taken_.import_id);
  }

  /// What is known of the import when all of it was read.
  Result<void> writeCounts() {
    LEEWARD_ASSIGN(update, database_->prepare("UPDATE imports SET rows_read = ?2, rows_kept = ?3, rows_known = ?4, rows_refused = ?5, remarks = ?6 WHERE id = ?1"));
    const std::string remarks = join(head_->report.remarks, "\n");
    update.bind(1, std::string_view(taken_.import_id)).bind(2, static_cast<std::int64_t>(head_->report.read)).bind(3, static_cast<std::int64_t>(head_->report.kept));
    update.bind(4, static_cast<std::int64_t>(taken_.known)).bind(5, static_cast<std::int64_t>(refused_)).bind(6, std::string_view(remarks));
    return update.run();
  }

  Result<void> writeRefused(const RowReport& report) {
    if (report.refused.empty()) return {};
    LEEWARD_ASSIGN(insert, database_->prepare("INSERT INTO refused_rows (id, import_id, line, column_name, value, reason, row, source_key) "
                                              "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"));
    for (const auto& refused : report.refused) {
      if (isForgotten(refused)) continue;
      const std::string id = newUuid();
      insert.bind(1, std::string_view(id)).bind(2, std::string_view(taken_.import_id));
      insert.bind(3, static_cast<std::int64_t>(refused.line)).bind(4, std::string_view(refused.column));
      insert.bind(5, std::string_view(refused.value)).bind(6, std::string_view(refused.reason)).bind(7, std::string_view(refused.row)).bind(8, std::string_view(refused.key));
      LEEWARD_TRY(insert.run());
    }
    return log_.imported(Entity::RefusedRows, taken_.import_id, report.refused.size());
  }

  bool isForgotten(const RefusedRow& refused) {
    if (tombstones_.empty()) return false;
    bool is = tombstones_.holds(Tombstones::What::Key, refused.key, "");
    for (const auto cell : split(refused.row, ',')) {
      for (const auto what : {Tombstones::What::Address, Tombstones::What::Name}) is = is || tombstones_.holds(what, cell, "");
    }
    if (is) ++taken_.forgotten;
    return is;
  }

  /// Looks, sightings, photos or stock: new ones go in, known ones stay, changed ones keep their id in the ledger.
  Result<void> takeKeyed(Entity entity, const Table& rows) {
    LEEWARD_ASSIGN(writer, RowWriter::make(*database_, entity, rows, taken_.import_id));
    LEEWARD_ASSIGN(find, database_->prepare(
                             fmt::format("SELECT id, content_hash, import_id, date, {} FROM {} WHERE source_key = ?1", entity == Entity::Photos || entity == Entity::Stock ? "''" : "address", tableName(entity))));
    const auto ids = writer.texts("id"), keys = writer.texts("source_key"), hashes = writer.texts("content_hash"), dates = writer.texts("date"),
               addresses = writer.texts("address"), names = writer.texts("household");
    const auto isBuried = [&](std::size_t row) {
      using What = Tombstones::What;
      return !tombstones_.empty() && (tombstones_.holds(What::Key, keys[row], dates[row]) || tombstones_.holds(What::Address, addresses[row], dates[row]) || tombstones_.holds(What::Name, names[row], dates[row]));
    };
    std::optional<ChildRemover> remover;
    std::uint64_t added = 0;
    for (std::size_t row = 0; row < rows.rows(); ++row) {
      LEEWARD_TRY(tick(entity));
      if (isBuried(row)) {
        ++taken_.forgotten;
        if (entity == Entity::Looks) left_out_looks_.insert(ids[row]);
        continue;
      }
      std::string_view key = keys[row];
      if (const auto corrected = corrections_.known_as.find(key); corrected != corrections_.known_as.end()) key = corrected->second;
      LEEWARD_ASSIGN(known, find.bind(1, key).step());
      if (!known) {
        LEEWARD_TRY(writer.insert(row));
        ++added;
        continue;
      }
      const std::string id(find.text(0));
      const bool same = find.text(1) == hashes[row];
      const bool of_this_batch = find.text(2) == taken_.import_id;
      const std::string known_date(find.text(3));
      const bool elsewhere = find.text(4) != addresses[row] && known_date != dates[row];
      find.reset();
      if (same) {
        ++taken_.known;
        if (entity == Entity::Looks) left_out_looks_.insert(ids[row]);
        continue;
      }
      if (of_this_batch) {
        return Problem{ProblemCode::BadData,
                       fmt::format("rows of one look ({}{}, {}) stand in distant parts of the file and don't say the same; nothing was taken in",
                                   keys[row].starts_with("row:") ? "" : std::string(keys[row]) + ": ", dates[row], addresses[row].empty() ? "no address" : addresses[row]),
                       head_->file_name, "Sort the file by day, or by visit_id, so that rows of one look follow each other"};
      }
      // A correction keeps the day or the place; where both differ, ids began anew and would replace what they don't mean.
      if (elsewhere) {
        return Problem{ProblemCode::BadData,
                       fmt::format("the id {} is that of another row already, of {}; nothing was taken in", keys[row],
                                   known_date),
                       head_->file_name, "Give ids that don't repeat between files, for example with the year in front"};
      }
      LEEWARD_TRY(writer.update(id, row, log_));
      ++taken_.changed;
      if (entity != Entity::Looks) continue;
      if (!remover) {
        LEEWARD_ASSIGN(made, ChildRemover::make(*database_));
        remover = std::move(made);
      }
      LEEWARD_TRY(remover->remove(id, log_));
      ledger_look_.emplace(ids[row], id);
    }
    taken_.added += added;
    return added == 0 ? Result<void>() : log_.imported(entity, taken_.import_id, added);
  }

  Result<void> takeChildren(Entity entity, const Table& rows, ledger::Parents parents) {
    LEEWARD_ASSIGN(writer, RowWriter::make(*database_, entity, rows));
    const auto ids = writer.texts("id"), look_ids = writer.texts("look_id"), visit_ids = writer.texts("visit_id");
    std::uint64_t added = 0;
    for (std::size_t row = 0; row < rows.rows(); ++row) {
      LEEWARD_TRY(tick(entity));
      const std::string_view look_id = parents.look ? look_ids[row] : std::string_view();
      if (left_out_looks_.contains(look_id) || (parents.visit && left_out_visits_.contains(visit_ids[row]))) {
        if (entity == Entity::Visits) left_out_visits_.insert(ids[row]);
        continue;
      }
      const auto moved = ledger_look_.find(look_id);
      LEEWARD_TRY(writer.insert(row, moved == ledger_look_.end() ? std::string_view() : std::string_view(moved->second)));
      ++added;
    }
    return added == 0 ? Result<void>() : log_.imported(entity, taken_.import_id, added);
  }

  Result<void> tick(Entity entity) {
    if (done_ % kRowsBetweenReports == 0) {
      LEEWARD_TRY(progress_->checkStop());
      if (total_ > 0) progress_->report(static_cast<double>(done_) / static_cast<double>(total_), fmt::format("writing {}", tableName(entity)));
    }
    ++done_;
    return {};
  }

  const Database* database_;
  const ImportBatch* head_;
  ledger::Corrections corrections_;
  Tombstones tombstones_;
  ChangeLog log_;
  Progress* progress_;
  TakenIn taken_;
  std::size_t total_ = 0;
  std::size_t done_ = 0;
  std::size_t refused_ = 0;
  // Views into the piece's columns.
  std::unordered_set<std::string_view> left_out_looks_;
  std::unordered_set<std::string_view> left_out_visits_;
  std::unordered_map<std::string_view, std::string> ledger_look_;  ///< the batch's id of a changed look -> the ledger's
};

/// While it lives, a large import goes straight into the file, with the old pages in a rollback journal, instead of into the write-ahead log
/// and from there into the file: half the writing, as safe when the power goes. Only where no other program has the ledger open.
class WritesOnce {
 public:
  WritesOnce(const Database& database, std::size_t rows) : database_(database), switched_(rows >= kLargeImport) {
    if (!switched_) return;
    database_.waitForOthers(0);
    switched_ = database_.run("PRAGMA journal_mode=DELETE").ok();
    database_.waitForOthers();
  }
  ~WritesOnce() {
    if (switched_) (void)database_.run("PRAGMA journal_mode=WAL");
  }
  WritesOnce(const WritesOnce&) = delete;
  WritesOnce& operator=(const WritesOnce&) = delete;


  static constexpr std::size_t kLargeImport = 20'000;

 private:
  const Database& database_;
  bool switched_;
};

/// The same file read in the same way, with nothing of its kind taken in since: a later import may have changed its rows.
Result<std::optional<std::string>> earlierImport(const Database& database, const ImportBatch& batch) {
  LEEWARD_ASSIGN(find,
                 database.prepare("SELECT id FROM imports WHERE sha256 = ?1 AND kind = ?2 AND columns = ?3 "
                                  "AND id = (SELECT max(id) FROM imports WHERE kind = ?2)"));
  find.bind(1, std::string_view(batch.sha256)).bind(2, std::string_view(batch.kind)).bind(3, std::string_view(batch.columns));
  LEEWARD_ASSIGN(found, find.step());
  return found ? std::optional(std::string(find.text(0))) : std::nullopt;
}

}  // namespace

Result<TakenIn> Ledger::take(const ImportBatch& batch, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  const WritesOnce writes_once(*database, rowsOf(batch));
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(before, earlierImport(*database, batch));
  if (before) return TakenIn{.import_id = *before, .same_file_before = true, .added = 0, .changed = 0, .known = 0, .recognised = 0};
  LEEWARD_ASSIGN(corrections, ledger::findCorrections(*database, batch));
  LEEWARD_ASSIGN(tombstones, Tombstones::read(*database));
  LEEWARD_ASSIGN(log, ChangeLog::start(*database));
  Taking taking(*database, batch, std::move(corrections), std::move(tombstones), std::move(log), progress);
  LEEWARD_TRY(taking.start());
  LEEWARD_TRY(taking.add(batch, rowsOf(batch)));
  LEEWARD_ASSIGN(taken, taking.finish());
  LEEWARD_TRY(transaction.commit());
  progress.report(1.0);
  return taken;
}

Result<TakenIn> Ledger::take(const ImportBatch& head, const NextPiece& next, Progress& progress) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  const WritesOnce writes_once(*database, WritesOnce::kLargeImport);
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(before, earlierImport(*database, head));
  if (before) return TakenIn{.import_id = *before, .same_file_before = true, .added = 0, .changed = 0, .known = 0, .recognised = 0};
  LEEWARD_ASSIGN(tombstones, Tombstones::read(*database));
  LEEWARD_ASSIGN(log, ChangeLog::start(*database));
  Taking taking(*database, head, {}, std::move(tombstones), std::move(log), progress);
  LEEWARD_TRY(taking.start());
  OneAhead<ImportBatch> ahead([&]() -> Result<std::optional<ImportBatch>> {
    ImportBatch piece;
    LEEWARD_ASSIGN(any, next(piece));
    return any ? std::optional(std::move(piece)) : std::nullopt;
  });
  while (true) {
    LEEWARD_ASSIGN(piece, ahead.next());
    if (!piece) break;
    LEEWARD_TRY(taking.add(*piece, 0));
  }
  LEEWARD_ASSIGN(taken, taking.finish());
  LEEWARD_TRY(transaction.commit());
  progress.report(1.0);
  return taken;
}

}  // namespace leeward
