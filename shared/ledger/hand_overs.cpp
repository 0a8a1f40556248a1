#include "shared/ledger/hand_overs.h"

#include "shared/ledger/store.h"

namespace leeward {
namespace {

using ledger::Statement;
using View = std::string_view;

/// Every row of a statement through `make`.
template <class Row, class Make>
Result<std::vector<Row>> rowsFrom(Statement& select, const Make& make) {
  std::vector<Row> rows;
  while (true) {
    LEEWARD_ASSIGN(more, select.step());
    if (!more) return rows;
    rows.push_back(make(select));
  }
}

std::string textAt(const Statement& row, int column) { return std::string(row.text(column)); }

Result<void> writeCells(const ledger::Database& database, const HandOverNote& note) {
  LEEWARD_ASSIGN(insert, database.prepare("INSERT INTO handed_cells (audience, tables, area, period, kind, value, withheld, export_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"));
  for (const auto& cell : note.cells) {
    insert.bind(1, View(note.what.audience)).bind(2, View(note.tables)).bind(3, View(cell.area)).bind(4, View(cell.period)).bind(5, View(cell.kind));
    LEEWARD_TRY(insert.bind(6, cell.value).bind(7, std::int64_t{cell.withheld}).bind(8, View(note.what.id)).run());
  }
  return {};
}

Result<void> writePlaces(const ledger::Database& database, const HandOverNote& note) {
  LEEWARD_ASSIGN(insert, database.prepare("INSERT INTO masked_places (audience, premises_tag, lon, lat, nearer, candidates, since, why_not, export_id) "
                                          "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)"));
  for (const auto& place : note.places) {
    insert.bind(1, View(note.what.audience)).bind(2, View(place.premises_tag));
    if (place.lon_lat) insert.bind(3, place.lon_lat->x).bind(4, place.lon_lat->y);
    else insert.bindNull(3).bindNull(4);
    insert.bind(5, std::int64_t{place.nearer}).bind(6, std::int64_t{place.candidates}).bind(7, View(place.since)).bind(8, View(place.why_not));
    LEEWARD_TRY(insert.bind(9, View(note.what.id)).run());
  }
  return {};
}

}  // namespace

Result<std::vector<Export>> Ledger::exports() const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(select, database->prepare("SELECT id, made_at, made_by, audience, case_id, as_of, content_hash, files FROM exports ORDER BY id"));
  return rowsFrom<Export>(select, [](const Statement& row) {
    return Export{textAt(row, 0), textAt(row, 1), textAt(row, 2), textAt(row, 3), textAt(row, 4), textAt(row, 5), textAt(row, 6), textAt(row, 7)};
  });
}

Result<std::vector<std::string>> Ledger::handedTables(const std::string& audience) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(select, database->prepare("SELECT DISTINCT tables FROM handed_cells WHERE audience = ?1 ORDER BY tables"));
  select.bind(1, View(audience));
  return rowsFrom<std::string>(select, [](const Statement& row) { return textAt(row, 0); });
}

Result<std::vector<HandedCell>> Ledger::handedCells(const std::string& audience, const std::string& tables) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(select, database->prepare("SELECT area, period, kind, value, withheld FROM handed_cells WHERE audience = ?1 AND tables = ?2 ORDER BY area, period, kind"));
  select.bind(1, View(audience)).bind(2, View(tables));
  return rowsFrom<HandedCell>(select, [](const Statement& row) { return HandedCell{textAt(row, 0), textAt(row, 1), textAt(row, 2), row.integer(3), row.integer(4) != 0}; });
}

Result<std::vector<MaskedPlace>> Ledger::maskedPlaces(const std::string& audience) const {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(select, database->prepare("SELECT premises_tag, lon, lat, nearer, candidates, since, why_not FROM masked_places WHERE audience = ?1 ORDER BY premises_tag"));
  select.bind(1, View(audience));
  return rowsFrom<MaskedPlace>(select, [](const Statement& row) {
    MaskedPlace place{textAt(row, 0), std::nullopt, static_cast<std::uint32_t>(row.integer(3)), static_cast<std::uint32_t>(row.integer(4)), textAt(row, 5), textAt(row, 6)};
    if (!row.isNull(1) && !row.isNull(2)) place.lon_lat = Point{row.real(1), row.real(2)};
    return place;
  });
}

Result<void> Ledger::noteHandOver(const HandOverNote& note) {
  LEEWARD_ASSIGN(database, Store::of(store_));
  LEEWARD_ASSIGN(transaction, ledger::Transaction::begin(*database));
  LEEWARD_ASSIGN(insert, database->prepare("INSERT INTO exports (id, made_at, made_by, audience, case_id, as_of, content_hash, files) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"));
  const Export& what = note.what;
  insert.bind(1, View(what.id)).bind(2, View(what.made_at)).bind(3, View(what.made_by)).bind(4, View(what.audience));
  LEEWARD_TRY(insert.bind(5, View(what.case_id)).bind(6, View(what.as_of)).bind(7, View(what.content_hash)).bind(8, View(what.files)).run());
  LEEWARD_TRY(writeCells(*database, note));
  LEEWARD_TRY(writePlaces(*database, note));
  return transaction.commit();
}

}  // namespace leeward
