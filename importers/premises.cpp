// Premises: address points with number and street apart.
#include <algorithm>
#include <cmath>
#include <tuple>

#include "importers/oddities.h"
#include "importers/public_parts.h"
#include "importers/split_address.h"
#include "importers/values.h"
#include "shared/base/text.h"
#include "shared/geo/longitudes.h"
#include "shared/geo/overlay.h"

namespace leeward::importers {
namespace {

/// Whether a heading names longitude or latitude and not just x, y or an easting.
bool saysLonLat(const std::string& heading) {
  const std::string normal = normalHeading(heading);
  return normal.find("lon") != std::string::npos || normal.find("lat") != std::string::npos || normal.find("lng") != std::string::npos;
}

/// Whether nearly all pairs can be degrees, whichever of the two is the longitude.
bool areDegrees(const PublicParts& parts, Rows::Slot x, Rows::Slot y) {
  std::size_t seen = 0, fit = 0;
  for (std::size_t row = 0; row < parts.rows.size(); ++row) {
    const std::string_view lon = parts.rows.at(x, row);
    if (lon.empty()) continue;
    ++seen;
    fit += !readLongitude(lon).bad() && !readLongitude(parts.rows.at(y, row)).bad() ? 1 : 0;
  }
  return seen > 0 && static_cast<double>(fit) >= 0.99 * static_cast<double>(seen);
}

/// A latitude, read as a longitude where it is too large: the columns may be exchanged.
Reading<double> readEither(std::string_view text) {
  auto value = readLatitude(text);
  return value.bad() ? readLongitude(text) : value;
}

Result<std::vector<Point>> pointsFromColumns(PublicParts& parts, Crs& crs) {
  const Rows::Slot x = parts.rows.slot("lon");
  const Rows::Slot y = parts.rows.slot("lat");
  if (!x || !y) {
    return Problem{ProblemCode::BadData, "The file has no points and no columns for longitude and latitude", parts.report.file,
                   "Name the columns: --map lon=Column,lat=Column"};
  }
  const bool degrees = areDegrees(parts, x, y) && (parts.known.crs.empty() || (Crs::parse(parts.known.crs).ok() && Crs::parse(parts.known.crs)->isGeographic()));
  std::vector<Point> points(parts.rows.size());
  std::vector<Point> seen;
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (parts.refused[row]) continue;
    const auto read = [&](Rows::Slot slot, Reading<double> (*in_degrees)(std::string_view)) -> std::optional<double> {
      auto value = degrees ? in_degrees(parts.rows.at(slot, row)) : readNumber(parts.rows.at(slot, row));
      if (!value.value && !parts.refused[row]) parts.refuse(row, slot, value.bad() ? value.why : "the position is blank");
      return value.value;
    };
    const auto px = read(x, readLongitude);
    const auto py = read(y, readEither);
    if (!px || !py) continue;
    points[row] = {*px, *py};
    if (points[row] != Point{0, 0}) seen.push_back(points[row]);
  }
  const bool says = degrees && saysLonLat(parts.rows.heading(x)) && saysLonLat(parts.rows.heading(y));
  LEEWARD_ASSIGN(believed, believe(seen, says ? Crs::wgs84() : Crs(), parts.known, parts.report.file));
  crs = believed.crs;
  if (crs.isUnknown()) return Problem{ProblemCode::BadData, "No row has a position", parts.report.file, "Name the columns: --map lon=Column,lat=Column"};
  if (says && !believed.was_guessed && parts.known.crs.empty()) {
    parts.remark(fmt::format("Columns '{}' and '{}' are taken as longitude and latitude in WGS 84", parts.rows.heading(x), parts.rows.heading(y)));
  }
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (believed.swapped) std::swap(points[row].x, points[row].y);
    if (!parts.refused[row] && crs.isGeographic() && std::abs(points[row].y) > 90) parts.refuse(row, believed.swapped ? x : y, "a latitude lies between -90 and 90");
  }
  if (crs.isGeographic()) joinAtAntimeridian(points);
  parts.believed = std::move(believed);
  return points;
}

Result<std::vector<Point>> pointsOf(PublicParts& parts, Crs& crs) {
  if (!parts.source.layer.hasGeometry()) return pointsFromColumns(parts, crs);
  crs = parts.source.layer.crs;
  const Geometries& geometry = parts.geometry();
  std::vector<Point> points(parts.rows.size());
  std::size_t areas = 0;
  for (std::size_t row = 0; row < points.size(); ++row) {
    if (parts.refused[row]) continue;
    if (!geometry.hasVertex(row) || geometry.kind(row) == GeometryKind::Lines) {
      parts.refuse(row, {}, "the row has no point");
    } else if (geometry.kind(row) == GeometryKind::Areas) {
      points[row] = pointInside(geometry, row);
      ++areas;
    } else {
      points[row] = geometry.point(row);
    }
  }
  if (areas > 0) parts.remark(fmt::format("{} premises are areas; a point inside each is taken", formatCount(static_cast<std::int64_t>(areas))));
  return points;
}

