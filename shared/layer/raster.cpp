#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>
#include <gdal_priv.h>

#include "shared/base/files.h"
#include "shared/layer/drivers.h"
#include "shared/layer/layer.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

using gdal::Format;

constexpr std::size_t kMostCells = 400'000'000;
constexpr float kNoData = std::numeric_limits<float>::quiet_NaN();

Problem problem(ProblemCode code, const fs::path& file, std::string what, std::string mend) {
  return {code, std::move(what), file.string(), std::move(mend)};
}

/// Size, place and system; the values are not read yet.
Result<Raster> frameOf(GDALDataset& dataset, const fs::path& file) {
  std::array<double, 6> place{};
  if (dataset.GetRasterCount() < 1) return problem(ProblemCode::BadData, file, "the raster has no band", "Save or download it again");
  if (dataset.GetGeoTransform(place.data()) != CE_None) {
    return problem(ProblemCode::BadData, file, "the raster does not say where it lies", "Save it with its place (GeoTIFF)");
  }
  if (place[2] != 0 || place[4] != 0 || place[1] <= 0) {
    return problem(ProblemCode::Unsupported, file, "the raster is turned or mirrored", "Save it north up");
  }
  Raster raster;
  raster.columns = static_cast<std::size_t>(dataset.GetRasterXSize());
  raster.rows = static_cast<std::size_t>(dataset.GetRasterYSize());
  if (raster.columns * raster.rows > kMostCells) {
    return problem(ProblemCode::ResourceExhausted, file, fmt::format("the raster has more than {} million cells", kMostCells / 1'000'000), "Cut it to the study area");
  }
  raster.cell_x = place[1];
  raster.cell_y = std::abs(place[5]);
  raster.left = place[0];
  raster.top = place[5] < 0 ? place[3] : place[3] + place[5] * static_cast<double>(raster.rows);
  raster.crs = gdal::crsOf(dataset.GetSpatialRef());
  return raster;
}

/// How the stored numbers of a band become values.
struct Scaling {
  double scale = 1;
  double offset = 0;
  bool has_no_data = false;
  double no_data = 0;

  explicit Scaling(GDALRasterBand& band) {
    int has_scale = 0;
    int has_offset = 0;
    int has_none = 0;
    const double stored_scale = band.GetScale(&has_scale);
    const double stored_offset = band.GetOffset(&has_offset);
    no_data = band.GetNoDataValue(&has_none);
    if (has_scale != 0) scale = stored_scale;
    if (has_offset != 0) offset = stored_offset;
    has_no_data = has_none != 0;
  }
  float value(double stored) const {
    const bool none = has_no_data && (stored == no_data || static_cast<float>(stored) == static_cast<float>(no_data));
    return none || !std::isfinite(stored) ? kNoData : static_cast<float>(stored * scale + offset);
  }
};

Result<void> readCells(GDALRasterBand& band, bool south_up, const fs::path& file, Progress& progress, Raster& raster) {
  const Scaling scaling(band);
  const bool has_mask = (band.GetMaskFlags() & GMF_PER_DATASET) != 0;
  const std::size_t width = raster.columns;
  const std::size_t strip = std::max<std::size_t>(1, std::min<std::size_t>(raster.rows, 2'000'000 / width + 1));
  std::vector<double> stored(strip * width);
  std::vector<unsigned char> mask(has_mask ? strip * width : 0);
  raster.values.resize(raster.rows * width);
  for (std::size_t first = 0; first < raster.rows; first += strip) {
    LEEWARD_TRY(progress.checkStop());
    const std::size_t height = std::min(strip, raster.rows - first);
    const auto read = [&](GDALRasterBand& from, void* into, GDALDataType type) {
      return from.RasterIO(GF_Read, 0, static_cast<int>(first), static_cast<int>(width), static_cast<int>(height), into, static_cast<int>(width),
                           static_cast<int>(height), type, 0, 0, nullptr) == CE_None;
    };
    if (!read(band, stored.data(), GDT_Float64) || (has_mask && !read(*band.GetMaskBand(), mask.data(), GDT_Byte))) {
      return problem(ProblemCode::BadData, file, "the raster breaks off or is damaged", "Save or download it again");
    }
    for (std::size_t y = 0; y < height; ++y) {
      const std::size_t row = south_up ? raster.rows - 1 - (first + y) : first + y;
      for (std::size_t x = 0; x < width; ++x) {
        const std::size_t i = y * width + x;
        raster.values[row * width + x] = has_mask && mask[i] == 0 ? kNoData : scaling.value(stored[i]);
      }
    }
    progress.report(static_cast<double>(first + height) / static_cast<double>(raster.rows), "reading " + file.filename().string());
  }
  return {};
}

