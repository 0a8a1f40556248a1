#include "importers/source.h"

#include <algorithm>
#include <filesystem>
#include <iterator>

#include "shared/base/hash.h"
#include "shared/base/text.h"

namespace leeward::importers {
void IdleRows::drop(Layer& layer) {
  constexpr std::size_t kLinesNamed = 5;
  Table& table = layer.table;
  if (layer.hasGeometry() || table.width() == 0) return;
  const auto all = [&](std::size_t row, const auto& fits) { return std::ranges::all_of(table.columns(), [&](const Column& column) { return fits(column, row); }); };
  const auto isBlank = [](const Column& column, std::size_t row) {
    return column.isMissing(row) || (column.kind() == Column::Kind::Text && trim(column.textAt(row)).empty());
  };
  const auto isHeading = [&](const Column& column, std::size_t row) {
    return column.kind() == Column::Kind::Text && (trim(column.textAt(row)) == column.name() || isBlank(column, row));
  };
  std::vector<std::size_t> idle;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (all(row, isBlank)) {
      ++blank;
    } else if (all(row, isHeading)) {
      if (repeats++ < kLinesNamed) lines.push_back(std::to_string(table.lines.empty() ? row + 2 : table.lines[row]));
    } else {
      continue;
    }
    idle.push_back(row);
  }
  if (idle.empty()) return;
  std::vector<std::size_t> kept;
  kept.reserve(table.rows() - idle.size());
  for (std::size_t row = 0, next = 0; row < table.rows(); ++row) {
    if (next < idle.size() && idle[next] == row) ++next;
    else kept.push_back(row);
  }
  table = table.take(kept);
}

std::vector<std::string> IdleRows::remarks() const {
  std::vector<std::string> said;
  if (blank > 0) said.push_back(fmt::format("{} blank {} left out", formatCount(static_cast<std::int64_t>(blank)), blank == 1 ? "row was" : "rows were"));
  if (repeats > 0) {
    said.push_back(fmt::format("The headings stand again in {} {} (line {}{}), which {} left out", formatCount(static_cast<std::int64_t>(repeats)), repeats == 1 ? "row" : "rows",
                               join(lines, ", "), repeats > lines.size() ? " ..." : "", repeats == 1 ? "was" : "were"));
  }
  return said;
}

Problem noRows(const std::string& path) {
  return {ProblemCode::BadData, "There are no rows in the file", std::filesystem::path(path).filename().string(),
          "Check that it is the right file and that it was saved with its rows"};
}

Source sourceOf(CsvRead read, const std::string& path) {
  Source source;
  source.path = path;
  source.is_csv = true;
  if (read.was_windows_1252) source.remarks.push_back(fmt::format("{} is not UTF-8; it was read as Windows-1252 (Latin-1)", std::filesystem::path(path).filename().string()));
  source.layer.name = std::filesystem::path(path).stem().string();
  source.layer.table = std::move(read.table);
  source.ragged = std::move(read.ragged);
  for (const std::string& heading : read.repeated) {
    source.remarks.push_back(fmt::format("'{0}' stands twice among the headings; the later column is called '{0}_2' here, and nothing is taken from it unless --map names it", heading));
  }
  return source;
}

std::string fileOf(const std::string& source) {
  std::error_code error;
  if (std::filesystem::exists(source, error)) return source;
  return source.substr(0, source.rfind('#'));
}

Result<Source> readSource(const LayerRequest& request, Progress& progress) {
  Source source;
  source.path = fileOf(request.source);
  if (std::filesystem::is_regular_file(source.path) && isPlainText(source.path)) {
    auto csv = readCsv(source.path, progress, request.row_limit);
    if (!csv) return std::move(csv).problem();
    source = sourceOf(*std::move(csv), source.path);
  } else {
    LayerRequest plain = request;
    plain.x_column.clear();  // points are made here, after the columns are known
    plain.y_column.clear();
    auto layer = readLayer(plain, progress);
    if (!layer) return std::move(layer).problem();
    source.layer = *std::move(layer);
    source.remarks.insert(source.remarks.end(), source.layer.remarks.begin(), source.layer.remarks.end());
  }
  IdleRows idle;
  idle.drop(source.layer);
  std::ranges::move(idle.remarks(), std::back_inserter(source.remarks));
  if (source.layer.rows() == 0) return noRows(source.path);
  return source;
}

Result<std::string> sourceHash(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code error;
  const std::string extension = lowerAscii(fs::path(path).extension().string());
  if (!fs::is_directory(path, error) && extension != ".shp") return sha256OfFile(path);
  std::vector<fs::path> parts;
  if (fs::is_directory(path, error)) {
    for (const auto& entry : fs::directory_iterator(path, error)) {
      if (entry.is_regular_file(error)) parts.push_back(entry.path());
    }
  } else {
    for (const char* part : {".shp", ".dbf", ".DBF", ".prj", ".PRJ", ".cpg", ".CPG"}) {
      if (fs::path file = fs::path(path).replace_extension(part); part == std::string_view(".shp") || fs::exists(file, error)) parts.push_back(std::move(file));
    }
    parts.front() = path;
  }
  std::ranges::sort(parts);
  Sha256 hash;
  for (const fs::path& part : parts) {
    LEEWARD_ASSIGN(content, sha256OfFile(part));
    hash.addField(part.filename().string()).addField(content);
  }
  return hash.hex();
}

Rows::Rows(const Table& table, const ColumnMap& map, RowReport& report) : table_(table), map_(map), report_(report) {
  written_.reserve(table.width());
  for (const Column& column : table.columns()) {
    if (column.kind() == Column::Kind::Text) {
      text_columns_.push_back(&column);
      continue;
    }
    Column text(column.name(), Column::Kind::Text);
    text.reserve(column.size());
    for (std::size_t row = 0; row < column.size(); ++row) text.addText(column.asText(row));
    text_columns_.push_back(&written_.emplace_back(std::move(text)));
  }
  id_ = slot(map.kind == Kind::Visits ? "visit_id" : map.kind == Kind::Sightings ? "sighting_id" : map.kind == Kind::Stock ? "stock_id" : "");
}

Rows::Slot Rows::slot(std::string_view field) const {
  const auto column = map_.column(field);
  return {column ? static_cast<int>(*column) : -1};
}

std::string_view Rows::at(Slot slot, std::size_t row) const {
  return slot ? trim(text_columns_[static_cast<std::size_t>(slot.column)]->textAt(row)) : std::string_view{};
}

std::string Rows::heading(Slot slot) const { return slot ? table_.column(static_cast<std::size_t>(slot.column)).name() : ""; }

void Rows::refuse(std::size_t row, Slot slot, std::string reason) {
  report_.refused.push_back({line(row), heading(slot), std::string(at(slot, row)), std::move(reason), csvRow(table_, row), std::string(at(id_, row))});
}

std::vector<bool> Rows::refuseRagged(const std::vector<std::uint64_t>& ragged) {
  std::vector<bool> refused(size(), false);
  if (ragged.empty() || table_.lines.empty()) return refused;
  for (std::size_t row = 0; row < size(); ++row) {
    if (!std::ranges::binary_search(ragged, table_.lines[row])) continue;
    refused[row] = true;
    refuse(row, {}, "the row has more fields than there are headings; put text that holds the separator in quotes");
  }
  return refused;
}

}  // namespace leeward::importers
