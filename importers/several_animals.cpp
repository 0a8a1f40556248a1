#include "importers/several_animals.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>

#include "importers/fields.h"
#include "importers/fold.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"

namespace leeward::importers {
namespace {

constexpr std::size_t kMostInOneCell = 30;

using Pieces = std::vector<std::string>;

Pieces trimmedPieces(std::string_view text, std::string_view marks) {
  Pieces pieces;
  while (true) {
    const std::size_t end = text.find_first_of(marks);
    if (const auto piece = trim(text.substr(0, end)); !piece.empty()) pieces.emplace_back(piece);
    if (end == std::string_view::npos) return pieces;
    text = text.substr(end + 1);
  }
}

/// " and " and " y " as commas; joined: whether there was one.
std::string withCommas(std::string_view text, bool& joined) {
  std::string out(text);
  for (const std::string_view word : {" and ", " y ", " And ", " AND "}) {
    for (std::size_t at = out.find(word); at != std::string::npos; at = out.find(word)) {
      out.replace(at, word.size(), ",");
      joined = true;
    }
  }
  return out;
}

Pieces surelyListed(std::string_view text) { return trimmedPieces(text, ";\n"); }
Pieces perhapsListed(std::string_view text) {
  bool joined = false;
  return trimmedPieces(withCommas(text, joined), ";\n,/&+");
}

bool mayList(std::string_view text) {
  return text.find_first_of(";,/&+\n") != std::string_view::npos || text.find(" and ") != std::string_view::npos || text.find(" y ") != std::string_view::npos ||
         text.find(" And ") != std::string_view::npos || text.find(" AND ") != std::string_view::npos;
}

/// Columns of the animal besides its name, and whether one value can stand for several animals.
struct AnimalColumn {
  std::string field;
  std::size_t column = 0;
  bool shared = true;
  bool free_text = false;  ///< commas belong to it
};

class Parter {
 public:
  Parter(const Table& table, const ColumnMap& map) : table_(table), map_(map) {
    for (const char* field : {"kind", "sex", "altered", "body_scale"}) add(field, true, false);
    for (const char* field : {"age", "description"}) add(field, true, true);
    for (const char* field : {"body_condition", "outcome"}) add(field, false, false);
    for (const std::string_view item : conditionItems()) {
      add(std::string(item), true, false);
      add("left_" + std::string(item), true, false);
    }
  }

  std::string_view at(std::string_view field, std::size_t row) const {
    const auto column = map_.column(field);
    return column ? cell(*column, row) : std::string_view{};
  }

  /// The animals that the row names: one piece or none if it isn't a list.
  Pieces names(std::size_t row) const {
    const std::string_view text = at("dog_name", row);
    if (!mayList(text)) return {};
    if (Pieces sure = surelyListed(text); sure.size() > 1) return sure;
    bool joined = false;
    const bool has_comma = text.find(',') != std::string_view::npos;
    const std::string commas = withCommas(text, joined);
    Pieces pieces = perhapsListed(text);
    const bool like_names = std::ranges::all_of(pieces, [](const std::string& piece) { return piece.size() <= 30 && std::ranges::count(piece, ' ') < 3; });
    if (pieces.size() < 2 || !like_names) return {};
    if (joined && has_comma && pieces.size() > 2) return pieces;
    for (const char* field : {"dogs_met", "dogs_seen"}) {
      if (parseInteger(at(field, row)) == static_cast<std::int64_t>(pieces.size())) return pieces;
    }
    const bool listed_elsewhere = std::ranges::any_of(columns_, [&](const AnimalColumn& one) {
      const auto values = one.free_text ? surelyListed(cell(one.column, row)) : perhapsListed(cell(one.column, row));
      return values.size() == pieces.size();
    });
    return listed_elsewhere ? pieces : Pieces{};
  }

  /// The values of one column for n animals. field and reason of a fault are filled if they don't match.
  Pieces values(const AnimalColumn& one, std::size_t row, std::size_t n, PartedRows::Refused& fault) {
    const std::string_view text = cell(one.column, row);
    if (text.empty()) return Pieces(n);
    const Pieces sure = surelyListed(text);
    if (sure.size() == n) return sure;
    const Pieces perhaps = perhapsListed(text);
    if (perhaps.size() == n) return perhaps;
    const bool is_list = sure.size() > 1 || (!one.free_text && perhaps.size() > 1);
    if (is_list || !one.shared) {
      const std::size_t said = sure.size() > 1 ? sure.size() : perhaps.size();
      fault = {row, one.field, fmt::format("{} animals are named, but here {} {} given; give as many, parted by ';', or a row for each animal", n, said,
                                           said == 1 ? "value is" : "values are")};
    } else {
      ++shared_;
    }
    return Pieces(n, std::string(text));
  }

  const std::vector<AnimalColumn>& columns() const { return columns_; }
  std::size_t shared() const { return shared_; }

 private:
  void add(std::string field, bool shared, bool free_text) {
    if (const auto column = map_.column(field)) columns_.push_back({std::move(field), *column, shared, free_text});
  }
  std::string_view cell(std::size_t column, std::size_t row) const {
    return table_.column(column).kind() == Column::Kind::Text ? trim(table_.column(column).textAt(row)) : std::string_view{};
  }

