// Metadata of pictures. Sources: PNG (ISO/IEC 15948) chunks; JPEG (ITU-T T.81) segments; TIFF 6.0 and Exif 2.32 directories.
#include <algorithm>
#include <set>

#include "shared/layer/unpack.h"
#include "viewer/study/hand_over/pieces.h"

namespace leeward::study {
namespace {

constexpr std::uint32_t kExifDirectory = 0x8769, kGpsDirectory = 0x8825, kSubDirectories = 0x014A, kThumbnail = 0x0201;

/// The directories of a TIFF, or of an EXIF block, which is one.
class Directories {
 public:
  explicit Directories(std::string_view bytes) : bytes_(bytes), big_(bytes.starts_with("MM")) {}

  Piece read() {
    std::size_t at = number(4, 4);
    for (int number_of = 0; at != 0 && number_of < 8; ++number_of) {
      at = directory(at, number_of == 1);
    }
    return std::move(piece_);
  }

 private:
  std::size_t number(std::size_t at, std::size_t length) const {
    if (at + length > bytes_.size()) return 0;
    std::size_t value = 0;
    for (std::size_t i = 0; i < length; ++i) value = value << 8U | static_cast<unsigned char>(bytes_[at + (big_ ? i : length - 1 - i)]);
    return value;
  }
  double fraction(std::size_t at) const {
    const std::size_t below = number(at + 4, 4);
    return below == 0 ? 0 : static_cast<double>(number(at, 4)) / static_cast<double>(below);
  }

  /// Gives where the next one stands.
  std::size_t directory(std::size_t at, bool is_second) {
    if (at + 2 > bytes_.size() || !seen_.insert(at).second) return 0;
    const std::size_t entries = number(at, 2);
    for (std::size_t i = 0; i < entries; ++i) entry(at + 2 + 12 * i, is_second);
    return number(at + 2 + 12 * entries, 4);
  }

  void entry(std::size_t at, bool is_second) {
    static constexpr std::size_t kSizes[] = {0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8};
    const std::size_t tag = number(at, 2), type = number(at + 2, 2), count = number(at + 4, 4);
    if (type == 0 || type > 12 || count > bytes_.size()) return;
    const std::size_t length = kSizes[type] * count, value = length <= 4 ? at + 8 : number(at + 8, 4);
    if (tag == kExifDirectory || tag == kSubDirectories) directory(number(at + 8, 4), false);
    if (tag == kGpsDirectory) gps(number(at + 8, 4));
    if (tag == kThumbnail && is_second) piece_.fault = "a thumbnail, which may show what the picture no longer does";
    const bool is_words = type == 2 || type == 7 || type == 1;
    constexpr std::size_t kLongestWords = 1U << 20U;
    if (is_words && length > 4 && length < kLongestWords && value + length <= bytes_.size()) piece_.text += std::string(bytes_.substr(value, length)) + "\n";
  }

  void gps(std::size_t at) {
    if (at + 2 > bytes_.size() || !seen_.insert(at).second) return;
    double lon = 0, lat = 0;
    bool has_lon = false, has_lat = false, west = false, south = false;
    for (std::size_t i = 0; i < number(at, 2); ++i) {
      const std::size_t entry = at + 2 + 12 * i, tag = number(entry, 2), value = number(entry + 8, 4);
      const auto degrees = [&] { return fraction(value) + fraction(value + 8) / 60 + fraction(value + 16) / 3600; };
      if (tag == 1) south = entry + 8 < bytes_.size() && bytes_[entry + 8] == 'S';
      if (tag == 3) west = entry + 8 < bytes_.size() && bytes_[entry + 8] == 'W';
      if (tag == 2) lat = degrees(), has_lat = true;
      if (tag == 4) lon = degrees(), has_lon = true;
    }
    if (has_lon && has_lat) piece_.lon_lat.push_back({west ? -lon : lon, south ? -lat : lat});
  }

