#include "shared/ledger/corrections.h"

#include <algorithm>
#include <array>
#include <set>
#include <unordered_map>
#include <unordered_set>

#include <fmt/format.h>

#include "shared/base/dates.h"
#include "shared/base/text.h"

namespace leeward::ledger {
namespace {

/// What a look is told apart by.
struct LookRow {
  std::string key, date, time, crew, address, file;
  std::set<std::string> animals;
  bool is_same_bytes = false;  ///< came in from this very file
  bool isOwnKey() const { return !key.starts_with("row:"); }
  std::string words() const { return fmt::format("{}, {}{}", date, address.empty() ? "no address" : address, crew.empty() ? "" : ", " + crew); }
};

std::string folded(std::string_view text) { return lowerAscii(trim(text)); }

std::vector<LookRow> rowsOf(const ImportBatch& batch) {
  std::vector<LookRow> rows;
  const auto looks = batch.rows.find(Entity::Looks);
  if (looks == batch.rows.end()) return rows;
  const Table& table = looks->second;
  const auto text = [&](const Table& of, const char* name, std::size_t row) {
    const Column* column = of.find(name);
    return column == nullptr || column->isMissing(row) ? std::string() : std::string(column->textAt(row));
  };
  std::unordered_map<std::string, std::size_t> row_of;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    rows.push_back({text(table, "source_key", row), text(table, "date", row), text(table, "time", row), folded(text(table, "crew", row)),
                    folded(text(table, "address", row)), batch.file_name, {}});
    row_of.emplace(text(table, "id", row), row);
  }
  if (const auto visits = batch.rows.find(Entity::Visits); visits != batch.rows.end()) {
    for (std::size_t row = 0; row < visits->second.rows(); ++row) {
      const auto look = row_of.find(text(visits->second, "look_id", row));
      const std::string name = folded(text(visits->second, "name", row));
      if (look != row_of.end() && !name.empty()) rows[look->second].animals.insert(name);
    }
  }
  return rows;
}

Result<std::vector<LookRow>> knownRows(const Database& database, const ImportBatch& batch) {
  std::vector<LookRow> rows;
  std::unordered_map<std::string, std::size_t> row_of;
  LEEWARD_ASSIGN(looks, database.prepare("SELECT looks.id, source_key, date, time, crew, address, file_name, sha256 FROM looks JOIN imports ON imports.id = import_id ORDER BY looks.id"));
  while (true) {
    LEEWARD_ASSIGN(more, looks.step());
    if (!more) break;
    row_of.emplace(looks.text(0), rows.size());
    rows.push_back({std::string(looks.text(1)), std::string(looks.text(2)), std::string(looks.text(3)), folded(looks.text(4)), folded(looks.text(5)),
                    std::string(looks.text(6)), {}, looks.text(7) == batch.sha256});
  }
  LEEWARD_ASSIGN(visits, database.prepare("SELECT look_id, name FROM visits WHERE name <> ''"));
  while (true) {
    LEEWARD_ASSIGN(more, visits.step());
    if (!more) return rows;
    if (const auto look = row_of.find(std::string(visits.text(0))); look != row_of.end()) rows[look->second].animals.insert(folded(visits.text(1)));
  }
}

bool shareAnimal(const LookRow& a, const LookRow& b) {
  return std::ranges::any_of(a.animals, [&](const auto& name) { return b.animals.contains(name); });
}

/// A mistyped day: within a week, another year, or day and month exchanged. A return visit months later is none.
bool isSlipOf(const std::string& one, const std::string& other) {
  const auto a = parseIsoDate(one), b = parseIsoDate(other);
  if (!a || !b) return false;
  const auto first = calendar(*a), second = calendar(*b);
  return std::abs(*a - *b) <= 7 || (first.month() == second.month() && first.day() == second.day()) ||
         (first.year() == second.year() && unsigned{first.month()} == unsigned{second.day()} && unsigned{first.day()} == unsigned{second.month()});
}

/// One row before and after a correction: all but one of day, address and crew agree (the time may differ besides).
bool pairs(const LookRow& gone, const LookRow& fresh) {
  const bool date = gone.date == fresh.date, address = gone.address == fresh.address, crew = gone.crew == fresh.crew;
  const bool same_animals = gone.animals == fresh.animals;
  if (date && address) return true;
  if (date && crew) return (same_animals && !gone.animals.empty()) || (!gone.time.empty() && gone.time == fresh.time);  // another address
  return address && crew && same_animals && isSlipOf(gone.date, fresh.date);
}

/// Rows found by what a pair has in common, so that a long file is not held row by row against all of another.
class Fresh {
 public:
  explicit Fresh(const std::vector<const LookRow*>& rows) : rows_(rows), paired_(rows.size(), false) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i]->isOwnKey()) continue;
      for (const auto& key : keysOf(*rows[i])) by_key_[key].push_back(i);
    }
  }
  /// The first row that is not paired yet and pairs with `old`, now paired; null if there is none.
  const LookRow* take(const LookRow& old) {
    std::size_t first = rows_.size();
    for (const auto& key : keysOf(old)) {
      const auto found = by_key_.find(key);
      if (found == by_key_.end()) continue;
      for (const std::size_t i : found->second) {
        if (i >= first) break;
        if (!paired_[i] && pairs(old, *rows_[i])) first = i;
      }
    }
    if (first == rows_.size()) return nullptr;
    paired_[first] = true;
    return rows_[first];
  }

 private:
  /// What pairs() asks for, two of three.
  static std::array<std::string, 3> keysOf(const LookRow& row) {
    return {"da" + row.date + "|" + row.address, "dc" + row.date + "|" + row.crew, "ac" + row.address + "|" + row.crew};
  }
  const std::vector<const LookRow*>& rows_;
  std::vector<bool> paired_;
  std::unordered_map<std::string, std::vector<std::size_t>> by_key_;
};

}  // namespace

