#include "tests/support/data.h"

namespace leeward::test {

std::filesystem::path sourceFolder() { return LEEWARD_SOURCE_DIR; }

std::optional<std::filesystem::path> outsideData() {
  const auto folder = sourceFolder().parent_path() / "shared";
  if (!std::filesystem::exists(folder / "checks") || !std::filesystem::exists(folder / "data")) return std::nullopt;
  return folder;
}

}  // namespace leeward::test
