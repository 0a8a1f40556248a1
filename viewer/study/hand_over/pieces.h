#pragma once
/// A finished file taken apart for the leak check: every text and every run of bytes that a reader could get out of it.
///
/// By content: text of any kind, XML and HTML (with and without their tags, entities read), JSON (escapes read), iCalendar (long lines joined), data
/// embedded in base64; ZIP packages (workbooks and the like) member by member; SQLite and GeoPackage with their free pages, as bytes; PNG, JPEG and
/// TIFF by their metadata (text, comments, XMP, EXIF; not the pixels); PDF through `read_pdf`. Anything else as bytes.
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "shared/base/result.h"
#include "shared/geo/geometry.h"

namespace leeward::study {

struct Piece {
  std::string part;   ///< "page 2", "xl/sharedStrings.xml"; "" = the file itself
  std::string text;   ///< to be read as words
  std::string bytes;  ///< to be looked through for numbers
  std::vector<Point> lon_lat;  ///< positions that the format itself states (EXIF)
  std::string fault;  ///< what must not be there at all, or can't be looked through: "a thumbnail"
};

using ReadPdf = std::function<Result<std::vector<Piece>>(const std::filesystem::path& file)>;
Result<std::vector<Piece>> piecesOf(const std::filesystem::path& file, const ReadPdf& read_pdf);

/// What embedded bytes hold (an attachment, a base64 picture), by content; ZIPs and PDFs within files are faults.
std::vector<Piece> piecesOfBytes(const std::string& bytes, const std::string& part);
/// Metadata of a PNG, JPEG or TIFF.
std::vector<Piece> picturePieces(const std::string& bytes, const std::string& part);
bool isPicture(const std::string& bytes);

}  // namespace leeward::study
