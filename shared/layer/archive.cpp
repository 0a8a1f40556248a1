#include "shared/layer/archive.h"

#include <algorithm>
#include <fstream>
#include <optional>

#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::gdal {
namespace fs = std::filesystem;
namespace {

constexpr std::uint64_t kMostDirectory = 8'000'000;  ///< bytes: kMostEntries with names of some 800 bytes

Problem brokenArchive(const fs::path& file) {
  return {ProblemCode::BadData, "the archive is cut off or damaged", file.string(), "Save or download it again"};
}

/// Little-endian; the caller has checked the length.
std::uint64_t number(std::string_view bytes, std::size_t at, std::size_t length) {
  std::uint64_t value = 0;
  for (std::size_t i = length; i-- > 0;) value = value << 8U | static_cast<unsigned char>(bytes[at + i]);
  return value;
}

std::optional<std::string> bytesAt(std::ifstream& in, std::uint64_t at, std::uint64_t length) {
  std::string bytes(length, '\0');
  in.clear();
  in.seekg(static_cast<std::streamoff>(at));
  in.read(bytes.data(), static_cast<std::streamsize>(length));
  if (static_cast<std::uint64_t>(in.gcount()) != length) return std::nullopt;
  return bytes;
}

struct Directory {
  std::uint64_t entries = 0, size = 0, at = 0;
};

/// From the end record, or from the one of ZIP64 in front of it.
std::optional<Directory> directoryOf(std::ifstream& in, std::uint64_t file_size) {
  constexpr std::uint64_t kEnd = 22, kLongestComment = 65'535, kLocator = 20, kEnd64 = 56;
  if (file_size < kEnd) return std::nullopt;
  const std::uint64_t length = std::min(file_size, kEnd + kLongestComment + kLocator);
  const auto tail = bytesAt(in, file_size - length, length);
  if (!tail) return std::nullopt;
  const std::size_t end = tail->rfind(std::string_view("PK\x05\x06", 4));
  if (end == std::string::npos || end + kEnd > tail->size()) return std::nullopt;
  Directory directory{number(*tail, end + 10, 2), number(*tail, end + 12, 4), number(*tail, end + 16, 4)};
  if (end < kLocator || tail->compare(end - kLocator, 4, std::string_view("PK\x06\x07", 4)) != 0) return directory;
  const auto long_end = bytesAt(in, number(*tail, end - kLocator + 8, 8), kEnd64);
  if (!long_end || !long_end->starts_with(std::string_view("PK\x06\x06", 4))) return std::nullopt;
  return Directory{number(*long_end, 32, 8), number(*long_end, 40, 8), number(*long_end, 48, 8)};
}

/// Sizes of four bytes that are all ones stand in the extra field of ZIP64 instead.
bool takeLongSizes(std::string_view extra, ArchiveEntry& entry) {
  constexpr std::uint64_t kElsewhere = 0xFFFFFFFF;
  if (entry.packed != kElsewhere && entry.unpacked != kElsewhere) return true;
  for (std::size_t at = 0; at + 4 <= extra.size();) {
    const std::size_t length = number(extra, at + 2, 2);
    if (at + 4 + length > extra.size()) return false;
    if (number(extra, at, 2) == 1) {
      std::size_t next = at + 4;
      for (std::uint64_t* size : {&entry.unpacked, &entry.packed}) {
        if (*size != kElsewhere) continue;
        if (next + 8 > at + 4 + length) return false;
        *size = number(extra, next, 8);
        next += 8;
      }
      return true;
    }
    at += 4 + length;
  }
  return false;
}

bool leadsOut(std::string_view name) {
  if (name.starts_with('/') || name.find('\\') != std::string_view::npos || name.find('\0') != std::string_view::npos) return true;
  if (name.size() > 1 && name[1] == ':') return true;
  const auto parts = split(name, '/');
  return std::ranges::find(parts, "..") != parts.end();
}

Problem tooMuch(const fs::path& file, std::string what, std::string mend) {
  return {ProblemCode::ResourceExhausted, std::move(what), file.string(), std::move(mend)};
}

}  // namespace

