// What a file is: by its content first, by its name second, and by an archive's directory.
#include <algorithm>
#include <array>
#include <fstream>
#include <optional>

#include <cpl_vsi.h>
#include <fmt/format.h>

#include "shared/base/text.h"
#include "shared/layer/archive.h"
#include "shared/layer/drivers.h"

namespace leeward::gdal {
namespace fs = std::filesystem;
namespace {

constexpr const char* kReadable =
    "CSV, XLSX, ODS, GeoPackage, GeoJSON, Shapefile, FlatGeobuf, GPX, KML, KMZ and file geodatabase; rasters as GeoTIFF or ASCII grid; pictures as JPEG";

Problem badFile(const fs::path& file, std::string what, std::string mend) {
  return {ProblemCode::BadData, std::move(what), file.string(), std::move(mend)};
}
Problem unsupported(const fs::path& file, std::string what, std::string mend) {
  return {ProblemCode::Unsupported, std::move(what), file.string(), std::move(mend)};
}

std::string startOf(const fs::path& file, std::size_t length) {
  std::string bytes(length, '\0');
  std::ifstream in(file, std::ios::binary);
  in.read(bytes.data(), static_cast<std::streamsize>(length));
  bytes.resize(static_cast<std::size_t>(in.gcount()));
  return bytes;
}

std::string extensionOf(const std::string& name) { return lowerAscii(fs::path(name).extension().string()); }

bool isTextName(const std::string& extension) {
  return extension == ".csv" || extension == ".tsv" || extension == ".txt" || extension == ".tab" || extension == ".psv";
}

std::string packedPath(const fs::path& file, const std::string& inside) { return "/vsizip/{" + fs::absolute(file).string() + "}/" + inside; }

/// Reads a packed file piece by piece: its XML must be harmless, and it must not be longer than the directory says, since
/// readers go on to the end of the stream.
Result<void> checkPacked(const fs::path& file, const ArchiveEntry& entry) {
  const Messages quiet;
  VSILFILE* in = VSIFOpenL(packedPath(file, entry.name).c_str(), "rb");
  if (in == nullptr) return badFile(file, "the archive is cut off or damaged", "Save or download it again");
  std::string piece(1U << 20U, '\0');
  std::uint64_t read = 0;
  Result<void> checked;
  while (checked.ok() && read <= entry.unpacked) {
    const std::size_t got = VSIFReadL(piece.data(), 1, piece.size(), in);
    if (got == 0) break;
    if (read == 0) {
      if (auto root = xmlRoot(std::string_view(piece).substr(0, got), file.string() + ", " + entry.name); !root) checked = std::move(root).problem();
    }
    read += got;
    constexpr std::uint64_t kMostPacking = 1032;  // no deflated byte makes more (zlib's technical details)
    if (entry.packed * kMostPacking <= kSmallEnough) break;  // can't grow beyond what is harmless
  }
  VSIFCloseL(in);
  if (checked.ok() && read > entry.unpacked) {
    return Problem{ProblemCode::ResourceExhausted, "the archive says less of its size than it unpacks to, as no honest file does", file.string() + ", " + entry.name,
                   "Don't use it unless you know where it comes from"};
  }
  return checked;
}

/// Workbooks and KMZ are held in memory: all their XML is looked through first.
Result<Found> heldInMemory(const fs::path& file, Format format, std::string path, const std::vector<ArchiveEntry>& entries) {
  LEEWARD_TRY(checkUnpacked(file, entries, kMostInMemory));
  prepare();
  for (const auto& entry : entries) {
    const std::string extension = extensionOf(entry.name);
    if (extension == ".xml" || extension == ".rels" || extension == ".kml") LEEWARD_TRY(checkPacked(file, entry));
  }
  return Found{format, std::move(path), {}};
}

/// The part of an entry's path that GDAL opens, if it is one that can be read packed: a file, or the folder of a geodatabase.
std::pair<std::string, Format> packedLayer(const std::string& name) {
  if (name.starts_with("__MACOSX/") || fs::path(name).filename().string().starts_with("._")) return {};
  if (const std::size_t folder = lowerAscii(name).find(".gdb/"); folder != std::string::npos) return {name.substr(0, folder + 4), Format::FileGdb};
  static constexpr std::array<std::pair<const char*, Format>, 7> kByName = {{{".shp", Format::Shapefile},
                                                                            {".geojson", Format::GeoJson},
                                                                            {".json", Format::GeoJson},
                                                                            {".gpkg", Format::GeoPackage},
                                                                            {".fgb", Format::FlatGeobuf},
                                                                            {".gpx", Format::Gpx},
                                                                            {".kml", Format::Kml}}};
  for (const auto& [ending, format] : kByName) {
    if (extensionOf(name) == ending) return {name, format};
  }
  return {};
}

Result<Found> recogniseArchive(const Source& source) {
  const fs::path& file = source.file;
  LEEWARD_ASSIGN(entries, archiveEntries(file));
  const auto holds = [&](std::string_view name) { return std::ranges::find(entries, name, &ArchiveEntry::name) != entries.end(); };
  const std::string absolute = fs::absolute(file).string();
  if (holds("xl/workbook.xml")) return heldInMemory(file, Format::Xlsx, "XLSX:" + absolute, entries);
  if (holds("content.xml") && holds("mimetype")) return heldInMemory(file, Format::Ods, "ODS:" + absolute, entries);
  if (holds("xl/workbook.bin")) return unsupported(file, "this workbook is of the binary kind", "Save it as .xlsx or as CSV");
  if (holds("doc.kml")) return heldInMemory(file, Format::Kml, packedPath(file, "doc.kml"), entries);

  std::vector<std::pair<std::string, Format>> layers;
  for (const auto& entry : entries) {
    auto layer = packedLayer(entry.name);
    if (!layer.first.empty() && std::ranges::find(layers, layer) == layers.end()) layers.push_back(std::move(layer));
  }
  if (layers.empty()) {
    std::vector<std::string> names;
    for (const auto& entry : entries) {
      if (names.size() < 8) names.push_back(entry.name);
    }
    return unsupported(file, "this is an archive without a layer that can be read packed; it holds " + (names.empty() ? "nothing" : join(names, ", ")),
                       "Unpack it and name a file in it");
  }
  std::vector<std::string> names;
  for (const auto& [path, format] : layers) names.push_back(fs::path(path).stem().string());
  std::size_t chosen = 0;
  if (layers.size() > 1) {
    chosen = static_cast<std::size_t>(std::ranges::find(names, source.layer) - names.begin());
    if (source.layer.empty()) return Found{layers.front().second, "", names};
    if (chosen == layers.size()) {
      return Problem{ProblemCode::NotFound, fmt::format("there is no layer \"{}\"", source.layer), file.string(), "It has \"" + join(names, "\", \"") + "\""};
    }
  }
  const auto& [inside, format] = layers[chosen];
  if (format == Format::Kml || format == Format::Gpx) {
    LEEWARD_ASSIGN(found, heldInMemory(file, format, packedPath(file, inside), entries));
    if (format == Format::Gpx) {
      for (const auto& entry : entries) {
        if (entry.name == inside) LEEWARD_TRY(checkPacked(file, entry));
      }
    }
    return found;
  }
  LEEWARD_TRY(checkUnpacked(file, entries, format == Format::GeoJson ? kMostInMemory : kMostStreamed));
  return Found{format, packedPath(file, inside), layers.size() > 1 ? names : std::vector<std::string>{}};
}

/// XML by its outermost element.
Result<Found> recogniseXml(const fs::path& file) {
  LEEWARD_ASSIGN(root, xmlRoot(startOf(file, kXmlStart), file.string()));
  const std::string absolute = fs::absolute(file).string();
  const std::string name = lowerAscii(root);
  if (name == "gpx") return Found{Format::Gpx, absolute, {}};
  if (name == "kml") return Found{Format::Kml, absolute, {}};
  if (name == "html") return badFile(file, "this is a web page, not data", "The download may have ended on a page of its own: download the file itself");
  return unsupported(file, fmt::format("this kind of XML (<{}>) can't be read", root.substr(0, 40)), fmt::format("Convert it; what can be read: {}", kReadable));
}

/// Newline-delimited features: a whole object in the first line, and another one in the second.
bool isFeatureALine(const fs::path& file) {
  const std::string start = startOf(file, 1U << 18U);
  const std::string_view text = trim(start);
  const std::size_t end = text.find('\n');
  if (end == std::string_view::npos) return false;
  return trim(text.substr(0, end)).ends_with('}') && trim(text.substr(end)).starts_with('{');
}

/// Formats that say what they are in their first bytes.
using Known = std::optional<Format>;
Result<Known> byFirstBytes(const fs::path& file, std::string_view start, const std::string& extension) {
  if (start.starts_with("SQLite format 3")) return Known(Format::GeoPackage);
  if (start.starts_with("fgb")) return Known(Format::FlatGeobuf);
  if (start.starts_with("\xFF\xD8\xFF")) return Known(Format::Jpeg);
  if (start.starts_with(std::string_view("\0\0\x27\x0A", 4))) {
    if (extension == ".shp") return Known(Format::Shapefile);
    return badFile(file, "this is a part of a shapefile", "Name the .shp");
  }
  if (start.starts_with("II*") || start.starts_with(std::string_view("MM\0*", 4)) || start.starts_with("II+")) return Known(Format::GeoTiff);
  if (start.starts_with("\xD0\xCF\x11\xE0")) {
    return unsupported(file, "this workbook is of the old kind or locked by a password", "Save it as .xlsx without a password, or as CSV");
  }
  if (start.starts_with("\x1F\x8B")) return unsupported(file, "this file is packed (gzip)", "Unpack it and name what was in it");
  if (start.size() > 12 && start.substr(4, 4) == "ftyp" && (start.substr(8, 3) == "hei" || start.substr(8, 3) == "mif" || start.substr(8, 3) == "hev")) {
    return unsupported(file, "this is a picture of the HEIC kind", "Save it as JPEG (a phone's camera settings offer it as most compatible)");
  }
  std::string_view text = start;
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  text = trim(text);
  if (text.starts_with('{')) return Known(isFeatureALine(file) ? Format::GeoJsonLines : Format::GeoJson);
  if (lowerAscii(text.substr(0, 5)) == "ncols") return Known(Format::AsciiGrid);
  return Known();
}

bool isXml(std::string_view start) {
  if (start.starts_with("\xFF\xFE<") || start.starts_with(std::string_view("\xFE\xFF\0<", 4))) return true;
  if (start.starts_with("\xEF\xBB\xBF")) start.remove_prefix(3);
  return trim(start).starts_with('<');
}

}  // namespace

const char* nameOf(Format format) {
  static constexpr std::array<const char*, 14> kNames = {"CSV", "XLSX", "ODS", "GeoPackage", "GeoJSON", "GeoJSON (a feature a line)", "Shapefile", "FlatGeobuf", "GPX", "KML",
                                                         "file geodatabase", "GeoTIFF", "ASCII grid", "JPEG"};
  return kNames[static_cast<std::size_t>(format)];
}

const char* driverOf(Format format) {
  static constexpr std::array<const char*, 14> kDrivers = {nullptr, "XLSX", "ODS", "GPKG", "GeoJSON", "GeoJSONSeq", "ESRI Shapefile", "FlatGeobuf", "GPX", "LIBKML",
                                                           "OpenFileGDB", "GTiff", "AAIGrid", "JPEG"};
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
  if (fs::is_directory(source.file, error)) {
    if (source.file.filename().empty()) source.file = source.file.parent_path();
    if (extensionOf(source.file.string()) == ".gdb") return source;
    return badFile(source.file, "this is a folder, not a file", "Name a file in it");
  }
  if (!fs::is_regular_file(source.file, error)) return badFile(source.file, "this is no ordinary file but a pipe or a device", "Save what comes from it in a file first");
  if (fs::file_size(source.file, error) == 0) return badFile(source.file, "the file is empty", "Save or download it again");
  return source;
}

bool isText(const fs::path& file) {
  const std::string extension = extensionOf(file.string());
  if (isTextName(extension)) return true;
  static constexpr std::array<const char*, 14> kOthers = {".xlsx", ".xlsm", ".ods", ".gpkg", ".geojson", ".json", ".shp", ".dbf", ".fgb", ".gpx", ".kml", ".kmz", ".tif", ".zip"};
  if (std::ranges::find(kOthers, extension) != kOthers.end()) return false;
  const std::string start = startOf(file, 4096);
  const std::string_view line = std::string_view(start).substr(0, start.find_first_of("\r\n"));
  if (start.empty() || isXml(start) || trim(start).starts_with('{') || lowerAscii(start.substr(0, 5)) == "ncols") return false;
  const bool control = std::ranges::any_of(start, [](char c) { return static_cast<unsigned char>(c) < 9; });
  return !control && line.size() < start.size() && line.find_first_of(",;\t|") != std::string_view::npos && !start.starts_with("%PDF");
}

Result<Found> recognise(const Source& source) {
  const fs::path& file = source.file;
  const std::string absolute = fs::absolute(file).string();
  std::error_code error;
  if (fs::is_directory(file, error)) return Found{Format::FileGdb, absolute, {}};
  if (isText(file)) return Found{Format::Csv, absolute, {}};
  const std::string extension = extensionOf(file.string());
  const std::string start = startOf(file, 64);
  if (start.starts_with("PK\x03\x04") || start.starts_with("PK\x05\x06")) return recogniseArchive(source);
  LEEWARD_ASSIGN(known, byFirstBytes(file, start, extension));
  if (known) return Found{*known, absolute, {}};
  if (isXml(start)) return recogniseXml(file);
  if (extension == ".dbf") {
    if (fs::exists(fs::path(file).replace_extension(".shp"), error)) return badFile(file, "this is a part of a shapefile", "Name the .shp");
    return Found{Format::Shapefile, absolute, {}};
  }
  if (extension == ".xlsx" || extension == ".xlsm" || extension == ".ods") {
    return badFile(file, "this is no workbook, though its name says so", "If it is text, give it the name .csv; else save it again as .xlsx");
  }
  static constexpr std::array<std::pair<const char*, Format>, 10> kByName = {{{".gpkg", Format::GeoPackage},
                                                                              {".geojson", Format::GeoJson},
                                                                              {".json", Format::GeoJson},
                                                                              {".shp", Format::Shapefile},
                                                                              {".fgb", Format::FlatGeobuf},
                                                                              {".gpx", Format::Gpx},
                                                                              {".kml", Format::Kml},
                                                                              {".tif", Format::GeoTiff},
                                                                              {".jpg", Format::Jpeg},
                                                                              {".jpeg", Format::Jpeg}}};
  for (const auto& [name, format] : kByName) {
    if (extension == name) {
      return badFile(file, fmt::format("this is no {} file, though its name says so", nameOf(format)), "Save or download it again");
    }
  }
  return unsupported(file, "this kind of file can't be read", fmt::format("Convert it; what can be read: {}", kReadable));
}

}  // namespace leeward::gdal
