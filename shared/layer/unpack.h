#pragma once
/// What lies packed in a file, as bytes: for looking through finished files.
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "shared/base/result.h"

namespace leeward {

struct PackedFile {
  std::string name;
  std::string bytes;
};
/// All members of a ZIP. BadData, Unsupported, ResourceExhausted as for archives that are read (over 2 GB unpacked).
Result<std::vector<PackedFile>> unpackZip(const std::filesystem::path& file);
/// A zlib stream unpacked; nothing if it is none or makes more than 64 MB.
std::optional<std::string> inflated(std::string_view bytes);

}  // namespace leeward
