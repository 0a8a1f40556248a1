#include "shared/base/seal.h"

#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <map>
#include <mutex>

#include <fcntl.h>
#include <fmt/format.h>
#include <sodium.h>
#include <sys/prctl.h>
#include <unistd.h>

namespace leeward {
namespace fs = std::filesystem;
namespace {

// A head: two equal copies of
//   "LEEWARD SEALED 1" | passes u64 | memory u64 | salt 16 | mark of the key 16 | sealed key 24 + 32 + 16 | zeros
constexpr std::string_view kHeadMagic = "LEEWARD SEALED 1";
constexpr std::string_view kWholeMagic = "LWSEALED";
constexpr std::size_t kCopyBytes = kSealHeadBytes / 2;
constexpr std::size_t kMarkBytes = 16;
constexpr std::size_t kKeyBytes = 32;
constexpr std::size_t kSaltAt = 32, kMarkAt = kSaltAt + crypto_pwhash_SALTBYTES, kSealedKeyAt = kMarkAt + kMarkBytes;
constexpr std::uint64_t kMostPasses = 16;
constexpr std::uint64_t kMostMemory = 1U << 30U;
static_assert(crypto_aead_xchacha20poly1305_ietf_KEYBYTES == kKeyBytes && crypto_aead_xchacha20poly1305_ietf_NPUBBYTES == 24);

struct Keyring {
  std::mutex guard;
  std::map<std::string, Sealer> by_mark;
  AskPassphrase ask;
};

Keyring& keyring() {
  static Keyring kKeyring;
  return kKeyring;
}

/// From here on the process holds what a crash must not write down: no core files, no debuggers.
void remember(const Sealer& sealer) {
  ::prctl(PR_SET_DUMPABLE, 0);
  const std::lock_guard lock(keyring().guard);
  keyring().by_mark.insert_or_assign(sealer.mark(), sealer);
}

std::optional<Sealer> known(const std::string& mark) {
  const std::lock_guard lock(keyring().guard);
  const auto found = keyring().by_mark.find(mark);
  return found == keyring().by_mark.end() ? std::nullopt : std::optional(found->second);
}

const unsigned char* bytesOf(std::string_view text) { return reinterpret_cast<const unsigned char*>(text.data()); }

/// The key that the passphrase makes with the passes, memory and salt that a head's copy names.
Result<Sealer> keyOf(std::string_view copy, const Secret& passphrase) {
  std::uint64_t passes = 0, memory = 0;
  std::memcpy(&passes, copy.data() + 16, 8);
  std::memcpy(&memory, copy.data() + 24, 8);
  if (passes > kMostPasses || memory > kMostMemory) return Problem{ProblemCode::BadData, "the head of the sealed file is damaged", "", "Take the last backup"};
  std::array<unsigned char, kKeyBytes> key{};
  const auto& text = passphrase.text();
  if (crypto_pwhash(key.data(), key.size(), text.data(), text.size(), bytesOf(copy.substr(kSaltAt)), passes, memory, crypto_pwhash_ALG_ARGON2ID13) != 0) {
    return Problem{ProblemCode::ResourceExhausted, "there is not enough memory to open the seal (256 MB)", "", "Close other programs"};
  }
  Sealer sealer(key);
  sodium_memzero(key.data(), key.size());
  return sealer;
}

std::optional<Sealer> openCopy(std::string_view copy, const Sealer& by) {
  const auto key = by.open(copy.substr(kSealedKeyAt, Sealer::kOverheadBytes + kKeyBytes), copy.substr(0, kSealedKeyAt));
  if (!key) return std::nullopt;
  Sealer sealer({bytesOf(*key), key->size()});
  sodium_memzero(const_cast<char*>(key->data()), key->size());
  return sealer;
}

Result<void> writeAt(int file, std::string_view bytes, std::size_t at, const fs::path& name) {
  if (::pwrite(file, bytes.data(), bytes.size(), static_cast<off_t>(at)) == static_cast<ssize_t>(bytes.size()) && ::fsync(file) == 0) return {};
  return Problem{ProblemCode::Io, std::string("the head of the sealed file can't be written: ") + std::strerror(errno), name.string(), "Check the disk; the former passphrase still opens it"};
}




}  // namespace

Secret::Secret(Secret&& other) noexcept : text_(other.text_) { sodium_memzero(other.text_.data(), other.text_.size()); }
Secret& Secret::operator=(Secret&& other) noexcept {
  if (this == &other) return *this;
  sodium_memzero(text_.data(), text_.size());
  text_ = other.text_;
  sodium_memzero(other.text_.data(), other.text_.size());
  return *this;
}
Secret::~Secret() { sodium_memzero(text_.data(), text_.size()); }

Sealer::Sealer(std::span<const unsigned char> key) {
  if (sodium_init() < 0) std::abort();  // no source of randomness: nothing may be sealed
  auto* held = static_cast<unsigned char*>(sodium_malloc(kKeyBytes));
  if (held == nullptr) throw std::bad_alloc();
  std::memcpy(held, key.data(), std::min(key.size(), kKeyBytes));
  sodium_mprotect_readonly(held);
  key_ = std::shared_ptr<const unsigned char>(held, [](const unsigned char* bytes) { sodium_free(const_cast<unsigned char*>(bytes)); });
}

Sealer Sealer::ofNewKey() {
  std::array<unsigned char, kKeyBytes> key{};
  if (sodium_init() < 0) std::abort();
  randombytes_buf(key.data(), key.size());
  Sealer sealer(key);
  sodium_memzero(key.data(), key.size());
  return sealer;
}

void Sealer::seal(std::span<const unsigned char> plain, std::string_view context, unsigned char* sealed) const {
  randombytes_buf(sealed, 24);
  crypto_aead_xchacha20poly1305_ietf_encrypt(sealed + 24, nullptr, plain.data(), plain.size(), bytesOf(context), context.size(), nullptr, sealed, key_.get());
}

bool Sealer::open(std::span<const unsigned char> sealed, std::string_view context, unsigned char* plain) const {
  if (sealed.size() < kOverheadBytes) return false;
  return crypto_aead_xchacha20poly1305_ietf_decrypt(plain, nullptr, nullptr, sealed.data() + 24, sealed.size() - 24, bytesOf(context), context.size(), sealed.data(), key_.get()) == 0;
}

std::string Sealer::seal(std::string_view plain, std::string_view context) const {
  std::string sealed(plain.size() + kOverheadBytes, '\0');
  seal({bytesOf(plain), plain.size()}, context, reinterpret_cast<unsigned char*>(sealed.data()));
  return sealed;
}

std::optional<std::string> Sealer::open(std::string_view sealed, std::string_view context) const {
  if (sealed.size() < kOverheadBytes) return std::nullopt;
  std::string plain(sealed.size() - kOverheadBytes, '\0');
  if (!open({bytesOf(sealed), sealed.size()}, context, reinterpret_cast<unsigned char*>(plain.data()))) return std::nullopt;
  return plain;
}

std::string Sealer::mark() const {
  std::string mark(kMarkBytes, '\0');
  static constexpr std::string_view kWord = "mark of a data key";
  crypto_generichash(reinterpret_cast<unsigned char*>(mark.data()), mark.size(), bytesOf(kWord), kWord.size(), key_.get(), kKeyBytes);
  return mark;
}

Result<std::string> sealHead(const Sealer& sealer, const Secret& passphrase) {
  if (passphrase.text().size() < kShortestPassphrase) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("the passphrase is shorter than {} characters", kShortestPassphrase), "", "Take four or five words that have nothing to do with each other"};
  }
  std::string copy(kHeadMagic);
  const std::uint64_t passes = crypto_pwhash_OPSLIMIT_MODERATE, memory = crypto_pwhash_MEMLIMIT_MODERATE;
  copy.append(reinterpret_cast<const char*>(&passes), 8).append(reinterpret_cast<const char*>(&memory), 8);
  copy.resize(kMarkAt);
  randombytes_buf(copy.data() + kSaltAt, crypto_pwhash_SALTBYTES);
  copy += sealer.mark();
  LEEWARD_ASSIGN(by, keyOf(copy, passphrase));
  copy += by.seal(std::string_view(reinterpret_cast<const char*>(sealer.key().data()), kKeyBytes), copy);
  copy.resize(kCopyBytes, '\0');
  remember(sealer);
  return copy + copy;
}