  const Table& table_;
  const ColumnMap& map_;
  std::vector<AnimalColumn> columns_;
  std::size_t shared_ = 0;
};

/// Says where and when of the look, so every row of it keeps it.
bool staysInAll(std::string_view field) {
  static constexpr std::array<std::string_view, 11> kFields = {"visit_id", "date", "time", "crew", "address", "number", "street", "place", "postcode", "lon", "lat"};
  return std::ranges::find(kFields, field) != kFields.end();
}

/// New cells: [column][row of the new table].
using NewCells = std::map<std::size_t, std::map<std::size_t, std::string>>;

Table rebuilt(const Table& table, const std::vector<std::size_t>& origin, const NewCells& cells) {
  const Table taken = table.take(origin);
  Table out;
  for (std::size_t c = 0; c < taken.width(); ++c) {
    const Column& column = taken.column(c);
    const auto changed = cells.find(c);
    if (changed == cells.end() || column.kind() != Column::Kind::Text) {
      out.add(column);
      continue;
    }
    Column copy(column.name(), Column::Kind::Text);
    for (std::size_t row = 0; row < taken.rows(); ++row) {
      const auto cell = changed->second.find(row);
      if (cell != changed->second.end()) cell->second.empty() ? copy.addMissing() : copy.addText(cell->second);
      else if (column.isMissing(row)) copy.addMissing();
      else copy.addText(column.textAt(row));
    }
    out.add(std::move(copy));
  }
  out.lines = taken.lines;
  return out;
}

}  // namespace

PartedRows partAnimals(const Table& table, const ColumnMap& map, const std::vector<std::uint64_t>& ragged) {
  PartedRows parted;
  const auto name = map.column("dog_name");
  if (!name || table.column(*name).kind() != Column::Kind::Text) return parted;
  Parter parter(table, map);
  NewCells cells;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::size_t at = parted.origin.size();
    parted.origin.push_back(row);
    if (!table.lines.empty() && std::ranges::binary_search(ragged, table.lines[row])) continue;
    const Pieces names = parter.names(row);
    if (names.size() < 2) {
      parted.counts.kept_whole += mayList(parter.at("dog_name", row)) ? 1 : 0;
      continue;
    }
    PartedRows::Refused fault;
    if (names.size() > kMostInOneCell) fault = {row, "dog_name", "too many animals in one cell; give a row for each"};
    if (!parter.at("treatment", row).empty()) {
      fault = {row, "treatment", fmt::format("{} animals are named, and which of them was treated can't be told; give a row for each animal", names.size())};
    }
    std::map<std::size_t, Pieces> shares = {{*name, names}};
    for (const AnimalColumn& one : parter.columns()) {
      if (fault.reason.empty()) shares.emplace(one.column, parter.values(one, row, names.size(), fault));
    }
    if (!fault.reason.empty()) {
      fault.row = at;
      parted.refused.push_back(std::move(fault));
      continue;
    }
    ++parted.counts.parted;
    parted.origin.resize(at + names.size(), row);
    for (const auto& [column, values] : shares) {
      for (std::size_t i = 0; i < names.size(); ++i) cells[column][at + i] = values[i];
    }
    for (const Pick& pick : map.picks) {
      if (staysInAll(pick.field) || shares.contains(pick.column)) continue;
      for (std::size_t i = 1; i < names.size(); ++i) cells[pick.column][at + i] = {};
    }
  }
  parted.counts.shared_cells = parter.shared();
  if (parted.counts.parted > 0 || !parted.refused.empty()) parted.table = rebuilt(table, parted.origin, cells);
  return parted;
}

void PartedCounts::add(const PartedCounts& other) {
  parted += other.parted, shared_cells += other.shared_cells, kept_whole += other.kept_whole;
}

std::vector<std::string> PartedCounts::remarks() const {
  std::vector<std::string> said;
  const auto say = [&](std::size_t count, std::string_view what) {
    if (count > 0) said.push_back(fmt::format("{} {} {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? "row" : "rows", what));
  };
  say(parted, parted == 1 ? "names several animals; each became an animal of its own" : "name several animals; each became an animal of its own");
  if (shared_cells > 0 && parted > 0) {
    said.push_back(fmt::format("In these rows {} cells hold one value, which counts for all of the animals named", formatCount(static_cast<std::int64_t>(shared_cells))));
  }
  say(kept_whole, "have a name with a comma, 'and' or the like that was kept as one animal's; part several animals by ';'");
  return said;
}

void keepAsTheyStood(const PartedRows& parted, const Table& table, RowReport& report) {
  if (!parted.table || table.lines.empty()) return;
  std::set<std::uint64_t> several, said;
  std::map<std::uint64_t, std::size_t> row_of;
  for (std::size_t i = 0; i < parted.origin.size(); ++i) {
    const std::size_t row = parted.origin[i];
    if (i > 0 && parted.origin[i - 1] == row) several.insert(table.lines[row]);
    row_of[table.lines[row]] = row;
  }
  std::erase_if(report.refused, [&](RefusedRow& refused) {
    if (!several.contains(refused.line)) return false;
    refused.row = csvRow(table, row_of[refused.line]);
    return !said.insert(refused.line).second;
  });
}

void refuseWhole(const PartedRows& parted, const Table& table, std::vector<bool>& refused, RowReport& report) {
  if (!parted.table) return;
  std::vector<bool> bad(table.rows(), false);
  for (std::size_t row = 0; row < refused.size(); ++row) {
    if (refused[row]) bad[parted.origin[row]] = true;
  }
  for (std::size_t row = 0; row < refused.size(); ++row) refused[row] = bad[parted.origin[row]];
  keepAsTheyStood(parted, table, report);
}

std::size_t originsOf(const PartedRows& parted, const std::vector<std::size_t>& look_rows) {
  std::set<std::size_t> origins;
  for (const std::size_t row : look_rows) origins.insert(parted.origin[row]);
  return origins.size();
}

}  // namespace leeward::importers
