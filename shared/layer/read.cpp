#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/layer/drivers.h"
#include "shared/layer/features.h"
#include "shared/layer/layer.h"
#include "shared/table/csv.h"

namespace leeward {
namespace {

using gdal::Format;

std::string list(const std::vector<std::string>& names) { return "\"" + join(names, "\", \"") + "\""; }

/// "2025/03/02 14:30:00" as workbooks' dates arrive -> "2025-03-02T14:30:00"; anything else as it is.
std::string isoFromSlashes(std::string_view text) {
  const auto digitsAt = [&](std::size_t from, std::size_t to) {
    return std::all_of(text.begin() + static_cast<std::ptrdiff_t>(from), text.begin() + static_cast<std::ptrdiff_t>(to),
                       [](char c) { return c >= '0' && c <= '9'; });
  };
  std::string iso(text);
  if (text.size() < 10 || text[4] != '/' || text[7] != '/' || !digitsAt(0, 4) || !digitsAt(5, 7) || !digitsAt(8, 10)) return iso;
  if (text.size() > 10 && (text[10] != ' ' || text.size() < 16)) return iso;
  iso[4] = iso[7] = '-';
  if (iso.size() > 10) iso[10] = 'T';
  if (const std::size_t dot = iso.find('.'); dot != std::string::npos) iso.erase(dot);
  return iso;
}

std::string isoTime(const OGRFeature& feature, int field, OGRFieldType type) {
  int year = 0, month = 0, day = 0, hour = 0, minute = 0, zone = 0;
  float second = 0;
  feature.GetFieldAsDateTime(field, &year, &month, &day, &hour, &minute, &second, &zone);
  const std::string date = fmt::format("{:04}-{:02}-{:02}", year, month, day);
  const std::string time = fmt::format("{:02}:{:02}:{:02}", hour, minute, static_cast<int>(second));
  if (type == OFTDate) return date;
  if (type == OFTTime) return time;
  std::string zone_text;  // 0 unknown, 1 local, 100 UTC, each step a quarter of an hour
  if (zone == 100) zone_text = "Z";
  else if (zone > 1) zone_text = fmt::format("{}{:02}:{:02}", zone < 100 ? '-' : '+', std::abs(zone - 100) / 4, std::abs(zone - 100) % 4 * 15);
  return date + "T" + time + zone_text;
}

/// Fills one column from one field.
struct FieldReader {
  Column column;
  OGRFieldType type;
  int field;
  bool is_workbook;
  std::size_t not_utf8 = 0;

  void append(const OGRFeature& feature) {
    if (!feature.IsFieldSetAndNotNullUnsafe(field)) return column.addMissing();
    switch (type) {
      case OFTInteger:
        return column.addInteger(feature.GetFieldAsIntegerUnsafe(field));
      case OFTInteger64:
        return column.addInteger(feature.GetFieldAsInteger64Unsafe(field));
      case OFTReal:
        return column.addReal(feature.GetFieldAsDoubleUnsafe(field));
      case OFTDate:
      case OFTTime:
      case OFTDateTime:
        return column.addText(isoTime(feature, field, type));
      case OFTString:
        return appendText(feature.GetFieldAsStringUnsafe(field));
      case OFTBinary:
        return column.addMissing();
      default:
        return appendText(const_cast<OGRFeature&>(feature).GetFieldAsString(field));  // lists
    }
  }