bool isSealed(const fs::path& file) {
  std::array<char, kHeadMagic.size()> start{};
  std::ifstream in(file, std::ios::binary);
  return in.read(start.data(), start.size()) && std::string_view(start.data(), start.size()) == kHeadMagic;
}

Result<std::string> readSealHead(const fs::path& file) {
  std::string head(kSealHeadBytes, '\0');
  std::ifstream in(file, std::ios::binary);
  if (!in.read(head.data(), static_cast<std::streamsize>(head.size())) || !head.starts_with(kHeadMagic)) {
    return Problem{ProblemCode::BadData, "this is no sealed file, or it was cut short", file.string(), "Take the last backup"};
  }
  return head;
}

Result<void> unseal(const fs::path& file, const Secret& passphrase) {
  LEEWARD_ASSIGN(head, readSealHead(file));
  const auto first = std::string_view(head).substr(0, kCopyBytes), second = std::string_view(head).substr(kCopyBytes);
  for (const auto copy : {first, second}) {
    if (copy.data() != first.data() && copy == first) continue;
    LEEWARD_ASSIGN(by, keyOf(copy, passphrase));
    if (const auto sealer = openCopy(copy, by)) {
      remember(*sealer);
      return {};
    }
  }
  return Problem{ProblemCode::InvalidArgument, "the passphrase does not open this study", file.string(),
                 "Type it once more. A lost passphrase can't be replaced by anybody: what remains are a backup whose passphrase is known, or the crew's own files, taken into a new study"};
}

