#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/layer/drivers.h"
#include "shared/layer/features.h"
#include "shared/layer/layer.h"
#include "shared/table/csv.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

using gdal::Format;

Problem failed(const fs::path& file, const std::string& message) {
  return {ProblemCode::Io, "writing failed" + (message.empty() ? "" : ": " + message), file.string(), "Check that the disk has room"};
}

/// Field names that no format confuses: unique without regard to case, none of the reserved ones.
std::vector<std::string> fieldNames(const Table& table, const std::vector<std::string>& reserved) {
  std::vector<std::string> names;
  const auto taken = [&](const std::string& name) {
    const auto same = [&](const std::string& other) { return lowerAscii(other) == lowerAscii(name); };
    return std::ranges::any_of(names, same) || std::ranges::any_of(reserved, same);
  };
  for (const auto& column : table.columns()) {
    std::string name = column.name();
    for (int i = 2; taken(name); ++i) name = fmt::format("{}_{}", column.name(), i);
    names.push_back(name);
  }
  return names;
}

char** addOptions(char** list, const std::vector<std::pair<std::string, std::string>>& options) {
  for (const auto& [name, value] : options) list = CSLSetNameValue(list, name.c_str(), value.c_str());
  return list;
}

/// What each format needs so that rows keep their order and equal rows give equal bytes.
std::vector<std::pair<std::string, std::string>> layerOptions(Format format, const std::string& id, const std::string& shape) {
  if (format == Format::GeoPackage) return {{"FID", id}, {"GEOMETRY_NAME", shape}};
  if (format == Format::FlatGeobuf) return {{"SPATIAL_INDEX", "NO"}};  // its index would sort the rows
  return {{"RFC7946", "YES"}, {"WRITE_NAME", "NO"}};
}

std::string freeName(const Table& table, std::string name) {
  while (table.find(name) != nullptr) name += "_";
  return name;
}

void setField(OGRFeature& feature, int field, const Column& column, std::size_t row) {
  if (column.isMissing(row)) feature.SetFieldNull(field);
  else if (column.kind() == Column::Kind::Text) feature.SetField(field, std::string(column.textAt(row)).c_str());
  else if (column.kind() == Column::Kind::Integer) feature.SetField(field, static_cast<GIntBig>(*column.asInteger(row)));
  else feature.SetField(field, *column.asReal(row));
}

Result<OGRLayer*> createLayer(GDALDataset& dataset, const Layer& layer, Format format, int type) {
  const std::string id = freeName(layer.table, "fid");
  const std::string shape = freeName(layer.table, "geom");
  const std::unique_ptr<char*, void (*)(char**)> options(addOptions(nullptr, layerOptions(format, id, shape)), CSLDestroy);
  const auto reference = gdal::referenceOf(layer.crs);
  const std::string name = layer.name.empty() ? "layer" : layer.name;
  OGRLayer* out = dataset.CreateLayer(name.c_str(), reference.get(), static_cast<OGRwkbGeometryType>(type), options.get());
  if (out == nullptr) return Problem{ProblemCode::Io, "the layer can't be made", "", ""};
  const auto names = fieldNames(layer.table, {});
  for (std::size_t i = 0; i < names.size(); ++i) {
    const auto kind = layer.table.column(i).kind();
    OGRFieldDefn field(names[i].c_str(), kind == Column::Kind::Text ? OFTString : kind == Column::Kind::Integer ? OFTInteger64 : OFTReal);
    if (out->CreateField(&field) != OGRERR_NONE) return Problem{ProblemCode::Io, fmt::format("the column \"{}\" can't be made", names[i]), "", ""};
  }
  return out;
}

Result<void> writeRows(OGRLayer& out, const Layer& layer, int type, Progress& progress) {
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    const OGRFeatureUniquePtr feature(OGRFeature::CreateFeature(out.GetLayerDefn()));
    for (std::size_t i = 0; i < layer.table.width(); ++i) setField(*feature, static_cast<int>(i), layer.table.column(i), row);
    if (layer.hasGeometry()) {
      if (auto geometry = gdal::toGeometry(layer.geometry, row, type)) feature->SetGeometryDirectly(geometry.release());
    }
    if (out.CreateFeature(feature.get()) != OGRERR_NONE) return Problem{ProblemCode::Io, fmt::format("row {} can't be written", row + 1), "", ""};
    if (row % 2048 == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(static_cast<double>(row) / static_cast<double>(layer.rows()), "writing " + layer.name);
    }
  }
  return {};
}

