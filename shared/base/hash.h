#pragma once
/// SHA-256 (FIPS 180-4) and HMAC-SHA-256 (RFC 2104) by libsodium; UUIDs of version 7 (RFC 9562).
#include <array>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "shared/base/result.h"

namespace leeward {

/// Lower-case hex of a SHA-256, fed in pieces.
class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(const Sha256&) = delete;
  Sha256& operator=(const Sha256&) = delete;
  Sha256& add(std::string_view bytes);
  /// Adds the length first, so that ("ab","c") and ("a","bc") differ: for keys made of several fields.
  Sha256& addField(std::string_view bytes);
  std::string hex();  ///< once only

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string sha256Hex(std::string_view bytes);
/// Of a file's content. A shapefile's side files are not included. NotFound or Io.
Result<std::string> sha256OfFile(const std::filesystem::path& file);
std::array<unsigned char, 32> hmacSha256(std::string_view secret, std::string_view message);
/// Bytes from the system's random source (ids, secrets and salts; never for draws that must repeat).
std::string randomBytes(std::size_t count);

/// A UUID of version 7 as its 36 characters, in time order within one process.
std::string newUuid();

}  // namespace leeward