std::optional<Sealer> sealerOf(const fs::path& file) {
  if (!isSealed(file)) return std::nullopt;
  const auto head = readSealHead(file);
  return head ? known(head->substr(kMarkAt, kMarkBytes)) : std::nullopt;
}

void forgetSealKeys() {
  const std::lock_guard lock(keyring().guard);
  keyring().by_mark.clear();
}

Result<void> changeSealHead(const fs::path& file, const std::string& head) {
  LEEWARD_ASSIGN(former, readSealHead(file));
  if (former.substr(kMarkAt, kMarkBytes) != head.substr(kMarkAt, kMarkBytes)) {
    return Problem{ProblemCode::InvalidArgument, "the file was sealed with another key", file.string(), "Remove it, or open it by its own passphrase"};
  }
  const int opened = ::open(file.c_str(), O_WRONLY | O_CLOEXEC);
  if (opened < 0) return Problem{ProblemCode::Io, std::string("the sealed file can't be written: ") + std::strerror(errno), file.string(), "Check its permissions"};
  auto written = writeAt(opened, std::string_view(head).substr(kCopyBytes), kCopyBytes, file);
  if (written) written = writeAt(opened, std::string_view(head).substr(0, kCopyBytes), 0, file);
  ::close(opened);
  return written;
}

void askPassphrasesBy(AskPassphrase ask) {
  const std::lock_guard lock(keyring().guard);
  keyring().ask = std::move(ask);
}

Result<void> unsealByAsking(const fs::path& file) {
  if (!isSealed(file) || sealerOf(file)) return {};
  AskPassphrase ask;
  {
    const std::lock_guard lock(keyring().guard);
    ask = keyring().ask;
  }
  const Problem sealed{ProblemCode::InvalidArgument, "the study is sealed, and no passphrase was given", file.string(), "Type it where it is asked for, or hand it in by --passphrase-fd N (its first line)"};
  if (!ask) return sealed;
  constexpr int kTries = 3;
  Result<void> opened = sealed;
  for (int tries = 0; tries < kTries && !opened; ++tries) {
    auto passphrase = ask(file, tries > 0);
    if (!passphrase) return tries > 0 ? opened : Result<void>(std::move(passphrase).problem());
    opened = unseal(file, *passphrase);
    if (!opened && opened.problem().code != ProblemCode::InvalidArgument) return opened;
  }
  return opened;
}

std::string sealWhole(std::string_view content, const fs::path& sealed_beside) {
  const auto sealer = sealerOf(sealed_beside);
  return sealer ? std::string(kWholeMagic) + sealer->seal(content, kWholeMagic) : std::string(content);
}

std::optional<std::string> openWhole(std::string content, const fs::path& sealed_beside) {
  if (!content.starts_with(kWholeMagic)) return content;
  const auto sealer = sealerOf(sealed_beside);
  return sealer ? sealer->open(std::string_view(content).substr(kWholeMagic.size()), kWholeMagic) : std::nullopt;
}

}  // namespace leeward
