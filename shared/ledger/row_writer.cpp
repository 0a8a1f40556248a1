#include "shared/ledger/row_writer.h"

#include <cmath>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::ledger {
namespace {

const Column* exactly(const Table& rows, std::string_view name) {
  for (const auto& column : rows.columns()) {
    if (column.name() == name) return &column;
  }
  return nullptr;
}

Problem wrongColumn(Entity entity, const std::string& name, std::string_view why) {
  return {ProblemCode::Internal, fmt::format("column {} {}", name, why), fmt::format("table {}", tableName(entity)), ""};
}

const Field* positionOf(const std::vector<Field>& fields) {
  for (const auto& field : fields) {
    if (field.is_position) return &field;
  }
  return nullptr;
}

}  // namespace

Result<std::vector<RowWriter::Source>> RowWriter::match(const Database& database, Entity entity, const Table& rows,
                                                        std::optional<std::string_view> import_id) {
  LEEWARD_ASSIGN(fields, fieldsOf(database, entity));
  const Field* position = positionOf(fields);
  const Column* id = exactly(rows, "id");
  if (!id || id->kind() != Column::Kind::Text) return wrongColumn(entity, "id", "is missing or no text");
  std::vector<Source> sources{{.field = *findField(fields, "id"), .value = id, .lat = nullptr, .fixed = {}}};
  for (const auto& column : rows.columns()) {
    const std::string& name = column.name();
    if (name == "id" || (import_id && name == "import_id")) continue;
    if (position && name == "lat") continue;  // goes with lon
    if (position && name == "lon") {
      const Column* lat = exactly(rows, "lat");
      if (!lat) return wrongColumn(entity, name, "stands without lat");
      sources.push_back({.field = *position, .value = &column, .lat = lat, .fixed = {}});
      continue;
    }
    const Field* field = findField(fields, name);
    if (!field || field->is_position) return wrongColumn(entity, name, "is not in the ledger");
    sources.push_back({.field = *field, .value = &column, .lat = nullptr, .fixed = {}});
  }
  if (position && exactly(rows, "lat") && !exactly(rows, "lon")) return wrongColumn(entity, "lat", "stands without lon");
  if (import_id)
    sources.push_back({.field = *findField(fields, "import_id"), .value = nullptr, .lat = nullptr, .fixed = *import_id});
  return sources;
}

Result<RowWriter> RowWriter::make(const Database& database, Entity entity, const Table& rows,
                                  std::optional<std::string_view> import_id) {
  LEEWARD_ASSIGN(sources, match(database, entity, rows, import_id));
  std::vector<std::string> names;
  std::vector<std::string> values;
  std::vector<std::string> sets;
  std::vector<std::string> compares;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const Field& field = sources[i].field;
    const std::string value =
        field.fallback.empty() ? fmt::format("?{}", i + 1) : fmt::format("coalesce(?{}, {})", i + 1, field.fallback);
    const std::string name = fmt::format("\"{}\"", field.name);
    names.push_back(name);
    values.push_back(value);
    if (i == 0) continue;
    sets.push_back(fmt::format("{} = {}", name, value));
    compares.push_back(fmt::format("{0}, {0} IS NOT {1}", name, value));
  }
  if (sets.empty()) {  // ids alone: nothing to change, but rows may be absent
    sets.emplace_back("id = id");
    compares.emplace_back("1");
  }
  const char* table = tableName(entity);
  LEEWARD_ASSIGN(insert,
                 database.prepare(fmt::format("INSERT INTO {} ({}) VALUES ({})", table, join(names, ", "), join(values, ", "))));
  LEEWARD_ASSIGN(compare, database.prepare(fmt::format("SELECT {} FROM {} WHERE id = ?1", join(compares, ", "), table)));
  LEEWARD_ASSIGN(update, database.prepare(fmt::format("UPDATE {} SET {} WHERE id = ?1", table, join(sets, ", "))));
  RowWriter writer(entity, rows, std::move(sources), std::move(insert), std::move(compare), std::move(update));
  // A study without a place keeps its own plane metres where others keep longitude and latitude.
  LEEWARD_ASSIGN(positions, database.prepare("SELECT 1 FROM settings WHERE name = 'positions' AND value = 'local'"));
  LEEWARD_ASSIGN(is_local, positions.step());
  writer.is_local_ = is_local;
  return writer;
}

RowWriter::Texts RowWriter::texts(std::string_view column) const {
  const Column* found = exactly(*rows_, column);
  return Texts(found && found->kind() == Column::Kind::Text ? found : nullptr);
}

Problem RowWriter::at(Problem problem, std::size_t row) const {
  return std::move(problem).at(fmt::format("table {}, row {}", tableName(entity_), row + 1));
}

Result<void> RowWriter::bind(Statement& statement, std::size_t row, std::string_view id, std::string_view look_id) const {
  statement.bind(1, id);
  for (std::size_t i = 1; i < sources_.size(); ++i) {
    const Source& source = sources_[i];
    const int parameter = static_cast<int>(i) + 1;
    if (!source.value) {
      statement.bind(parameter, source.fixed);
    } else if (source.lat) {
      const auto lon = source.value->asReal(row);
      const auto lat = source.lat->asReal(row);
      if (lon.has_value() != lat.has_value() || (lon && !is_local_ && !(std::abs(*lon) <= 180 && std::abs(*lat) <= 90))) {
        return Problem{ProblemCode::Internal, "lon and lat are no place on earth", "", ""};
      }
      if (lon)
        statement.bind(parameter, Point{*lon, *lat});
      else
        statement.bindNull(parameter);
    } else if (!look_id.empty() && source.field.name == "look_id") {
      statement.bind(parameter, look_id);
    } else {
      statement.bind(parameter, *source.value, row);
    }
  }
  return {};
}

Result<void> RowWriter::insert(std::size_t row, std::string_view look_id) {
  auto done = bind(insert_, row, sources_.front().value->textAt(row), look_id);
  if (done) done = insert_.run();
  if (!done) return at(std::move(done).problem(), row);
  return {};
}

Result<RowWriter::Found> RowWriter::update(std::string_view id, std::size_t row, ChangeLog& log) {
  if (auto bound = bind(compare_, row, id, {}); !bound) return at(std::move(bound).problem(), row);
  LEEWARD_ASSIGN(found, compare_.step());
  if (!found) return Found::Absent;
  RowAsJson before;
  for (std::size_t i = 1; i < sources_.size(); ++i) {
    const int column = 2 * (static_cast<int>(i) - 1);
    if (compare_.integer(column + 1) != 0) before.add(sources_[i].field, compare_, column);
  }
  compare_.reset();
  if (before.empty()) return Found::Same;
  LEEWARD_TRY(log.updated(entity_, id, before.text()));
  auto done = bind(update_, row, id, {});
  if (done) done = update_.run();
  if (!done) return at(std::move(done).problem(), row);
  return Found::Changed;
}

}  // namespace leeward::ledger
