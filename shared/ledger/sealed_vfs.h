#pragma once
/// A layer beneath SQLite by which sealed ledgers are read and written as if they were plain (sqlite.org/vfs.html).
///
/// The file is its head (shared/base/seal.h) and blocks of 8 KiB that are each sealed by themselves; rollback journal and write-ahead log are such
/// blocks without a head. Sealing is by block, not by cell: free pages, journals, names of crews and days are sealed with all else, and no query
/// has to know. SQLite is told that a write may tear the 8 KiB around it and keeps what is committed out of such reach, so a loss of power costs
/// a sealed ledger no more than a plain one. A block that was changed by anyone else is damage; in a journal it is where the journal ends.
#include <cstdint>
#include <filesystem>
#include <string>

#include "shared/base/result.h"

namespace leeward::ledger {

/// Its name for sqlite3_open_v2; registered once. The key of the file must be known (unseal).
const char* sealedVfs();

/// How long the plain content of a sealed file is.
Result<std::uintmax_t> plainBytes(const std::filesystem::path& file);
/// The first bytes (at most 4096) of the plain content. InvalidArgument if the key isn't known, BadData if it was changed.
Result<std::string> plainStart(const std::filesystem::path& file, std::size_t bytes);

}  // namespace leeward::ledger