struct AddressSlots {
  explicit AddressSlots(const Rows& rows)
      : number(rows.slot("number")), suffix(rows.slot("number_suffix")), pre(rows.slot("street_pre")), street(rows.slot("street")),
        type(rows.slot("street_type")), post(rows.slot("street_post")), unit(rows.slot("unit")), address(rows.slot("address")),
        place(rows.slot("place")), postcode(rows.slot("postcode")) {}
  Rows::Slot number, suffix, pre, street, type, post, unit, address, place, postcode;
};

AddressParts addressOf(const Rows& rows, const AddressSlots& slots, std::size_t row) {
  AddressParts parts;
  if (slots.number && slots.street) {
    parts.number = joinedNumber(rows.at(slots.number, row), rows.at(slots.suffix, row));
    for (const Rows::Slot slot : {slots.pre, slots.street, slots.type, slots.post}) {
      const std::string_view word = rows.at(slot, row);
      if (!word.empty()) parts.street.append(parts.street.empty() ? "" : " ").append(word);
    }
  }
  if (parts.street.empty() && slots.address) parts = splitAddress(rows.at(slots.address, row));
  for (const auto& [slot, into] : {std::pair(slots.unit, &parts.unit), {slots.place, &parts.place}, {slots.postcode, &parts.postcode}}) {
    if (const std::string_view text = rows.at(slot, row); !text.empty()) *into = text;
  }
  if (parts.postcode.ends_with(".0")) parts.postcode.resize(parts.postcode.size() - 2);
  return parts;
}

void remarkPiles(PublicParts& parts, const Geometries& points, const Column& number, const Column& street) {
  const auto found = piles(points.vertices(), [&](std::size_t row) { return number.asText(row) + " " + street.asText(row); });
  if (found.empty()) return;
  std::size_t rows = 0;
  std::vector<std::string> places;
  for (const Pile& pile : found) {
    rows += pile.rows;
    if (places.size() < 3) places.push_back(fmt::format("{} at {}, {}", pile.rows, formatNumber(pile.at.x), formatNumber(pile.at.y)));
  }
  parts.remark(fmt::format("{} premises with different addresses share {} {} (20 or more each; {}): their positions stand for a site, not for doors",
                           formatCount(static_cast<std::int64_t>(rows)), found.size(), found.size() == 1 ? "point" : "points", join(places, "; ")));
}

}  // namespace

Column textColumn(const PublicParts& parts, std::string name, Rows::Slot slot) {
  Column column(std::move(name), Column::Kind::Text);
  for (std::size_t row = 0; row < parts.rows.size(); ++row) {
    if (parts.refused[row]) continue;
    const std::string_view text = parts.rows.at(slot, row);
    if (text.empty()) column.addMissing();
    else column.addText(text);
  }
  return column;
}

Result<Layer> tidyPremises(PublicParts& parts, Progress& progress) {
  Layer layer;
  LEEWARD_ASSIGN(points, pointsOf(parts, layer.crs));
  LEEWARD_TRY(progress.checkStop());
  const Rows& rows = parts.rows;
  const AddressSlots slots(rows);
  const Rows::Slot id = rows.slot("id");
  if (!id) parts.remark("There is no column for the premises' id; the row's number is taken");
  constexpr std::array<const char*, 6> kNames = {"id", "number", "street", "unit", "place", "postcode"};
  std::vector<Column> columns;
  for (const char* name : kNames) columns.emplace_back(name, Column::Kind::Text);
  std::size_t no_number = 0;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (parts.refused[row]) continue;
    if (points[row] == Point{0, 0}) {
      parts.refuse(row, rows.slot("lon"), "0, 0 stands for a position that is not known");
      continue;
    }
    const AddressParts address = addressOf(rows, slots, row);
    if (address.street.empty()) {
      parts.refuse(row, slots.street ? slots.street : slots.address, "the row has no street");
      continue;
    }
    no_number += address.number.empty() ? 1 : 0;
    const std::string number_of_row = id ? std::string(rows.at(id, row)) : std::to_string(row + 1);
    const std::string* values[] = {&number_of_row, &address.number, &address.street, &address.unit, &address.place, &address.postcode};
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (values[i]->empty()) columns[i].addMissing();
      else columns[i].addText(*values[i]);
    }
    layer.geometry.addPoint(points[row]);
  }
  for (Column& column : columns) layer.table.add(std::move(column));
  if (no_number > 0) parts.remark(fmt::format("{} premises {} no house number", formatCount(static_cast<std::int64_t>(no_number)), no_number == 1 ? "has" : "have"));
  remarkPiles(parts, layer.geometry, layer.table.column(1), layer.table.column(2));
  return layer;
}

}  // namespace leeward::importers