Result<void> writeTo(const Raster& raster, const fs::path& temporary, Progress& progress) {
  gdal::prepare();
  const gdal::Messages messages;
  const auto failed = [&] { return problem(ProblemCode::Io, temporary, "writing failed: " + messages.first(), "Check that the disk has room"); };
  char** list = nullptr;
  for (const char* option : {"COMPRESS=DEFLATE", "PREDICTOR=3", "TILED=YES", "BIGTIFF=IF_SAFER"}) list = CSLAddString(list, option);
  const std::unique_ptr<char*, void (*)(char**)> options(list, CSLDestroy);
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(gdal::driverOf(Format::GeoTiff));
  gdal::Dataset dataset(driver->Create(fs::absolute(temporary).c_str(), static_cast<int>(raster.columns), static_cast<int>(raster.rows), 1, GDT_Float32,
                                       options.get()));
  if (!dataset) return failed();
  std::array<double, 6> place = {raster.left, raster.cell_x, 0, raster.top, 0, -raster.cell_y};
  dataset->SetGeoTransform(place.data());
  if (const auto reference = gdal::referenceOf(raster.crs)) dataset->SetSpatialRef(reference.get());
  GDALRasterBand& band = *dataset->GetRasterBand(1);
  band.SetNoDataValue(static_cast<double>(kNoData));
  constexpr std::size_t kStrip = 256;  // a row of tiles
  for (std::size_t first = 0; first < raster.rows; first += kStrip) {
    LEEWARD_TRY(progress.checkStop());
    const std::size_t height = std::min(kStrip, raster.rows - first);
    auto* cells = const_cast<float*>(raster.values.data() + first * raster.columns);  // GDAL only reads them
    if (band.RasterIO(GF_Write, 0, static_cast<int>(first), static_cast<int>(raster.columns), static_cast<int>(height), cells,
                      static_cast<int>(raster.columns), static_cast<int>(height), GDT_Float32, 0, 0, nullptr) != CE_None) {
      return failed();
    }
    progress.report(static_cast<double>(first + height) / static_cast<double>(raster.rows), "writing the raster");
  }
  dataset.reset();
  if (messages.failed()) return failed();
  return {};
}

}  // namespace

bool isRaster(const fs::path& file) {
  const auto source = gdal::sourceOf(file.string());
  const auto found = source ? gdal::recognise(*source) : Result<gdal::Found>(source.problem());
  return found && (found->format == Format::GeoTiff || found->format == Format::AsciiGrid);
}

Result<Raster> readRaster(const fs::path& file, Progress& progress) {
  LEEWARD_ASSIGN(source, gdal::sourceOf(file.string()));
  LEEWARD_ASSIGN(found, gdal::recognise(source));
  if (found.format != Format::GeoTiff && found.format != Format::AsciiGrid) {
    return problem(ProblemCode::Unsupported, file, "this is no raster", "Give a GeoTIFF or an ASCII grid");
  }
  LEEWARD_ASSIGN(dataset, gdal::open(source.file, found));
  const gdal::Messages messages;
  LEEWARD_ASSIGN(raster, frameOf(*dataset, file));
  GDALRasterBand& band = *dataset->GetRasterBand(1);
  if (GDALDataTypeIsComplex(band.GetRasterDataType()) != 0) return problem(ProblemCode::Unsupported, file, "the raster holds complex numbers", "Save it with real ones");
  std::array<double, 6> place{};
  dataset->GetGeoTransform(place.data());
  LEEWARD_TRY(readCells(band, place[5] > 0, file, progress, raster));
  return raster;
}

Result<void> writeRaster(const Raster& raster, const fs::path& file, Progress& progress) {
  if (raster.values.size() != raster.rows * raster.columns || raster.values.empty()) {
    return problem(ProblemCode::InvalidArgument, file, "the raster has no cells", "");
  }
  return writeBeside(file, [&](const fs::path& temporary) { return writeTo(raster, temporary, progress); });
}

}  // namespace leeward
