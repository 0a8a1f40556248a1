#pragma once
/// Ledgers that lie plain or sealed (shared/base/seal.h), and how one becomes the other.
#include <filesystem>
#include <string>

#include "shared/base/progress.h"
#include "shared/base/result.h"

namespace leeward {

/// Puts a sealed copy in a plain ledger's place: written beside and renamed in, then the former file's bytes are overwritten (a disk may
/// keep them all the same). `head` as sealHead() gives it. AlreadyExists if it is sealed; Io also while another program has it open.
Result<void> sealLedger(const std::filesystem::path& file, const std::string& head, Progress& progress);
/// The way back. The key must be known.
Result<void> unsealLedger(const std::filesystem::path& file, Progress& progress);

/// Overwrites a file's bytes with zeros and removes it.
void shred(const std::filesystem::path& file);

}  // namespace leeward
