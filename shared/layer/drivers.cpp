#include "shared/layer/drivers.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <mutex>

#include <fmt/format.h>
#include <gdal_frmts.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include "shared/base/text.h"

namespace leeward::gdal {
namespace fs = std::filesystem;
namespace {

Problem bad(const fs::path& file, std::string what, std::string mend) {
  return {ProblemCode::BadData, std::move(what), file.string(), std::move(mend)};
}

constexpr std::uint64_t kMostIndexed = 1'000'000'000;  ///< bytes of a .shp that is copied to memory to be indexed

bool exists(const std::string& path) {
  VSIStatBufL status;
  return VSIStatExL(path.c_str(), &status, VSI_STAT_EXISTS_FLAG) == 0;
}

/// The side file's path, in lower or upper case; "" if there is none.
std::string sideOf(const std::string& shape, const char* extension) {
  for (const std::string& ending : {std::string(extension), upperAscii(extension)}) {
    std::string path = shape.substr(0, shape.size() - 3) + ending;
    if (exists(path)) return path;
  }
  return {};
}

bool copyTo(const std::string& from, const std::string& to) {
  constexpr std::size_t kPiece = 1U << 20U;
  VSILFILE* in = VSIFOpenL(from.c_str(), "rb");
  VSILFILE* out = VSIFOpenL(to.c_str(), "wb");
  bool good = in != nullptr && out != nullptr;
  std::vector<char> piece(kPiece);
  for (std::uint64_t total = 0; good;) {
    const std::size_t got = VSIFReadL(piece.data(), 1, piece.size(), in);
    if (got == 0) break;
    total += got;
    good = total <= kMostIndexed && VSIFWriteL(piece.data(), 1, got, out) == got;
  }
  if (in != nullptr) VSIFCloseL(in);
  if (out != nullptr) good = VSIFCloseL(out) == 0 && good;
  return good;
}

/// The shapefile in memory with an index of its own if its .shx is missing, else nothing: nothing is written beside a source.
Result<std::shared_ptr<MemoryCopy>> withIndex(const fs::path& file, const std::string& shape) {
  if (lowerAscii(shape).ends_with(".dbf") || !sideOf(shape, "shx").empty()) return std::shared_ptr<MemoryCopy>{};
  static std::atomic<unsigned> count = 0;
  auto copy = std::make_shared<MemoryCopy>();
  copy->folder = fmt::format("/vsimem/leeward-{}", ++count);
  copy->path = copy->folder + "/" + CPLGetFilename(shape.c_str());
  const Messages messages;
  bool good = copyTo(shape, copy->path);
  for (const char* extension : {"dbf", "prj", "cpg"}) {
    const std::string side = sideOf(shape, extension);
    if (good && !side.empty()) good = copyTo(side, copy->path.substr(0, copy->path.size() - 3) + extension);
  }
  if (good) {
    CPLSetThreadLocalConfigOption("SHAPE_RESTORE_SHX", "YES");
    const Dataset made(static_cast<GDALDataset*>(GDALOpenEx(copy->path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)), Close{});
    CPLSetThreadLocalConfigOption("SHAPE_RESTORE_SHX", nullptr);
    good = made != nullptr;
  }
  if (good) return copy;
  return bad(file, "the shapefile's .shx is missing, and its .shp is too damaged or too large to be read without it",
             "Put all its parts (.shp, .shx, .dbf, .prj) into one folder");
}

/// One line without the path that stands in `where` already.
std::string oneLine(std::string text) {
  std::ranges::replace(text, '\n', ' ');
  return std::string(trim(text)).substr(0, 300);
}

}  // namespace

Messages::Messages() {
  CPLPushErrorHandlerEx(
      [](CPLErr kind, CPLErrorNum, const char* text) {
        auto* self = static_cast<Messages*>(CPLGetErrorHandlerUserData());
        // Sheets of this kind end in a million blank rows, written as one that repeats; the driver stops there, and says so.
        const bool blank_end = text != nullptr && std::string_view(text).find("number-rows-repeated") != std::string_view::npos;
        if (kind >= CE_Failure && !blank_end && self->first_.empty()) self->first_ = oneLine(text == nullptr ? "" : text);
      },
      this);
}

Messages::~Messages() {
  CPLPopErrorHandler();
  CPLErrorReset();
}

void Close::operator()(GDALDataset* dataset) const { GDALClose(dataset); }

MemoryCopy::~MemoryCopy() { VSIRmdirRecursive(folder.c_str()); }

void prepare() {
  static std::once_flag once;
  std::call_once(once, [] {
    OSRSetPROJEnableNetwork(0);
    CPLSetConfigOption("GDAL_PAM_ENABLED", "NO");        // no side files beside what is read
    CPLSetConfigOption("OGR_XLSX_HEADERS", "FORCE");     // the first row names the columns
    CPLSetConfigOption("OGR_XLSX_FIELD_TYPES", "STRING");  // a column of numbers and words keeps both
    CPLSetConfigOption("OGR_CURRENT_DATE", "1970-01-01T00:00:00.000Z");  // the same rows give the same bytes
    CPLSetConfigOption("OGR_ODS_HEADERS", "FORCE");
    CPLSetConfigOption("OGR_ODS_FIELD_TYPES", "STRING");
    RegisterOGRXLSX();
    RegisterOGRODS();
    RegisterOGRGPX();
    RegisterOGRLIBKML();
    RegisterOGROpenFileGDB();
    RegisterOGRGeoPackage();
    RegisterOGRGeoJSON();
    RegisterOGRGeoJSONSeq();
    RegisterOGRShape();
    RegisterOGRFlatGeobuf();
    GDALRegister_GTiff();
    GDALRegister_AAIGrid();
    GDALRegister_JPEG();
  });
}

Result<Dataset> open(const fs::path& file, const Found& found) {
  prepare();
  std::shared_ptr<MemoryCopy> copy;
  if (found.format == Format::Shapefile) {
    auto indexed = withIndex(file, found.path);
    if (!indexed) return std::move(indexed).problem();
    copy = *std::move(indexed);
  }
  const std::string path = copy ? copy->path : found.path;
  const std::array<const char*, 2> drivers = {driverOf(found.format), nullptr};
  const Messages messages;
  GDALDataset* opened = static_cast<GDALDataset*>(
      GDALOpenEx(path.c_str(), GDAL_OF_READONLY | (isRaster(found.format) ? GDAL_OF_RASTER : GDAL_OF_VECTOR), drivers.data(), nullptr, nullptr));
  if (opened != nullptr) return Dataset(opened, Close{std::move(copy)});
  const std::string why = messages.failed() ? ": " + messages.first() : "";
  return bad(file, fmt::format("the file can't be read as {}{}", nameOf(found.format), why), "It may be cut off or damaged; save or download it again");
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
