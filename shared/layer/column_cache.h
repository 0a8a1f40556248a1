#pragma once
/// Layers kept as columns in one file of our own, so that a study opens without parsing its sources again.
///
/// The file carries a key (a SHA-256 of whatever it was made from); a cache whose key, version or length
/// differs is simply not there. Little-endian, checked against its own length and a checksum of key and content.
#include <filesystem>
#include <optional>
#include <string>

#include "shared/layer/layer.h"

namespace leeward {

/// Nothing if the file is absent, damaged, of another version, or made from something else.
/// `sealed_beside`: a ledger; what is written is sealed if that is (shared/base/seal.h).
std::optional<Layer> readCached(const std::filesystem::path& file, const std::string& key, const std::filesystem::path& sealed_beside = {});
/// Written beside and renamed in; mode 0600. Io.
Result<void> writeCached(const Layer& layer, const std::filesystem::path& file, const std::string& key, const std::filesystem::path& sealed_beside = {});
/// The key that a cache file was made with, without reading the rest (of a sealed one all is read).
std::optional<std::string> cachedKey(const std::filesystem::path& file, const std::filesystem::path& sealed_beside = {});

}  // namespace leeward