 private:
  void appendText(std::string_view text) {
    if (is_workbook && text.empty()) return column.addMissing();
    if (is_workbook) return column.addText(isoFromSlashes(text));
    if (isValidUtf8(text)) return column.addText(text);
    ++not_utf8;
    column.addText(fromWindows1252(text));
  }
};

Column::Kind kindOf(OGRFieldType type) {
  if (type == OFTInteger || type == OFTInteger64) return Column::Kind::Integer;
  return type == OFTReal ? Column::Kind::Real : Column::Kind::Text;
}

std::vector<std::string> namesOf(GDALDataset& dataset) {
  std::vector<std::string> names;
  for (auto* layer : dataset.GetLayers()) names.emplace_back(layer->GetName());
  return names;
}

Problem severalLayers(const gdal::Source& source, Format format, const std::vector<std::string>& names) {
  return {ProblemCode::BadData, gdal::isWorkbook(format) ? "the workbook has several sheets with rows" : "the file has several layers", source.file.string(),
          fmt::format("Name one as FILE#{}: {}", gdal::isWorkbook(format) ? "SHEET" : "LAYER", list(names))};
}

bool holds(OGRLayer& layer, GeometryKind wanted) {
  switch (wkbFlatten(layer.GetGeomType())) {
    case wkbPoint:
    case wkbMultiPoint: return wanted == GeometryKind::Points;
    case wkbLineString:
    case wkbMultiLineString: return wanted == GeometryKind::Lines;
    case wkbPolygon:
    case wkbMultiPolygon:
    case wkbCurvePolygon:
    case wkbMultiSurface: return wanted == GeometryKind::Areas;
    case wkbNone: return wanted == GeometryKind::None;
    default: return true;  // may hold anything
  }
}

/// Of a GPX what a person means: the points that were marked, else the points of the track. Both are there in layers of their own.
OGRLayer* ofGpx(const std::vector<OGRLayer*>& filled) {
  for (const char* name : {"waypoints", "track_points", "route_points"}) {
    for (auto* layer : filled) {
      if (std::string_view(layer->GetName()) == name) return layer;
    }
  }
  return nullptr;
}

/// The layer that was named, the only one that holds anything, or the only one that holds what is wanted.
Result<OGRLayer*> chosen(GDALDataset& dataset, const gdal::Source& source, Format format, std::optional<GeometryKind> wanted, std::vector<std::string>& remarks) {
  const auto names = namesOf(dataset);
  const bool packed_alone = names.size() == 1 && format == Format::Shapefile;  // its name led to it already
  if (!source.layer.empty() && !packed_alone) {
    if (OGRLayer* layer = dataset.GetLayerByName(source.layer.c_str())) return layer;
    return Problem{ProblemCode::NotFound, fmt::format("there is no layer \"{}\"", source.layer), source.file.string(),
                   names.empty() ? "" : "It has " + list(names)};
  }
  std::vector<OGRLayer*> filled;
  for (auto* layer : dataset.GetLayers()) {
    if (names.size() == 1 || layer->GetFeatureCount() > 0) filled.push_back(layer);
  }
  if (filled.size() == 1) return filled.front();
  if (filled.empty()) {
    return Problem{ProblemCode::BadData, gdal::isWorkbook(format) ? "the workbook has no rows" : "the file has no layer with rows", source.file.string(),
                   "It needs a row of headings and rows under it"};
  }
  std::vector<std::string> others;
  std::vector<OGRLayer*> fitting;
  for (auto* layer : filled) {
    if (wanted && holds(*layer, *wanted)) fitting.push_back(layer);
  }
  OGRLayer* taken = fitting.size() == 1 ? fitting.front() : nullptr;
  if (format == Format::Gpx && (!wanted || *wanted == GeometryKind::Points)) taken = ofGpx(filled);
  if (taken == nullptr) {
    for (auto* layer : filled) others.emplace_back(layer->GetName());
    return severalLayers(source, format, others);
  }
  for (auto* layer : filled) {
    if (layer != taken) others.emplace_back(layer->GetName());
  }
  remarks.push_back(fmt::format("Of several layers \"{}\" was taken; FILE#LAYER takes another: {}", taken->GetName(), list(others)));
  return taken;
}

/// What the KML driver adds for its own use: how a thing is drawn.
bool isForDrawing(std::string_view field) {
  static constexpr std::array<std::string_view, 7> kFields = {"altitudeMode", "tessellate", "extrude", "visibility", "drawOrder", "icon", "snippet"};
  return std::ranges::find(kFields, field) != kFields.end();
}

/// GPX and KML come with a column for everything that the standard knows; those that are blank throughout are not in the file.
bool isBlank(const Column& column) {
  for (std::size_t row = 0; row < column.size(); ++row) {
    if (!column.isMissing(row) && !(column.kind() == Column::Kind::Text && column.textAt(row).empty())) return false;
  }
  return true;
}

void remark(Layer& layer, std::size_t count, const std::string& what) {
  if (count > 0) layer.remarks.push_back(fmt::format("{} {} {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? "row" : "rows", what));
}

/// "3 rows had ... (the first: rows 1, 5, 9)".
void remark(Layer& layer, const gdal::CountedRows& rows, const std::string& what) {
  if (rows.count == 0) return;
  std::vector<std::string> first;
  for (const std::size_t row : rows.first) first.push_back(std::to_string(row + 2));  // lines count the headings
  remark(layer, rows.count, fmt::format("{} ({}line{} {})", what, rows.count > first.size() ? "the first: " : "", first.size() == 1 ? "" : "s", join(first, ", ")));
}

Result<void> readRows(OGRLayer& from, Format format, std::size_t row_limit, Progress& progress, Layer& to) {
  const OGRFeatureDefn& definition = *from.GetLayerDefn();
  std::vector<FieldReader> fields;
  for (int i = 0; i < definition.GetFieldCount(); ++i) {
    const OGRFieldDefn& field = *definition.GetFieldDefn(i);
    if (format == Format::Kml && isForDrawing(field.GetNameRef())) continue;
    fields.push_back({Column(field.GetNameRef(), kindOf(field.GetType())), field.GetType(), i, gdal::isWorkbook(format)});
  }
  const auto expected = static_cast<double>(std::max<GIntBig>(1, from.GetFeatureCount(0)));
  const bool has_geometry = definition.GetGeomFieldCount() > 0 && definition.GetGeomType() != wkbNone;
  gdal::GeometryReader geometry(to.geometry);
  from.ResetReading();
  std::size_t rows = 0;
  while (row_limit == 0 || rows < row_limit) {
    const OGRFeatureUniquePtr feature(from.GetNextFeature());
    if (!feature) break;
    for (auto& field : fields) field.append(*feature);
    if (has_geometry) geometry.append(feature->GetGeometryRef());
    if (gdal::isWorkbook(format)) to.table.lines.push_back(static_cast<std::uint64_t>(feature->GetFID()));
    if (++rows % 2048 == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(static_cast<double>(rows) / expected, "reading " + to.name);
    }
  }
  to.table.setRows(rows);
  std::size_t not_utf8 = 0;
  for (auto& field : fields) {
    not_utf8 = std::max(not_utf8, field.not_utf8);
    if ((format == Format::Gpx || format == Format::Kml) && isBlank(field.column)) continue;
    to.table.add(std::move(field.column));
  }
  remark(to, geometry.mixed(), "mixed points, lines and areas: only the areas (or else the lines) were taken");
  remark(to, geometry.strange(), "had a geometry of a kind that has no place on a map, which was left out");
  remark(to, geometry.heights(), "had heights or measures, which were dropped");
  remark(to, geometry.unclosed(), "had a ring that was not closed; it was closed");
  // Only GeoJSON says which way a ring must run (RFC 7946, 3.1.6); elsewhere either way is right.
  if (format == Format::GeoJson) remark(to, geometry.turned(), "had rings that ran the wrong way round; they were turned");
  remark(to, geometry.several(), "of several parts; each row stays one area");
  remark(to, not_utf8, "had text that is not UTF-8; it was read as Windows-1252");
  return {};
}

/// Points out of two columns of a table.
Result<void> addPoints(Layer& layer, const LayerRequest& request) {
  if (request.x_column.empty() != request.y_column.empty()) {
    return Problem{ProblemCode::InvalidArgument, "points need both an x and a y column", "", "Name the other one too"};
  }
  if (request.x_column.empty()) return {};
  const Column* x = layer.table.find(request.x_column);
  const Column* y = layer.table.find(request.y_column);
  if (x == nullptr || y == nullptr) {
    return Problem{ProblemCode::NotFound, fmt::format("there is no column \"{}\"", x == nullptr ? request.x_column : request.y_column), "",
                   "It has " + list(layer.table.names())};
  }
  layer.geometry = Geometries();
  layer.geometry.reserve(layer.table.rows(), layer.table.rows());
  for (std::size_t row = 0; row < layer.table.rows(); ++row) {
    const auto px = x->asReal(row);
    const auto py = y->asReal(row);
    if (px && py) layer.geometry.addPoint({*px, *py});
    else layer.geometry.addNone();
  }
  const auto is_one_of = [](const std::string& name, std::initializer_list<const char*> known) {
    return std::ranges::any_of(known, [&](const char* one) { return lowerAscii(name) == one; });
  };
  const bool lon_lat = is_one_of(x->name(), {"lon", "long", "lng", "longitude"}) && is_one_of(y->name(), {"lat", "latitude"});
  layer.crs = request.crs.empty() && lon_lat ? Crs::wgs84() : Crs();
  return {};
}

Result<Layer> readText(const gdal::Source& source, const LayerRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(read, readCsv(source.file, progress, request.row_limit));
  Layer layer;
  layer.name = source.file.stem().string();
  layer.table = std::move(read.table);
  if (read.was_windows_1252) layer.remarks.emplace_back("the file is not UTF-8; it was read as Windows-1252");
  if (!read.ragged.empty()) {
    remark(layer, read.ragged.size(), fmt::format("have more fields than there are headings, the first in line {}; the extra ones were left out", read.ragged.front()));
  }
  return layer;
}

/// A KML often holds no places but the address of a file that does.
Problem noRows(const gdal::Source& source, Format format, const std::string& place) {
  const auto text = format == Format::Kml ? readFile(source.file) : Result<std::string>(std::string());
  if (text && text->find("<NetworkLink") != std::string::npos) {
    return {ProblemCode::BadData, "the file holds no places, only a link to another file", place, "Download the file that it links to, and give that one"};
  }
  return {ProblemCode::BadData, "the file holds no rows", place, "Save or download it again"};
}

Result<Layer> readByDriver(const gdal::Source& source, const gdal::Found& found, const LayerRequest& request, Progress& progress) {
  if (found.path.empty()) return severalLayers(source, found.format, found.members);
  LEEWARD_ASSIGN(dataset, gdal::open(source.file, found));
  const gdal::Messages messages;
  Layer layer;
  LEEWARD_ASSIGN(from, chosen(*dataset, source, found.format, request.wanted, layer.remarks));
  layer.name = from->GetName();
  layer.crs = gdal::crsOf(from->GetSpatialRef());
  LEEWARD_TRY(readRows(*from, found.format, request.row_limit, progress, layer));
  const std::string place = source.file.string() + (source.layer.empty() ? "" : "#" + source.layer);
  if (messages.failed()) {
    return Problem{ProblemCode::BadData, "the file breaks off or is damaged: " + messages.first(), place, "Save or download it again"};
  }
  if (found.format == Format::FlatGeobuf && request.row_limit == 0 && from->GetFeatureCount() > static_cast<GIntBig>(layer.rows())) {
    return Problem{ProblemCode::BadData, fmt::format("the FlatGeobuf breaks off: it says that it holds {} rows, and {} could be read", from->GetFeatureCount(), layer.rows()), place,
                   "Save or download it again"};
  }
  if (layer.rows() == 0 && layer.table.width() == 0) return noRows(source, found.format, place);
  if (found.format == Format::Shapefile && std::string_view(dataset->GetDescription()).starts_with("/vsimem/")) {
    layer.remarks.emplace_back("The shapefile's .shx is missing: its rows were found by reading the .shp from its start");
  }
  if (found.format == Format::Shapefile && layer.hasGeometry() && layer.table.width() == 0) {
    layer.remarks.emplace_back("The shapefile has no .dbf: its shapes have no columns");
  }
  return layer;
}

}  // namespace

Result<Layer> readLayer(const LayerRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(source, gdal::sourceOf(request.source));
  LEEWARD_ASSIGN(found, gdal::recognise(source));
  if (found.format == Format::Jpeg) {
    return Problem{ProblemCode::Unsupported, "this is a picture, not a layer of points, lines or areas", source.file.string(), "Give a table or a layer; pictures are named in the photos column of the visit log"};
  }
  if (gdal::isRaster(found.format)) {
    return Problem{ProblemCode::Unsupported, "this is a raster, not a layer of points, lines or areas", source.file.string(), "Give it where a raster is asked for"};
  }
  auto read = found.format == Format::Csv ? readText(source, request, progress) : readByDriver(source, found, request, progress);
  if (!read) return read;
  Layer layer = std::move(read).value();
  if (auto added = addPoints(layer, request); !added) return std::move(added).problem().at(source.file.string());
  if (layer.crs.isUnknown() && layer.hasGeometry() && !request.crs.empty()) {
    LEEWARD_ASSIGN(crs, Crs::parse(request.crs));
    layer.crs = crs;
  }
  return layer;
}

Result<std::vector<std::string>> layerNames(const std::string& file) {
  LEEWARD_ASSIGN(source, gdal::sourceOf(file));
  LEEWARD_ASSIGN(found, gdal::recognise(source));
  if (!found.members.empty()) return found.members;
  if (found.format == Format::Csv || gdal::isRaster(found.format)) return std::vector<std::string>{source.file.stem().string()};
  LEEWARD_ASSIGN(dataset, gdal::open(source.file, found));
  const gdal::Messages messages;
  auto names = namesOf(*dataset);
  if (messages.failed()) return Problem{ProblemCode::BadData, "the file is damaged: " + messages.first(), source.file.string(), "Save or download it again"};
  return names;
}

bool isPlainText(const std::string& file) { return gdal::isText(file); }

}  // namespace leeward
