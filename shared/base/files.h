#pragma once
/// Files: outputs are written beside their place and renamed in; temporary files are private (0600).
#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

#include "shared/base/progress.h"
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

/// Whether a file lies on another machine (NFS, SMB, AFS, 9P, FUSE mounts such as SSHFS), by the kind of its file system.
bool liesElsewhere(const std::filesystem::path& file);

/// Removes temporaries that an earlier, killed run left in `folder`: those whose process is gone, and those older than a day (a number
/// of a process may have been given to another since). What a running program is writing stays.
void removeLeftovers(const std::filesystem::path& folder);

/// Only one program at a time holds a folder's lock: for work of several steps that two must not do at once. Nothing is written into
/// the folder, and the lock ends with the program, however that ends.
class FolderLock {
 public:
  /// Waits until the folder is free. Cancelled on a stop; Io if the folder can't be opened or is still held after ten minutes.
  static Result<FolderLock> wait(const std::filesystem::path& folder, Progress& progress);
  FolderLock(FolderLock&& other) noexcept;
  FolderLock& operator=(FolderLock&&) = delete;
  ~FolderLock();

 private:
  explicit FolderLock(int descriptor) : descriptor_(descriptor) {}
  int descriptor_;
};

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