  std::string_view bytes_;
  bool big_;
  std::set<std::size_t> seen_;
  Piece piece_;
};

Piece exif(std::string_view bytes, const std::string& part) {
  Piece piece = Directories(bytes).read();
  piece.part = part;
  return piece;
}

std::uint32_t bigNumber(std::string_view bytes, std::size_t at, std::size_t length) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < length && at + i < bytes.size(); ++i) value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

/// A text chunk: keyword, and what follows it, unpacked where it is packed.
std::string chunkText(std::string_view type, std::string_view data) {
  std::string text(data);
  const std::size_t keyword = data.find('\0');
  if (type == "zTXt" && keyword != std::string_view::npos && keyword + 2 < data.size()) {
    if (const auto more = inflated(data.substr(keyword + 2))) text += " " + *more;
  }
  if (type == "iTXt" && keyword != std::string_view::npos) {
    std::size_t at = data.find('\0', keyword + 3);
    if (at != std::string_view::npos) at = data.find('\0', at + 1);
    if (at != std::string_view::npos) {
      if (const auto more = inflated(data.substr(at + 1))) text += " " + *more;
    }
  }
  return text;
}

std::vector<Piece> pngPieces(std::string_view bytes, const std::string& part) {
  std::vector<Piece> pieces;
  Piece words{.part = part + "PNG text", .text = {}, .bytes = {}, .lon_lat = {}, .fault = {}};
  std::size_t at = 8;
  while (at + 12 <= bytes.size()) {
    const std::size_t length = bigNumber(bytes, at, 4);
    if (length > bytes.size() - at - 12) break;
    const std::string_view type = bytes.substr(at + 4, 4), data = bytes.substr(at + 8, length);
    if (type == "tEXt" || type == "zTXt" || type == "iTXt") words.text += chunkText(type, data) + "\n";
    if (type == "eXIf") pieces.push_back(exif(data, part + "EXIF"));
    at += 12 + length;
    if (type == "IEND") break;
  }
  if (at < bytes.size()) words.text += bytes.substr(at);  // what was hung on behind the picture
  pieces.push_back(std::move(words));
  return pieces;
}

std::vector<Piece> jpegPieces(std::string_view bytes, const std::string& part) {
  std::vector<Piece> pieces;
  Piece words{.part = part + "JPEG comments and application data", .text = {}, .bytes = {}, .lon_lat = {}, .fault = {}};
  std::size_t at = 2;
  while (at + 4 <= bytes.size() && bytes[at] == '\xFF') {
    const auto marker = static_cast<unsigned char>(bytes[at + 1]);
    if (marker == 0xDA || marker == 0xD9) break;  // pixels begin
    const std::size_t length = bigNumber(bytes, at + 2, 2);
    const std::string_view data = bytes.substr(at + 4, length > 2 ? length - 2 : 0);
    if (marker == 0xE1 && data.starts_with(std::string_view("Exif\0\0", 6))) pieces.push_back(exif(data.substr(6), part + "EXIF"));
    else if ((marker >= 0xE0 && marker <= 0xEF) || marker == 0xFE) words.text += std::string(data) + "\n";
    at += 2 + std::max<std::size_t>(length, 2);
  }
  if (const std::size_t end = bytes.rfind("\xFF\xD9"); end != std::string_view::npos) words.text += bytes.substr(end + 2);
  pieces.push_back(std::move(words));
  return pieces;
}

bool isTiff(std::string_view bytes) { return bytes.starts_with(std::string_view("II*\0", 4)) || bytes.starts_with(std::string_view("MM\0*", 4)); }

}  // namespace

bool isPicture(const std::string& bytes) { return bytes.starts_with("\x89PNG\r\n\x1A\n") || bytes.starts_with("\xFF\xD8\xFF") || isTiff(bytes); }

std::vector<Piece> picturePieces(const std::string& bytes, const std::string& part) {
  if (bytes.starts_with("\x89PNG")) return pngPieces(bytes, part);
  if (isTiff(bytes)) return {exif(bytes, part + "TIFF tags")};
  return jpegPieces(bytes, part);
}

}  // namespace leeward::study
