#pragma once
/// Files: outputs are written beside their place and renamed in; temporary files are private (0600).
#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

#include "shared/base/result.h"

namespace leeward {

/// Whole content. NotFound, Io, or ResourceExhausted over `largest` bytes.
Result<std::string> readFile(const std::filesystem::path& file, std::uintmax_t largest = 2'000'000'000);

/// Calls write(temporary) with a fresh name in the same folder (same extension), then renames it to `file`.
/// On failure the temporary is removed and `file` is as it was. The folder must exist.
/// owner_only: the file gets mode 0600 (crew outputs, ledgers), else 0666 less the umask.
Result<void> writeBeside(const std::filesystem::path& file,
                         const std::function<Result<void>(const std::filesystem::path& temporary)>& write, bool owner_only = false);
Result<void> writeFile(const std::filesystem::path& file, std::string_view content, bool owner_only = false);

/// Removes temporaries that an earlier, killed run left in `folder`.
void removeLeftovers(const std::filesystem::path& folder);

/// A private folder under the system's temporary folder, removed with everything in it at the end.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

}  // namespace leeward
