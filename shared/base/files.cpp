#include "shared/base/files.h"

#include <cerrno>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <utility>

#include <fcntl.h>
#include <unistd.h>

#include <fmt/format.h>

#include "shared/base/hash.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view kMark = ".leeward-part-";

fs::path temporaryBeside(const fs::path& file) {
  return file.parent_path() / fmt::format("{}{}{}", kMark, newUuid().substr(19, 17), file.extension().string());
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

void removeLeftovers(const fs::path& folder) {
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    if (entry.path().filename().string().starts_with(kMark)) fs::remove(entry.path(), error);
  }
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
