// Blocks, areas, jurisdictions.
#include <algorithm>
#include <map>
#include <unordered_map>

#include "importers/public_parts.h"
#include "importers/values.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::importers {
namespace {

std::optional<double> wholeNumber(PublicParts& parts, Rows::Slot slot, std::size_t row, std::size_t& special) {
  const std::string_view text = parts.rows.at(slot, row);
  if (text.empty()) return std::nullopt;
  if (specialValue(text)) return ++special, std::nullopt;
  const auto number = readNumber(text);
  if (number.bad() || *number.value < 0) {
    if (!parts.refused[row]) parts.refuse(row, slot, number.bad() ? number.why : "a count can't be negative");
    return std::nullopt;
  }
  return number.value;
}

/// Rows of one id, in order of first appearance; a later row that says something else about people is refused.
struct Grouped {
  std::vector<std::vector<std::size_t>> areas;
  std::size_t merged = 0;
};

Grouped grouped(PublicParts& parts, const std::vector<std::string>& ids, Rows::Slot people) {
  Grouped result;
  std::unordered_map<std::string, std::size_t> seen;
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (parts.refused[row]) continue;
    const auto [at, fresh] = seen.emplace(ids[row], result.areas.size());
    if (fresh) {
      result.areas.push_back({row});
      continue;
    }
    const std::size_t first = result.areas[at->second].front();
    if (parts.rows.at(people, row) != parts.rows.at(people, first)) {
      parts.refuse(row, parts.rows.slot("id"), fmt::format("the id {} stands in line {} too, with other figures", ids[row], parts.rows.line(first)));
      continue;
    }
    result.areas[at->second].push_back(row);
    ++result.merged;
  }
  return result;
}

/// "line 7", "lines 4, 9, 12", "the first: lines 4, 9, 12".
std::string firstLines(const PublicParts& parts, const std::vector<std::size_t>& rows) {
  std::vector<std::string> lines;
  for (const std::size_t row : rows) {
    if (lines.size() == 3) break;
    lines.push_back(std::to_string(parts.rows.line(row)));
  }
  return fmt::format("{}line{} {}", rows.size() > lines.size() ? "the first: " : "", rows.size() == 1 ? "" : "s", join(lines, ", "));
}

void addRings(Geometries& to, const Geometries& from, std::size_t row) {
  for (std::size_t i = 0; i < from.paths(row); ++i) to.addRing(from.path(row, i), from.isHole(row, i));
}

}  // namespace

Result<Geometries> repairedAreas(PublicParts& parts, const Geometries& areas, const std::vector<std::size_t>& row_of, Progress& progress) {
  std::vector<RepairNote> notes;
  Geometries repaired = repairAreas(areas, notes);
  std::map<std::string, std::vector<std::size_t>> rows;
  for (const RepairNote& note : notes) rows[note.what].push_back(row_of[note.row]);
  for (const auto& [what, of] : rows) {
    parts.remark(fmt::format("{} {} repaired: {} ({})", formatCount(static_cast<std::int64_t>(of.size())), of.size() == 1 ? "area was" : "areas were", what,
                             firstLines(parts, of)));
  }
  std::vector<std::size_t> thin;
  for (const std::size_t area : slivers(repaired)) thin.push_back(row_of[area]);
  if (!thin.empty()) {
    parts.remark(fmt::format("{} {} long and thin and under a hundredth of the usual size ({}); kept as {}", thin.size(),
                             thin.size() == 1 ? "area is a sliver," : "areas are slivers,", firstLines(parts, thin), thin.size() == 1 ? "it is" : "they are"));
  }
  constexpr double kLeastShare = 0.001;
  LEEWARD_ASSIGN(over, overlappingNeighbours(repaired, kLeastShare, progress));
  std::vector<std::string> first;
  for (const OverlapPair& pair : over) {
    if (first.size() == 3) break;
    const double share = pair.area / std::min(areaOf(repaired, pair.from), areaOf(repaired, pair.to));
    first.push_back(fmt::format("lines {} and {} by {:.2g} % of the smaller", parts.rows.line(row_of[pair.from]), parts.rows.line(row_of[pair.to]), 100 * share));
  }
  if (!over.empty()) {
    parts.remark(fmt::format("{} {} of areas overlap ({}{}); nothing was changed", formatCount(static_cast<std::int64_t>(over.size())),
                             over.size() == 1 ? "pair" : "pairs", over.size() > first.size() ? "the first: " : "", join(first, "; ")));
  }
  return repaired;
}

Result<Layer> tidyAreas(PublicParts& parts, Progress& progress) {
  if (!parts.source.layer.hasGeometry()) {
    return Problem{ProblemCode::BadData, fmt::format("A layer of {} needs areas, and the file has none", kindName(parts.kind)), parts.report.file,
                   "Give a GeoPackage, GeoJSON, FlatGeobuf or shapefile of areas"};
  }
  const Rows& rows = parts.rows;
  const Geometries& shapes = parts.geometry();
  const auto ids = idsOf(parts, rows.slot("id"));
  const Rows::Slot people = rows.slot("people"), homes = rows.slot("housing_units"), name = rows.slot("name");
  std::size_t special = 0;
  std::vector<std::optional<double>> people_of(rows.size()), homes_of(rows.size());
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (parts.refused[row]) continue;
    if (shapes.kind(row) != GeometryKind::Areas || !shapes.hasVertex(row)) {
      parts.refuse(row, {}, "the row has no area");
      continue;
    }
    people_of[row] = wholeNumber(parts, people, row, special);
    if (!parts.refused[row]) homes_of[row] = wholeNumber(parts, homes, row, special);
  }
  LEEWARD_TRY(progress.checkStop());
  const Grouped groups = grouped(parts, ids, people);
  Geometries areas;
  std::vector<std::size_t> row_of;
  for (const auto& members : groups.areas) {
    row_of.push_back(members.front());
    areas.startRow(GeometryKind::Areas);
    for (const std::size_t member : members) addRings(areas, shapes, member);
  }
  LEEWARD_ASSIGN(repaired, repairedAreas(parts, areas, row_of, progress));
  Layer layer;
  layer.crs = parts.source.layer.crs;
  Column id("id", Column::Kind::Text), label("name", Column::Kind::Text), group("group_id", Column::Kind::Text);
  Column persons("people", Column::Kind::Real), units("housing_units", Column::Kind::Real);
  const auto addReal = [](Column& column, const std::optional<double>& value) { value ? column.addReal(*value) : column.addMissing(); };
  for (std::size_t area = 0; area < row_of.size(); ++area) {
    const std::size_t row = row_of[area];
    if (repaired.kind(area) == GeometryKind::None) {
      parts.refuse(row, {}, "nothing is left of the area once its outline is repaired");
      continue;
    }
    id.addText(ids[row]);
    rows.at(name, row).empty() ? label.addMissing() : label.addText(rows.at(name, row));
    ids[row].size() == 15 && allDigits(ids[row]) ? group.addText(std::string_view(ids[row]).substr(0, 12)) : group.addMissing();
    addReal(persons, people_of[row]);
    addReal(units, homes_of[row]);
    layer.geometry.addCopy(repaired, area);
  }
  for (Column* column : {&id, &label, &group, &persons, &units}) layer.table.add(std::move(*column));
  if (groups.merged > 0) parts.remark(fmt::format("{} rows repeat an id and were joined to one area with it", formatCount(static_cast<std::int64_t>(groups.merged))));
  if (special > 0) parts.remark(fmt::format("{} counts are special values of the census and were taken as missing", formatCount(static_cast<std::int64_t>(special))));
  return layer;
}

}  // namespace leeward::importers
