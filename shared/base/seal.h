#pragma once
/// Sealing at rest: what a laptop that was lost must not tell.
///
/// A study's data key (32 random bytes) seals everything; the key itself is sealed under the passphrase by Argon2id (RFC 9106, libsodium's
/// "moderate": 3 passes, 256 MiB) and stands so at the head of every sealed file, twice, so that a change of passphrase that is cut short
/// leaves one that opens it. Sealing is XChaCha20-Poly1305 (draft-irtf-cfrg-xchacha-03) with a random nonce each time: whoever changes a byte is found out.
///
/// A sealed file is its head and then blocks of 8 KiB, each sealed by itself and bound to its number, so that a database can read and write in
/// the middle. What is written whole (caches) is sealed in one piece. Keys that were opened stay in locked memory of this process; every
/// part finds them by the mark at the head of a file, so that opening a study is the only place that needs a passphrase.
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "shared/base/result.h"

namespace leeward {

/// A text that is wiped when it is no longer needed. Its copies are as private as it is.
class Secret {
 public:
  explicit Secret(std::string text) : text_(std::move(text)) {}
  Secret(Secret&& other) noexcept;
  Secret& operator=(Secret&& other) noexcept;
  ~Secret();
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

/// Holds a data key in memory that is locked, never swapped out and wiped at the end.
class Sealer {
 public:
  static constexpr std::size_t kOverheadBytes = 24 + 16;  ///< nonce and tag
  static Sealer ofNewKey();
  explicit Sealer(std::span<const unsigned char> key);

  /// `sealed` has room for plain.size() + kOverheadBytes. `context` must be the same when it is opened.
  void seal(std::span<const unsigned char> plain, std::string_view context, unsigned char* sealed) const;
  /// False if it was not sealed so, or changed since. `plain` has room for sealed.size() - kOverheadBytes.
  bool open(std::span<const unsigned char> sealed, std::string_view context, unsigned char* plain) const;
  std::string seal(std::string_view plain, std::string_view context) const;
  std::optional<std::string> open(std::string_view sealed, std::string_view context) const;
  /// Tells keys apart without giving them away: 16 bytes.
  std::string mark() const;
  std::span<const unsigned char> key() const { return {key_.get(), 32}; }

 private:
  std::shared_ptr<const unsigned char> key_;
};

inline constexpr std::size_t kSealHeadBytes = 1024;
inline constexpr std::size_t kShortestPassphrase = 12;

/// The head of files sealed with this key, opened by this passphrase. InvalidArgument for a passphrase under twelve characters. The key is
/// known to this process from then on.
Result<std::string> sealHead(const Sealer& sealer, const Secret& passphrase);
/// Whether a file begins as a sealed one.
bool isSealed(const std::filesystem::path& file);
/// Its first kSealHeadBytes. BadData if it isn't sealed or was cut short.
Result<std::string> readSealHead(const std::filesystem::path& file);
/// Opens the key at the head of the file for this process. InvalidArgument for a wrong passphrase (which can't be told from a damaged head).
Result<void> unseal(const std::filesystem::path& file, const Secret& passphrase);
/// The key of a sealed file that was opened before; nothing otherwise.
std::optional<Sealer> sealerOf(const std::filesystem::path& file);
/// Forgets all keys that were opened: the next opening asks again.
void forgetSealKeys();
/// Puts another head with the same key on a sealed file, one copy after the other.
Result<void> changeSealHead(const std::filesystem::path& file, const std::string& head);

/// Who is asked for the passphrase of a sealed file: a prompt, a descriptor, a dialogue. `again`: the one before was wrong. Nobody by default.
using AskPassphrase = std::function<Result<Secret>(const std::filesystem::path& file, bool again)>;
void askPassphrasesBy(AskPassphrase ask);
/// Nothing to do if the file isn't sealed or its key is known; else asks, three times at most, until the passphrase opens it. The Problem says
/// how to give one, or that a lost one can't be replaced.
Result<void> unsealByAsking(const std::filesystem::path& file);

/// Private files that are written whole into a folder: sealed if the folder beside which it lies holds a sealed ledger (`sealed_beside`).
std::string sealWhole(std::string_view content, const std::filesystem::path& sealed_beside);
/// The content of such a file; as it is if it wasn't sealed, nothing if it can't be opened.
std::optional<std::string> openWhole(std::string content, const std::filesystem::path& sealed_beside);

}  // namespace leeward