Result<Corrections> findCorrections(const Database& database, const ImportBatch& batch) {
  Corrections found;
  LEEWARD_ASSIGN(known, knownRows(database, batch));
  if (known.empty()) return found;  // a first file is not looked through
  const auto rows = rowsOf(batch);
  std::unordered_set<std::string_view> new_keys, known_keys;
  for (const auto& row : rows) new_keys.insert(row.key);
  for (const auto& row : known) known_keys.insert(row.key);

  std::vector<const LookRow*> gone, fresh;
  std::size_t before = 0;
  bool was_read_otherwise = false;  // the same file, of which something else was taken then: its rows may all have other keys
  for (const auto& row : known) {
    if ((row.file != batch.file_name && !row.is_same_bytes) || row.isOwnKey()) continue;
    ++before;
    was_read_otherwise = was_read_otherwise || row.is_same_bytes;
    if (!new_keys.contains(row.key)) gone.push_back(&row);
  }
  for (const auto& row : rows) {
    if (!known_keys.contains(row.key)) fresh.push_back(&row);
  }
  const bool has_grown = was_read_otherwise || (before > 0 && 2 * (before - gone.size()) >= before);
  Fresh candidates(fresh);
  std::unordered_set<const LookRow*> paired;
  for (const LookRow* old : has_grown ? gone : std::vector<const LookRow*>{}) {
    const LookRow* match = candidates.take(*old);
    if (match == nullptr) {
      found.gone.push_back(old->words());
      continue;
    }
    paired.insert(match);
    found.known_as.emplace(match->key, old->key);
  }

  std::unordered_map<std::string, std::vector<const LookRow*>> by_place;
  for (const auto& row : known) {
    if (!row.address.empty() && !new_keys.contains(row.key)) by_place[row.date + "|" + row.address].push_back(&row);
  }
  for (const LookRow* row : fresh) {
    const auto at = by_place.find(row->date + "|" + row->address);
    if (paired.contains(row) || at == by_place.end()) continue;
    const auto like = std::ranges::find_if(at->second, [&](const LookRow* other) { return other->crew == row->crew || shareAnimal(*other, *row); });
    if (like != at->second.end()) found.alike.push_back(fmt::format("{}: like a row of {}", row->words(), (*like)->file));
  }
  return found;
}

}  // namespace leeward::ledger
