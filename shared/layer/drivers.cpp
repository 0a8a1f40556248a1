#include "shared/layer/drivers.h"

#include <algorithm>
#include <array>
#include <fstream>
#include <mutex>

#include <fmt/format.h>
#include <gdal_frmts.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "shared/base/text.h"

namespace leeward::gdal {
namespace fs = std::filesystem;
namespace {

constexpr const char* kFormats = "CSV, XLSX, GeoPackage, GeoJSON, Shapefile and FlatGeobuf; rasters as GeoTIFF or ASCII grid";

Problem bad(const fs::path& file, std::string what, std::string mend) {
  return {ProblemCode::BadData, std::move(what), file.string(), std::move(mend)};
}

std::string startOf(const fs::path& file) {
  std::array<char, 64> bytes{};
  std::ifstream in(file, std::ios::binary);
  in.read(bytes.data(), bytes.size());
  return {bytes.data(), static_cast<std::size_t>(in.gcount())};
}

/// A workbook's name on something else, or something that is no workbook in its clothes.
Result<Format> workbookOf(const fs::path& file, std::string_view start) {
  if (start.starts_with("PK\x03\x04")) return Format::Xlsx;
  if (start.starts_with("\xD0\xCF\x11\xE0")) {
    return Problem{ProblemCode::Unsupported, "this workbook is of the old kind or locked by a password", file.string(),
                   "Save it as .xlsx without a password, or as CSV"};
  }
  return bad(file, "this is no workbook, though its name says so", "If it is text, give it the name .csv; else save it again as .xlsx");
}

/// Workbooks are packed; one that unpacks to gigabytes is a mistake or an attack.
Result<void> checkUnpackedSize(const fs::path& file) {
  constexpr std::uint64_t kLargest = 2'000'000'000;
  const std::string inside = "/vsizip/{" + fs::absolute(file).string() + "}";
  const std::unique_ptr<char*, void (*)(char**)> names(VSIReadDirRecursive(inside.c_str()), CSLDestroy);
  std::uint64_t total = 0;
  for (char** name = names.get(); name != nullptr && *name != nullptr; ++name) {
    VSIStatBufL status;
    if (VSIStatExL((inside + "/" + *name).c_str(), &status, VSI_STAT_SIZE_FLAG) == 0) total += static_cast<std::uint64_t>(status.st_size);
  }
  if (total <= kLargest) return {};
  return Problem{ProblemCode::ResourceExhausted, "the workbook unpacks to more than 2 GB", file.string(), "Save the sheet that is needed as CSV"};
}

/// One line without the path that stands in `where` already.
std::string oneLine(std::string text) {
  std::ranges::replace(text, '\n', ' ');
  return std::string(trim(text)).substr(0, 300);
}

}  // namespace

const char* nameOf(Format format) {
  static constexpr std::array<const char*, 8> kNames = {"CSV", "XLSX", "GeoPackage", "GeoJSON", "Shapefile", "FlatGeobuf", "GeoTIFF", "ASCII grid"};
  return kNames[static_cast<std::size_t>(format)];
}

const char* driverOf(Format format) {
  static constexpr std::array<const char*, 8> kDrivers = {nullptr, "XLSX", "GPKG", "GeoJSON", "ESRI Shapefile", "FlatGeobuf", "GTiff", "AAIGrid"};
  return kDrivers[static_cast<std::size_t>(format)];
}

Result<Source> sourceOf(const std::string& text) {
  if (text.find("://") != std::string::npos || text.starts_with("/vsi")) {
    return Problem{ProblemCode::InvalidArgument, "only files on this machine are read", text.substr(0, 80), "Download it first"};
  }
  std::error_code error;
  Source source{text, ""};
  if (!fs::exists(source.file, error)) {
    const std::size_t hash = text.rfind('#');
    if (hash != std::string::npos) source = {text.substr(0, hash), text.substr(hash + 1)};
  }
  if (!fs::exists(source.file, error)) {
    return Problem{ProblemCode::NotFound, "there is no such file", source.file.string(), "Check the name and the folder"};
  }
  if (fs::is_directory(source.file, error)) return bad(source.file, "this is a folder, not a file", "Name a file in it");
  if (fs::file_size(source.file, error) == 0) return bad(source.file, "the file is empty", "Save or download it again");
  return source;
}

Result<Format> formatOf(const fs::path& file) {
  const std::string extension = lowerAscii(file.extension().string());
  const std::string start = startOf(file);
  if (extension == ".xlsx" || extension == ".xlsm") return workbookOf(file, start);
  for (const char* text : {".csv", ".tsv", ".txt", ".tab"}) {
    if (extension == text) return Format::Csv;
  }
  if (start.starts_with("SQLite format 3")) return Format::GeoPackage;
  if (start.starts_with("fgb")) return Format::FlatGeobuf;
  if (start.starts_with(std::string_view("\0\0\x27\x0A", 4))) {
    if (extension == ".shp") return Format::Shapefile;
    return bad(file, "this is a part of a shapefile", "Name the .shp");
  }
  if (start.starts_with("II*") || start.starts_with(std::string_view("MM\0*", 4)) || start.starts_with("II+")) return Format::GeoTiff;
  std::string_view text = start;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  text = trim(text);
  if (text.starts_with('{')) return Format::GeoJson;
  if (lowerAscii(text.substr(0, 5)) == "ncols") return Format::AsciiGrid;
  static constexpr std::array<std::pair<const char*, Format>, 6> kByName = {{{".gpkg", Format::GeoPackage},
                                                                             {".geojson", Format::GeoJson},
                                                                             {".json", Format::GeoJson},
                                                                             {".shp", Format::Shapefile},
                                                                             {".fgb", Format::FlatGeobuf},
                                                                             {".tif", Format::GeoTiff}}};
  for (const auto& [name, format] : kByName) {
    if (extension == name) {
      return bad(file, fmt::format("this is no {} file, though its name says so", nameOf(format)), "Save or download it again");
    }
  }
  if (start.starts_with("PK\x03\x04")) {
    return Problem{ProblemCode::Unsupported, "this is an archive", file.string(), "Unpack it and name a file in it"};
  }
  return Problem{ProblemCode::Unsupported, "this kind of file can't be read", file.string(), fmt::format("Convert it; what can be read: {}", kFormats)};
}

Messages::Messages() {
  CPLPushErrorHandlerEx(
      [](CPLErr kind, CPLErrorNum, const char* text) {
        auto* self = static_cast<Messages*>(CPLGetErrorHandlerUserData());
        if (kind >= CE_Failure && self->first_.empty()) self->first_ = oneLine(text == nullptr ? "" : text);
      },
      this);
}

Messages::~Messages() {
  CPLPopErrorHandler();
  CPLErrorReset();
}

void Close::operator()(GDALDataset* dataset) const { GDALClose(dataset); }

void prepare() {
  static std::once_flag once;
  std::call_once(once, [] {
    OSRSetPROJEnableNetwork(0);
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");        // no side files beside what is read
    CPLSetConfigOption("OGR_XLSX_HEADERS", "FORCE");     // the first row names the columns
    CPLSetConfigOption("OGR_XLSX_FIELD_TYPES", "STRING");  // a column of numbers and words keeps both
    CPLSetConfigOption("OGR_CURRENT_DATE", "1970-01-01T00:00:00.000Z");  // the same rows give the same bytes
    RegisterOGRXLSX();
    RegisterOGRGeoPackage();
    RegisterOGRGeoJSON();
    RegisterOGRShape();
    RegisterOGRFlatGeobuf();
    GDALRegister_GTiff();
    GDALRegister_AAIGrid();
  });
}

Result<Dataset> open(const fs::path& file, Format format) {
  prepare();
  if (format == Format::Xlsx) LEEWARD_TRY(checkUnpackedSize(file));
  if (format == Format::Shapefile) {
    auto index = file;
    std::error_code error;
    if (!fs::exists(index.replace_extension(".shx"), error) && !fs::exists(index.replace_extension(".SHX"), error)) {
      return bad(file, "the shapefile's .shx is missing", "Put all its parts (.shp, .shx, .dbf, .prj) into one folder");
    }
  }
  const bool is_raster = format == Format::GeoTiff || format == Format::AsciiGrid;
  const std::array<const char*, 2> drivers = {driverOf(format), nullptr};
  const Messages messages;
  Dataset dataset(static_cast<GDALDataset*>(GDALOpenEx(fs::absolute(file).c_str(), GDAL_OF_READONLY | (is_raster ? GDAL_OF_RASTER : GDAL_OF_VECTOR),
                                                       drivers.data(), nullptr, nullptr)));
  if (dataset) return dataset;
  const std::string why = messages.failed() ? ": " + messages.first() : "";
  return bad(file, fmt::format("the file can't be read as {}{}", nameOf(format), why), "It may be cut off or damaged; save or download it again");
}

Crs crsOf(const OGRSpatialReference* reference) {
  if (reference == nullptr || std::string_view(reference->GetName() == nullptr ? "" : reference->GetName()).starts_with("Undefined")) return {};  // as GeoPackage says it
  const char* authority = reference->GetAuthorityName(nullptr);
  const char* code = reference->GetAuthorityCode(nullptr);
  if (authority != nullptr && code != nullptr) {
    if (auto crs = Crs::parse(fmt::format("{}:{}", authority, code))) return *crs;
  }
  char* raw = nullptr;
  static constexpr std::array<const char*, 3> kOptions = {"FORMAT=WKT2_2019", "MULTILINE=NO", nullptr};
  const Messages quiet;
  reference->exportToWkt(&raw, kOptions.data());
  const std::unique_ptr<char, void (*)(void*)> wkt(raw, CPLFree);
  if (!wkt) return {};
  const auto crs = Crs::parse(wkt.get());
  return crs ? *crs : Crs();
}

std::unique_ptr<OGRSpatialReference, void (*)(OGRSpatialReference*)> referenceOf(const Crs& crs) {
  std::unique_ptr<OGRSpatialReference, void (*)(OGRSpatialReference*)> reference(nullptr, [](OGRSpatialReference* old) {
    if (old != nullptr) old->Release();
  });
  if (crs.isUnknown()) return reference;
  reference.reset(new OGRSpatialReference());
  const Messages quiet;
  if (crs.isLocal()) {
    reference->SetLocalCS(crs.name().c_str());
    reference->SetLinearUnits("metre", 1);
  } else if (reference->SetFromUserInput(crs.definition().c_str(), OGRSpatialReference::SET_FROM_USER_INPUT_LIMITATIONS) != OGRERR_NONE) {
    reference.reset();
    return reference;
  }
  reference->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  return reference;
}

}  // namespace leeward::gdal