Result<std::vector<ArchiveEntry>> archiveEntries(const fs::path& file) {
  constexpr std::size_t kHead = 46;
  std::error_code error;
  const std::uint64_t file_size = fs::file_size(file, error);
  std::ifstream in(file, std::ios::binary);
  if (error || !in) return Problem{ProblemCode::Io, "the file can't be read", file.string(), "Check its permissions"};
  const auto directory = directoryOf(in, file_size);
  if (!directory || directory->size > file_size || directory->at > file_size - directory->size) return brokenArchive(file);
  if (directory->entries > kMostEntries || directory->size > kMostDirectory) {
    return tooMuch(file, fmt::format("the archive holds {} files; up to {} are taken", formatCount(static_cast<std::int64_t>(directory->entries)),
                                     formatCount(static_cast<std::int64_t>(kMostEntries))),
                   "Unpack it and name the file that is needed");
  }
  const auto bytes = bytesAt(in, directory->at, directory->size);
  if (!bytes) return brokenArchive(file);
  std::vector<ArchiveEntry> entries;
  std::uint64_t packed = 0;
  std::size_t at = 0;
  for (std::uint64_t i = 0; i < directory->entries; ++i) {
    if (at + kHead > bytes->size() || bytes->compare(at, 4, std::string_view("PK\x01\x02", 4)) != 0) return brokenArchive(file);
    const std::size_t name_size = number(*bytes, at + 28, 2);
    const std::size_t extra_size = number(*bytes, at + 30, 2);
    const std::size_t comment_size = number(*bytes, at + 32, 2);
    if (at + kHead + name_size + extra_size + comment_size > bytes->size()) return brokenArchive(file);
    ArchiveEntry entry{bytes->substr(at + kHead, name_size), number(*bytes, at + 20, 4), number(*bytes, at + 24, 4)};
    if (!takeLongSizes(std::string_view(*bytes).substr(at + kHead + name_size, extra_size), entry)) return brokenArchive(file);
    if ((number(*bytes, at + 8, 2) & 1U) != 0) {
      return Problem{ProblemCode::Unsupported, "the archive is locked by a password", file.string(), "Save it again without one"};
    }
    if (leadsOut(entry.name)) {
      return Problem{ProblemCode::BadData, "the archive holds a path that leads out of it", fmt::format("{}, {}", file.string(), entry.name.substr(0, 80)),
                     "Don't use it; ask for it from where it came"};
    }
    packed += entry.packed;
    if (entry.packed > file_size || packed > file_size) return brokenArchive(file);  // parts that overlap, too
    at += kHead + name_size + extra_size + comment_size;
    if (!entry.name.ends_with('/')) entries.push_back(std::move(entry));
  }
  return entries;
}

Result<void> checkUnpacked(const fs::path& file, const std::vector<ArchiveEntry>& entries, std::uint64_t most) {
  std::uint64_t packed = 0, unpacked = 0;
  for (const auto& entry : entries) {
    packed += entry.packed;
    unpacked += std::min(entry.unpacked, most + 1);  // the sum of kMostEntries of these doesn't overflow
  }
  if (unpacked > most) {
    return tooMuch(file, fmt::format("it unpacks to more than {} GB", most / 1'000'000'000), "Save what is needed of it as CSV or GeoPackage");
  }
  if (unpacked > kSmallEnough && unpacked / kMostRatio > packed) {
    return tooMuch(file, fmt::format("it unpacks to {} MB, over {} times its size, as no honest table does", unpacked / 1'000'000, kMostRatio),
                   "Don't use it unless you know where it comes from; save what is needed of it as CSV");
  }
  return {};
}

Result<std::string> xmlRoot(std::string_view start, const std::string& where) {
  std::string text(start.substr(0, kXmlStart));
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) text.erase(0, 2);
  std::erase(text, '\0');  // UTF-16: what matters here is ASCII
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  std::size_t at = text.find_first_not_of(" \t\r\n");
  if (at == std::string::npos || text[at] != '<') return std::string{};
  const auto skip = [&](std::string_view opening, std::string_view closing) {
    if (text.compare(at, opening.size(), opening) != 0) return false;
    const std::size_t end = text.find(closing, at);
    at = end == std::string::npos ? end : text.find_first_not_of(" \t\r\n", end + closing.size());
    return true;
  };
  while (at != std::string::npos) {
    if (skip("<?", "?>") || skip("<!--", "-->")) continue;
    if (text.compare(at, 2, "<!") == 0) {
      const std::string words = lowerAscii(text.substr(at, 16));
      if (words.starts_with("<!doctype html")) return std::string("html");
      return Problem{ProblemCode::BadData, "the file declares a document type, whose entities can blow it up beyond all memory", where,
                     "Don't use it unless you know where it comes from; save it again without <!DOCTYPE ...>"};
    }
    const std::size_t end = text.find_first_of(" \t\r\n/>", at + 1);
    if (text[at] != '<' || end == std::string::npos) break;
    const std::string name = text.substr(at + 1, end - at - 1);
    return name.substr(name.find(':') + 1);  // npos + 1 is 0
  }
  return Problem{ProblemCode::BadData, "no XML element begins within the first 64 kB", where, "Save or download the file again"};
}

}  // namespace leeward::gdal
