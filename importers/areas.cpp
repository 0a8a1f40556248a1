// Blocks, areas, jurisdictions; census codes and their repair.
#include <algorithm>
#include <map>
#include <set>
#include <unordered_map>

#include "importers/public_parts.h"
#include "importers/values.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::importers {
namespace {

/// "1500000US290190005001" -> "290190005001": what follows seven digits (with or without extensions) and US.
std::string_view withoutPrefix(std::string_view text) {
  const std::size_t us = text.find("US");
  if (us == std::string_view::npos || us < 7 || us > 9 || !allDigits(text.substr(us + 2))) return text;
  return text.substr(us + 2);
}

/// "2.50174E+11": a spreadsheet has rounded the code.
bool isRounded(std::string_view text) {
  return text.find_first_of("eE") != std::string_view::npos && text.find('+') != std::string_view::npos && parseNumber(text).has_value();
}

std::string_view plainId(std::string_view text) {
  text = withoutPrefix(trim(text));
  if (text.ends_with(".0") && allDigits(text.substr(0, text.size() - 2))) text.remove_suffix(2);
  return text;
}

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

void addRings(Geometries& to, const Geometries& from, std::size_t row) {
  for (std::size_t i = 0; i < from.paths(row); ++i) to.addRing(from.path(row, i), from.isHole(row, i));
}

}  // namespace

GeoId mendGeoId(std::string_view text, std::size_t digits) {
  GeoId mended;
  const std::string_view plain = plainId(text);
  mended.prefix_cut = withoutPrefix(trim(text)).size() != trim(text).size();
  mended.padded = digits > 0 && allDigits(plain) && plain.size() + 1 == digits;
  mended.id = (mended.padded ? "0" : "") + std::string(plain);
  return mended;
}

std::size_t usualDigits(const Rows& rows, Rows::Slot slot) {
  std::map<std::size_t, std::size_t> lengths;
  std::size_t others = 0;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const std::string_view id = plainId(rows.at(slot, row));
    if (id.empty()) continue;
    if (allDigits(id)) ++lengths[id.size()];
    else ++others;
  }
  if (others > 0) return 0;
  // Codes of states 01 to 09 lose their zero in a spreadsheet: 15 digits of a block become 14, 12 of a block group 11, 11 of a
  // tract 10. A column of 11 digits alone is one of tracts.
  for (const std::size_t full : {std::size_t{15}, std::size_t{12}, std::size_t{11}}) {
    const std::size_t whole = lengths.contains(full) ? lengths[full] : 0;
    const std::size_t cut = lengths.contains(full - 1) ? lengths[full - 1] : 0;
    const std::size_t all = whole + cut;
    std::size_t sum = 0;
    for (const auto& [length, count] : lengths) sum += count;
    if (all == sum && sum > 0 && (whole > 0 || full != 12)) return full;
  }
  return 0;
}

std::vector<std::string> idsOf(PublicParts& parts, Rows::Slot slot) {
  std::vector<std::string> ids(parts.rows.size());
  if (!slot) {
    parts.remark("There is no column for the id; the row's number is taken");
    for (std::size_t row = 0; row < ids.size(); ++row) ids[row] = std::to_string(row + 1);
    return ids;
  }
  const std::size_t digits = usualDigits(parts.rows, slot);
  std::size_t cut = 0, padded = 0;
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (parts.refused[row]) continue;
    const std::string_view text = parts.rows.at(slot, row);
    if (text.empty()) parts.refuse(row, slot, "the row has no id");
    else if (isRounded(text)) parts.refuse(row, slot, "a spreadsheet has rounded the code; save the column as text before it is opened there");
    if (parts.refused[row]) continue;
    GeoId mended = mendGeoId(text, digits);
    cut += mended.prefix_cut ? 1 : 0;
    padded += mended.padded ? 1 : 0;
    ids[row] = std::move(mended.id);
  }
  if (cut > 0) parts.remark(fmt::format("The prefix up to 'US' was taken off {} ids", formatCount(static_cast<std::int64_t>(cut))));
  if (padded > 0) parts.remark(fmt::format("The leading zero was put back on {} ids of {} digits", formatCount(static_cast<std::int64_t>(padded)), digits - 1));
  return ids;
}

Geometries repairedAreas(PublicParts& parts, const Geometries& areas) {
  std::vector<RepairNote> notes;
  Geometries repaired = repairAreas(areas, notes);
  std::map<std::string, std::size_t> counts;
  for (const RepairNote& note : notes) ++counts[note.what];
  for (const auto& [what, count] : counts) {
    parts.remark(fmt::format("{} {} repaired: {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? "area was" : "areas were", what));
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
  Layer layer;
  layer.crs = parts.source.layer.crs;
  Column id("id", Column::Kind::Text), label("name", Column::Kind::Text), group("group_id", Column::Kind::Text);
  Column persons("people", Column::Kind::Real), units("housing_units", Column::Kind::Real);
  const auto addReal = [](Column& column, const std::optional<double>& value) { value ? column.addReal(*value) : column.addMissing(); };
  Geometries areas;
  for (const auto& members : groups.areas) {
    const std::size_t row = members.front();
    id.addText(ids[row]);
    rows.at(name, row).empty() ? label.addMissing() : label.addText(rows.at(name, row));
    ids[row].size() == 15 && allDigits(ids[row]) ? group.addText(std::string_view(ids[row]).substr(0, 12)) : group.addMissing();
    addReal(persons, people_of[row]);
    addReal(units, homes_of[row]);
    areas.startRow(GeometryKind::Areas);
    for (const std::size_t member : members) addRings(areas, shapes, member);
  }
  for (Column* column : {&id, &label, &group, &persons, &units}) layer.table.add(std::move(*column));
  layer.geometry = repairedAreas(parts, areas);
  if (groups.merged > 0) parts.remark(fmt::format("{} rows repeat an id and were joined to one area with it", formatCount(static_cast<std::int64_t>(groups.merged))));
  if (special > 0) parts.remark(fmt::format("{} counts are special values of the census and were taken as missing", formatCount(static_cast<std::int64_t>(special))));
  return layer;
}

}  // namespace leeward::importers