Result<void> writeByDriver(const Layer& layer, const fs::path& temporary, Format format, bool owner_only, Progress& progress) {
  gdal::prepare();
  const gdal::Messages messages;
  fs::remove(temporary);  // the drivers make their own file and refuse one that is there
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(gdal::driverOf(format));
  gdal::Dataset dataset(driver->Create(fs::absolute(temporary).c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  if (!dataset) return failed(temporary, messages.first());
  std::error_code error;
  if (owner_only) fs::permissions(temporary, fs::perms::owner_read | fs::perms::owner_write, error);
  const int type = gdal::commonType(layer.geometry);
  const auto out = createLayer(*dataset, layer, format, type);
  if (!out) return failed(temporary, messages.first());
  if (owner_only) fs::permissions(temporary, fs::perms::owner_read | fs::perms::owner_write, error);
  const bool transaction = dataset->TestCapability(ODsCTransactions) != 0 && dataset->StartTransaction() == OGRERR_NONE;
  if (auto written = writeRows(**out, layer, type, progress); !written) {
    return written.problem().code == ProblemCode::Cancelled ? std::move(written).problem() : failed(temporary, messages.first());
  }
  if (transaction && dataset->CommitTransaction() != OGRERR_NONE) return failed(temporary, messages.first());
  dataset.reset();
  if (messages.failed()) return failed(temporary, messages.first());
  return {};
}

bool hasGaps(const Geometries& geometry) {
  for (std::size_t row = 0; row < geometry.size(); ++row) {
    if (!geometry.hasVertex(row)) return true;
  }
  return false;
}

}  // namespace

Result<Table> tableWithPlaces(const Layer& layer) {
  bool single_points = layer.hasGeometry();
  for (std::size_t row = 0; single_points && row < layer.geometry.size(); ++row) {
    const auto kind = layer.geometry.kind(row);
    single_points = kind == GeometryKind::None || (kind == GeometryKind::Points && layer.geometry.path(row, 0).size() == 1);
  }
  Table table = layer.table;
  if (!single_points) return table;
  const bool plane = layer.crs.isLocal() || layer.crs.isUnknown();
  const char* x_name = plane ? "x" : "lon";
  const char* y_name = plane ? "y" : "lat";
  if (table.find(x_name) != nullptr && table.find(y_name) != nullptr) return table;
  std::vector<Point> points;
  for (std::size_t row = 0; row < layer.geometry.size(); ++row) {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    points.push_back(layer.geometry.kind(row) == GeometryKind::None ? Point{nan, nan} : layer.geometry.point(row));
  }
  if (!plane) {
    LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
    to_lon_lat.apply(points);
  }
  Column x(x_name, Column::Kind::Real);
  Column y(y_name, Column::Kind::Real);
  const auto rounded = [&](double value) { return plane ? value : std::round(value * 1e7) / 1e7; };  // a centimetre
  for (const Point p : points) {
    x.addReal(rounded(p.x));
    y.addReal(rounded(p.y));
  }
  table.add(std::move(x));
  table.add(std::move(y));
  return table;
}

Result<void> writeLayer(const Layer& layer, const fs::path& file, Progress& progress, bool owner_only) {
  const std::string extension = lowerAscii(file.extension().string());
  if (extension == ".csv") {
    LEEWARD_ASSIGN(table, tableWithPlaces(layer));
    return writeFile(file, toCsv(table), owner_only);
  }
  Format format = Format::GeoPackage;
  if (extension == ".geojson") format = Format::GeoJson;
  else if (extension == ".fgb") format = Format::FlatGeobuf;
  else if (extension != ".gpkg") {
    return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is not a kind of file that can be written", extension), file.string(),
                   "Choose .gpkg, .geojson, .fgb or .csv"};
  }
  if (format == Format::FlatGeobuf && !layer.hasGeometry()) {
    return Problem{ProblemCode::Unsupported, "FlatGeobuf holds places, and these rows have none", file.string(), "Choose .csv or .gpkg"};
  }
  if (format == Format::FlatGeobuf && hasGaps(layer.geometry)) {
    return Problem{ProblemCode::Unsupported, "FlatGeobuf drops rows without a place, and some have none", file.string(), "Choose .gpkg or .geojson"};
  }
  const Layer* out = &layer;
  Layer moved;
  if (format == Format::GeoJson && layer.hasGeometry()) {  // RFC 7946: longitude and latitude on WGS 84, nothing else
    auto reprojection = reprojected(layer, Crs::wgs84());
    if (!reprojection) return std::move(reprojection).problem().at(file.string());
    moved = std::move(reprojection).value();
    out = &moved;
  }
  auto written = writeBeside(
      file, [&](const fs::path& temporary) { return writeByDriver(*out, temporary, format, owner_only, progress); }, owner_only);
  if (written || written.problem().code == ProblemCode::Cancelled) return written;
  Problem problem = std::move(written).problem();
  problem.where = file.string();
  return problem;
}

}  // namespace leeward
