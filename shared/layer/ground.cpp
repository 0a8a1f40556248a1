// A picture of the ground, read at the size that a map can show.
#include <array>
#include <cmath>

#include <fmt/format.h>
#include <gdal_priv.h>

#include "shared/layer/drivers.h"
#include "shared/layer/layer.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

using gdal::Format;
using Bytes = std::vector<unsigned char>;

Problem wrong(ProblemCode code, const fs::path& file, std::string what, std::string mend) { return {code, std::move(what), file.string(), std::move(mend)}; }

Result<GroundPicture> groundFrame(GDALDataset& dataset, const fs::path& file, std::size_t longest) {
  std::array<double, 6> place{};
  const Crs crs = gdal::crsOf(dataset.GetSpatialRef());
  if (dataset.GetGeoTransform(place.data()) != CE_None || crs.isUnknown()) return wrong(ProblemCode::BadData, file, "the picture does not say where it lies", "Save it as a GeoTIFF with its place and coordinate system");
  if (place[2] != 0 || place[4] != 0 || place[1] <= 0 || place[5] >= 0) return wrong(ProblemCode::Unsupported, file, "the picture is turned or mirrored", "Save it north up");
  const double width = dataset.GetRasterXSize(), height = dataset.GetRasterYSize();
  const double shrunk = std::max(1.0, std::max(width, height) / static_cast<double>(longest));
  GroundPicture ground;
  ground.columns = static_cast<std::size_t>(std::max(1.0, std::floor(width / shrunk)));
  ground.rows = static_cast<std::size_t>(std::max(1.0, std::floor(height / shrunk)));
  ground.left = place[0], ground.top = place[3];
  ground.cell_x = place[1] * width / static_cast<double>(ground.columns);
  ground.cell_y = -place[5] * height / static_cast<double>(ground.rows);
  ground.crs = crs;
  return ground;
}

/// One band at the picture's size; numbers that stand in a table can't be averaged.
Result<Bytes> readBand(GDALRasterBand& band, const GroundPicture& ground, bool averaged, const fs::path& file) {
  if (band.GetRasterDataType() != GDT_Byte) return wrong(ProblemCode::Unsupported, file, "the picture has more than eight bits a colour", "Save it with eight bits");
  Bytes bytes(ground.columns * ground.rows);
  GDALRasterIOExtraArg how;
  INIT_RASTERIO_EXTRA_ARG(how);
  how.eResampleAlg = averaged ? GRIORA_Average : GRIORA_NearestNeighbour;
  if (band.RasterIO(GF_Read, 0, 0, band.GetXSize(), band.GetYSize(), bytes.data(), static_cast<int>(ground.columns), static_cast<int>(ground.rows), GDT_Byte, 0, 0, &how) != CE_None) {
    return wrong(ProblemCode::BadData, file, "the picture breaks off or is damaged", "Save or download it again");
  }
  return bytes;
}

constexpr std::uint32_t packed(unsigned red, unsigned green, unsigned blue, unsigned alpha) { return alpha << 24U | red << 16U | green << 8U | blue; }

}  // namespace

Result<GroundPicture> readGround(const fs::path& file, std::size_t longest, Progress& progress) {
  LEEWARD_ASSIGN(source, gdal::sourceOf(file.string()));
  LEEWARD_ASSIGN(found, gdal::recognise(source));
  if (found.format != Format::GeoTiff) return wrong(ProblemCode::Unsupported, file, "this is no picture of the ground", "Give a GeoTIFF");
  LEEWARD_ASSIGN(dataset, gdal::open(source.file, found));
  const gdal::Messages messages;
  LEEWARD_ASSIGN(ground, groundFrame(*dataset, file, longest));
  const int count = dataset->GetRasterCount();
  if (count < 1) return wrong(ProblemCode::BadData, file, "the picture has no colours", "Save or download it again");
  const GDALColorTable* table = dataset->GetRasterBand(1)->GetColorTable();
  std::vector<Bytes> bands;
  for (int band = 1; band <= (table != nullptr || count < 3 ? 1 : std::min(count, 4)); ++band) {
    LEEWARD_TRY(progress.checkStop());
    LEEWARD_ASSIGN(bytes, readBand(*dataset->GetRasterBand(band), ground, table == nullptr, file));
    bands.push_back(std::move(bytes));
  }
  LEEWARD_ASSIGN(mask, readBand(*dataset->GetRasterBand(1)->GetMaskBand(), ground, false, file));
  const bool has_alpha = bands.size() == 4 && dataset->GetRasterBand(4)->GetColorInterpretation() == GCI_AlphaBand;
  ground.argb.resize(mask.size());
  for (std::size_t i = 0; i < mask.size(); ++i) {
    const GDALColorEntry* entry = table == nullptr ? nullptr : table->GetColorEntry(bands[0][i]);
    const unsigned alpha = has_alpha ? bands[3][i] : mask[i];
    if (entry != nullptr) ground.argb[i] = packed(static_cast<unsigned>(entry->c1) & 255U, static_cast<unsigned>(entry->c2) & 255U, static_cast<unsigned>(entry->c3) & 255U, alpha);
    else if (bands.size() >= 3) ground.argb[i] = packed(bands[0][i], bands[1][i], bands[2][i], alpha);
    else ground.argb[i] = packed(bands[0][i], bands[0][i], bands[0][i], alpha);
  }
  return ground;
}

}  // namespace leeward
