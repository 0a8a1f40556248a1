#include "shared/ledger/sealing.h"

#include <array>
#include <fstream>

#include <fcntl.h>
#include <unistd.h>

#include "shared/base/files.h"
#include "shared/base/seal.h"
#include "shared/ledger/copy_pages.h"
#include "shared/ledger/ledger.h"
#include "shared/ledger/sqlite.h"

namespace leeward {
namespace fs = std::filesystem;
namespace {

using ledger::Database;

void overwrite(int file) {
  if (file < 0) return;
  static constexpr std::array<char, 1U << 16U> kZeros{};
  auto left = ::lseek(file, 0, SEEK_END);
  ::lseek(file, 0, SEEK_SET);
  while (left > 0) {
    const auto wrote = ::write(file, kZeros.data(), std::min<std::size_t>(kZeros.size(), static_cast<std::size_t>(left)));
    if (wrote <= 0) break;
    left -= wrote;
  }
  ::fsync(file);
  ::close(file);
}

/// A copy of the whole ledger in its place, beginning with `head` ("": plain). Held as a writer meanwhile, so that nothing is lost.
Result<void> replace(const fs::path& file, const std::string& head, Progress& progress) {
  LEEWARD_ASSIGN(opened, Ledger::open(file));  // migrates, and is refused while damaged
  LEEWARD_TRY(opened.close());
  const int former = ::open(file.c_str(), O_RDWR | O_CLOEXEC);
  const auto write = [&](const fs::path& temporary) -> Result<void> {
    if (!head.empty()) {
      std::ofstream out(temporary, std::ios::binary);
      out << head;
      out.close();
      if (!out) return Problem{ProblemCode::Io, "the copy can't be written", temporary.string(), "Check that the disk has room"};
    }
    LEEWARD_ASSIGN(from, Database::open(file, Database::Access::ReadWrite));
    // The lock of the first transaction is kept to the end; a copy can't be taken from within one.
    LEEWARD_TRY(from.run("PRAGMA locking_mode=EXCLUSIVE; BEGIN EXCLUSIVE; COMMIT"));
    LEEWARD_ASSIGN(copy, Database::open(temporary, Database::Access::ReadWrite));
    LEEWARD_TRY(ledger::copyPages(from, copy, progress));
    LEEWARD_TRY(copy.run("PRAGMA journal_mode=DELETE"));
    LEEWARD_TRY(copy.close());
    return from.close();
  };
  auto replaced = writeBeside(file, write, true);
  if (replaced && isSealed(file) && !head.empty()) overwrite(former);
  else if (former >= 0) ::close(former);
  return replaced;
}

}  // namespace

Result<void> sealLedger(const fs::path& file, const std::string& head, Progress& progress) {
  if (isSealed(file)) return Problem{ProblemCode::AlreadyExists, "the ledger is sealed already; nothing was changed", file.string(), "seal DIR --change sets another passphrase"};
  return replace(file, head, progress);
}

Result<void> unsealLedger(const fs::path& file, Progress& progress) {
  if (!isSealed(file)) return {};
  return replace(file, "", progress);
}

void shred(const fs::path& file) {
  std::error_code error;
  if (fs::is_regular_file(fs::symlink_status(file, error))) overwrite(::open(file.c_str(), O_RDWR | O_CLOEXEC | O_NOFOLLOW));
  fs::remove(file, error);
}

}  // namespace leeward
