#pragma once
/// What lies in a ZIP, and whether it may be opened: read from its own directory, before anything is unpacked.
/// For shared/layer/*.cpp only.
#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/result.h"

namespace leeward::gdal {

struct ArchiveEntry {
  std::string name;            ///< with '/' between folders, as it stands there
  std::uint64_t packed = 0;    ///< bytes
  std::uint64_t unpacked = 0;  ///< bytes, as the directory says; readers stop there
};

/// Limits (importers/FORMATS.md states them).
constexpr std::size_t kMostEntries = 10'000;
constexpr std::uint64_t kMostInMemory = 2'000'000'000;  ///< unpacked, of what is held in memory: workbooks, KMZ
constexpr std::uint64_t kMostStreamed = 8'000'000'000;  ///< unpacked, of what is read piece by piece: shapefiles, geodatabases
constexpr std::uint64_t kSmallEnough = 100'000'000;     ///< unpacked bytes that may be packed at any ratio
constexpr std::uint64_t kMostRatio = 150;               ///< unpacked / packed; tables reach some 60

/// The files (folders left out) of a ZIP, ZIP64 too, in its order. Nothing is unpacked.
/// BadData: no directory, cut off, a size beyond the file, paths that lead out of the archive. Unsupported: locked by a
/// password. ResourceExhausted: more than kMostEntries.
/// Source: APPNOTE.TXT 6.3.9, 4.3.12 to 4.3.16, 4.5.3 (PKWARE).
Result<std::vector<ArchiveEntry>> archiveEntries(const std::filesystem::path& file);
/// ResourceExhausted if all together unpack to more than `most` bytes, or to over kSmallEnough at more than kMostRatio.
Result<void> checkUnpacked(const std::filesystem::path& file, const std::vector<ArchiveEntry>& entries, std::uint64_t most);

/// The name of the outermost element, without its prefix, from the first bytes of an XML file ("" if that is no XML).
/// BadData if the file declares a document type: entities of its own can blow a small file up to gigabytes, and no
/// file of the kinds that are read needs one. Also if there is no element within these bytes.
Result<std::string> xmlRoot(std::string_view start, const std::string& where);
constexpr std::size_t kXmlStart = 65'536;  ///< bytes to hand to xmlRoot

}  // namespace leeward::gdal
