// Streets with number ranges on both sides.
#include <array>

#include "importers/public_parts.h"
#include "importers/split_address.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

bool isRange(std::string_view field) { return field == "l_from" || field == "l_to" || field == "r_from" || field == "r_to"; }

/// TIGER/Line EDGES hold rails, streams and boundaries beside the roads, told apart by MTFCC (roads: S....; from memory).
bool isMtfcc(std::string_view code) {
  return code.size() == 5 && code[0] >= 'A' && code[0] <= 'Z' && code.find_first_not_of("0123456789", 1) == std::string_view::npos;
}

/// "street", "main", "path" of the codes that are surely one of them; other classes as they are written.
std::string_view kindOf(std::string_view code) {
  if (!isMtfcc(code)) return code;
  if (code == "S1100" || code == "S1200") return "main";
  if (code == "S1710" || code == "S1720" || code == "S1820" || code == "S1830" || code == "S1500") return "path";
  return "street";
}

}  // namespace

Result<Layer> tidyStreets(PublicParts& parts, Progress& progress) {
  if (!parts.source.layer.hasGeometry()) {
    return Problem{ProblemCode::BadData, "Streets need lines, and the file has none", parts.report.file,
                   "Give a GeoPackage, GeoJSON, FlatGeobuf or shapefile of street centre lines"};
  }
  const Rows& rows = parts.rows;
  const Rows::Slot kind = rows.slot("kind");
  const Rows::Slot name = rows.slot("name");
  const Geometries& lines = parts.geometry();
  std::size_t other = 0, unnamed = 0;
  std::vector<std::size_t> kept;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (parts.refused[row]) continue;
    const std::string_view code = rows.at(kind, row);
    if (isMtfcc(code) && code[0] != 'S') {
      ++other;
      continue;
    }
    if (lines.kind(row) != GeometryKind::Lines || !lines.hasVertex(row)) {
      parts.refuse(row, {}, "the row has no line");
      continue;
    }
    unnamed += rows.at(name, row).empty() ? 1 : 0;
    kept.push_back(row);
  }
  LEEWARD_TRY(progress.checkStop());
  Layer layer;
  layer.crs = parts.source.layer.crs;
  for (const char* field : {"id", "name", "l_from", "l_to", "r_from", "r_to", "l_postcode", "r_postcode", "l_place", "r_place", "kind",
                            "from_node", "to_node"}) {
    Column column(field, Column::Kind::Text);
    const Rows::Slot slot = rows.slot(field);
    const bool numbers = isRange(field) || std::string_view(field).ends_with("postcode") || std::string_view(field).ends_with("node");
    for (const std::size_t row : kept) {
      const std::string_view text = rows.at(slot, row);
      std::string value = numbers ? joinedNumber(text, {}) : std::string(kind && slot.column == kind.column ? kindOf(text) : text);
      if (value.empty() && field == std::string_view("id") && !slot) value = std::to_string(row + 1);
      if (value.empty()) column.addMissing();
      else column.addText(value);
    }
    layer.table.add(std::move(column));
  }
  for (const std::size_t row : kept) layer.geometry.addCopy(lines, row);
  if (other > 0) parts.remark(fmt::format("{} lines are no roads (rails, water, boundaries by their MTFCC) and were left out", formatCount(static_cast<std::int64_t>(other))));
  if (unnamed > 0) parts.remark(fmt::format("{} {} no street name", formatCount(static_cast<std::int64_t>(unnamed)), unnamed == 1 ? "line has" : "lines have"));
  if (!rows.slot("l_from") && !rows.slot("r_from")) {
    parts.remark("There are no columns for number ranges: addresses can't be placed along these streets (--map l_from=Column,l_to=Column,...)");
  }
  return layer;
}

}  // namespace leeward::importers
