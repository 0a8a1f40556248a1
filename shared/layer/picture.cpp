#include <array>

#include <gdal_priv.h>

#include "shared/base/text.h"
#include "shared/layer/drivers.h"
#include "shared/layer/layer.h"

namespace leeward {
namespace {

std::string tag(GDALDataset& dataset, const char* name) {
  const char* value = dataset.GetMetadataItem(name);
  return value == nullptr ? std::string{} : std::string(trim(value));
}

/// "(42) (22) (12.5)": degrees, minutes, seconds.
std::optional<double> degreesOf(const std::string& text, const std::string& side, char negative) {
  std::array<double, 3> parts{};
  std::size_t count = 0;
  for (const std::string_view piece : split(text, ' ')) {
    std::string_view bare = trim(piece);
    if (bare.starts_with('(') && bare.ends_with(')')) bare = bare.substr(1, bare.size() - 2);
    const auto number = parseNumber(bare);
    if (!number || count == parts.size()) return std::nullopt;
    parts[count++] = *number;
  }
  if (count == 0 || side.empty() || parts[1] >= 60 || parts[2] >= 60) return std::nullopt;
  return (side.front() == negative ? -1 : 1) * (parts[0] + parts[1] / 60 + parts[2] / 3600);
}

/// "2025:03:04 14:05:33" -> "2025-03-04T14:05:33"; "" for clocks that were never set.
std::string isoMoment(std::string text) {
  if (text.size() < 19 || text[4] != ':' || text[7] != ':' || text.starts_with("0000")) return {};
  text.resize(19);
  text[4] = text[7] = '-';
  text[10] = 'T';
  return text;
}

}  // namespace

Result<Picture> readPicture(const std::filesystem::path& file) {
  LEEWARD_ASSIGN(source, gdal::sourceOf(file.string()));
  LEEWARD_ASSIGN(found, gdal::recognise(source));
  if (found.format != gdal::Format::Jpeg) {
    return Problem{ProblemCode::Unsupported, "this is no JPEG picture", file.string(), "Save it as JPEG with its time and place kept"};
  }
  LEEWARD_ASSIGN(dataset, gdal::open(source.file, found));
  const gdal::Messages quiet;  // makers' own tags that are not understood are no fault of the picture
  Picture picture;
  for (const char* name : {"EXIF_DateTimeOriginal", "EXIF_DateTimeDigitized", "EXIF_DateTime"}) {
    if (picture.taken.empty()) picture.taken = isoMoment(tag(*dataset, name));
  }
  const auto lon = degreesOf(tag(*dataset, "EXIF_GPSLongitude"), tag(*dataset, "EXIF_GPSLongitudeRef"), 'W');
  const auto lat = degreesOf(tag(*dataset, "EXIF_GPSLatitude"), tag(*dataset, "EXIF_GPSLatitudeRef"), 'S');
  if (lon && lat && (*lon != 0 || *lat != 0) && *lon >= -180 && *lon <= 180 && *lat >= -90 && *lat <= 90) picture.lon_lat = Point{*lon, *lat};
  return picture;
}

}  // namespace leeward
