#include "shared/base/files.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <thread>
#include <utility>

#include <fcntl.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/vfs.h>
#include <unistd.h>

#include <fmt/format.h>

#include "shared/base/hash.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view kMark = ".leeward-part-";

fs::path temporaryBeside(const fs::path& file) {
  return file.parent_path() / fmt::format("{}{}-{}{}", kMark, ::getpid(), newUuid().substr(19, 17), file.extension().string());
}

Problem io(const fs::path& file, std::string what) {
  return {ProblemCode::Io, std::move(what) + " (" + std::strerror(errno) + ")", file.string(), "Check that the folder exists, may be written and has room"};
}

}  // namespace

Result<std::string> readFile(const fs::path& file, std::uintmax_t largest) {
  std::error_code error;
  if (!fs::exists(file, error)) return Problem{ProblemCode::NotFound, "there is no such file", file.string(), "Check the name and the folder"};
  if (fs::is_directory(file, error)) return Problem{ProblemCode::BadData, "this is a folder, not a file", file.string(), "Name a file in it"};
  const auto size = fs::file_size(file, error);
  if (!error && size > largest) return Problem{ProblemCode::ResourceExhausted, fmt::format("the file is larger than {} bytes", largest), file.string(), "Split it"};
  std::ifstream in(file, std::ios::binary);
  if (!in) return Problem{ProblemCode::Io, "the file can't be read", file.string(), "Check its permissions"};
  std::string content(error ? 0 : size, '\0');
  in.read(content.data(), static_cast<std::streamsize>(content.size()));
  content.resize(static_cast<std::size_t>(in.gcount()));
  if (in) content.append(std::istreambuf_iterator<char>(in), {});  // longer than its size said (a pipe, a file that grows)
  if (in.bad()) return Problem{ProblemCode::Io, "reading failed in the middle of the file", file.string(), "Check the disk"};
  return content;
}

Result<void> writeBeside(const fs::path& file, const std::function<Result<void>(const fs::path&)>& write, bool owner_only) {
  const fs::path temporary = temporaryBeside(file);
  const auto clean = [&] {
    std::error_code ignored;
    fs::remove(temporary, ignored);
  };
  const int made = ::open(temporary.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, owner_only ? 0600 : 0666);
  if (made < 0) return io(file, "the file can't be written");
  ::close(made);
  if (auto written = write(temporary); !written) {
    clean();
    return written;
  }
  std::error_code error;
  if (owner_only) fs::permissions(temporary, fs::perms::owner_read | fs::perms::owner_write, error);
  if (::rename(temporary.c_str(), file.c_str()) != 0) {
    auto problem = io(file, "the finished file can't be put in its place");
    clean();
    return problem;
  }
  return {};
}

Result<void> writeFile(const fs::path& file, std::string_view content, bool owner_only) {
  return writeBeside(
      file,
      [&](const fs::path& temporary) -> Result<void> {
        std::ofstream out(temporary, std::ios::binary | std::ios::trunc);
        out.write(content.data(), static_cast<std::streamsize>(content.size()));
        out.close();
        if (!out) return io(file, "writing failed");
        return {};
      },
      owner_only);
}

bool liesElsewhere(const fs::path& file) {
  // The numbers of statfs(2): NFS, SMB, CIFS, SMB2, FUSE, 9P, AFS (two), Coda, Ceph, NCP.
  constexpr std::array<std::uint32_t, 11> kElsewhere = {0x6969, 0x517B, 0xFF534D42, 0xFE534D42, 0x65735546, 0x01021997, 0x5346414F, 0x6B414653, 0x73757245, 0x00C36400, 0x564C};
  struct statfs about {};
  if (::statfs(file.c_str(), &about) != 0) return false;
  return std::ranges::find(kElsewhere, static_cast<std::uint32_t>(about.f_type)) != kElsewhere.end();
}

void removeLeftovers(const fs::path& folder) {
  constexpr auto kLongest = std::chrono::hours(24);
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with(kMark)) continue;
    const auto process = static_cast<pid_t>(std::atol(name.c_str() + kMark.size()));
    const bool lives = process > 0 && (::kill(process, 0) == 0 || errno == EPERM);
    const auto written = entry.last_write_time(error);
    if (!lives || (!error && fs::file_time_type::clock::now() - written > kLongest)) fs::remove(entry.path(), error);
  }
}

Result<FolderLock> FolderLock::wait(const fs::path& folder, Progress& progress) {
  constexpr auto kPause = std::chrono::milliseconds(50);
  constexpr auto kLongest = std::chrono::minutes(10);
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return io(folder, "the folder can't be opened");
  FolderLock lock(descriptor);
  const auto start = std::chrono::steady_clock::now();
  while (::flock(descriptor, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EWOULDBLOCK && errno != EINTR) return lock;  // a file system without locks: better to work than not
    LEEWARD_TRY(progress.checkStop());
    progress.report(0, "Waiting for another Leeward that works on this study");
    if (std::chrono::steady_clock::now() - start > kLongest) {
      return Problem{ProblemCode::Io, "another Leeward has been working on this study for ten minutes", folder.string(), "Wait for it to end, or end it, and try again"};
    }
    std::this_thread::sleep_for(kPause);
  }
  return lock;
}

FolderLock::FolderLock(FolderLock&& other) noexcept : descriptor_(std::exchange(other.descriptor_, -1)) {}

FolderLock::~FolderLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

TemporaryFolder::TemporaryFolder() {
  path_ = fs::temp_directory_path() / ("leeward-" + newUuid());
  fs::create_directories(path_);
  fs::permissions(path_, fs::perms::owner_all);
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

}  // namespace leeward
