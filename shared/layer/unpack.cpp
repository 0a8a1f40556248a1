#include "shared/layer/unpack.h"

#include <cpl_conv.h>
#include <cpl_vsi.h>

#include "shared/layer/archive.h"
#include "shared/layer/drivers.h"

namespace leeward {

Result<std::vector<PackedFile>> unpackZip(const std::filesystem::path& file) {
  LEEWARD_ASSIGN(entries, gdal::archiveEntries(file));
  LEEWARD_TRY(gdal::checkUnpacked(file, entries, gdal::kMostInMemory));
  const gdal::Messages quiet;
  std::vector<PackedFile> files;
  for (const auto& entry : entries) {
    const std::string path = "/vsizip/{" + std::filesystem::absolute(file).string() + "}/" + entry.name;
    VSILFILE* in = VSIFOpenL(path.c_str(), "rb");
    if (in == nullptr) return Problem{ProblemCode::BadData, "the archive is cut off or damaged", file.string(), "Save it again"};
    PackedFile one{entry.name, std::string(entry.unpacked, '\0')};
    one.bytes.resize(VSIFReadL(one.bytes.data(), 1, one.bytes.size(), in));
    VSIFCloseL(in);
    files.push_back(std::move(one));
  }
  return files;
}

std::optional<std::string> inflated(std::string_view bytes) {
  constexpr std::size_t kMost = 64U << 20U;
  for (std::size_t room = std::max<std::size_t>(bytes.size() * 8, 4096); room <= kMost; room *= 4) {
    std::string out(room, '\0');
    std::size_t made = 0;
    if (CPLZLibInflate(bytes.data(), bytes.size(), out.data(), out.size(), &made) == nullptr) continue;
    out.resize(made);
    return out;
  }
  return std::nullopt;
}

}  // namespace leeward
