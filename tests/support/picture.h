#pragma once
/// EXIF blocks made byte by byte (Exif 2.32, 4.6: a big-endian TIFF structure behind "Exif\0\0").
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::test {

/// Degrees, minutes and hundredths of a second, north and west.
struct ExifPlace {
  std::uint32_t north[3], west[3];
};
constexpr ExifPlace kNoFix = {{0, 0, 0}, {0, 0, 0}};

/// What a camera writes: DateTimeOriginal ("2025:03:04 14:05:33", 19 characters) and the four GPS tags of a position.
inline std::string exifBlock(std::string_view taken, const ExifPlace& place) {
  const auto be = [](std::uint32_t value, int bytes) {
    std::string out;
    for (int i = bytes; i-- > 0;) out += static_cast<char>(value >> (8U * static_cast<unsigned>(i)));
    return out;
  };
  const auto entry = [&](unsigned tag, unsigned type, std::uint32_t count, const std::string& value) { return be(tag, 2) + be(type, 2) + be(count, 4) + value; };
  // Places of the parts behind the 8 bytes of the head: IFD0 (2 entries), Exif IFD (1), GPS IFD (4), then what is longer than 4 bytes.
  const std::uint32_t exif = 8 + 2 + 2 * 12 + 4, gps = exif + 2 + 12 + 4, data = gps + 2 + 4 * 12 + 4;
  std::string tiff = std::string("MM\0*", 4) + be(8, 4);
  tiff += be(2, 2) + entry(0x8769, 4, 1, be(exif, 4)) + entry(0x8825, 4, 1, be(gps, 4)) + be(0, 4);
  tiff += be(1, 2) + entry(0x9003, 2, 20, be(data, 4)) + be(0, 4);
  tiff += be(4, 2) + entry(1, 2, 2, std::string("N\0\0\0", 4)) + entry(2, 5, 3, be(data + 20, 4)) + entry(3, 2, 2, std::string("W\0\0\0", 4)) + entry(4, 5, 3, be(data + 44, 4)) + be(0, 4);
  tiff.append(taken).append(1, '\0');
  for (const auto& parts : {place.north, place.west}) {
    for (int i = 0; i < 3; ++i) tiff += be(parts[i], 4) + be(i == 2 ? 100 : 1, 4);
  }
  return std::string("Exif\0\0", 6) + tiff;
}

/// A JPEG with the block put in behind its start marker.
inline std::string withExif(const std::string& jpeg, const std::string& block) {
  const std::size_t length = block.size() + 2;
  return jpeg.substr(0, 2) + "\xFF\xE1" + static_cast<char>(length >> 8U) + static_cast<char>(length & 0xFFU) + block + jpeg.substr(2);
}

}  // namespace leeward::test
