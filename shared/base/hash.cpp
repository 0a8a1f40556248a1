#include "shared/base/hash.h"

#include <pthread.h>

#include <charconv>
#include <chrono>
#include <cstring>
#include <fstream>
#include <mutex>
#include <vector>

#include <sodium.h>

namespace leeward {
namespace {

void needSodium() {
  static const int ready = sodium_init();
  if (ready < 0) std::abort();  // no random source: nothing here can go on
}

std::string toHex(const unsigned char* bytes, std::size_t count) {
  static constexpr std::string_view kDigits = "0123456789abcdef";
  std::string hex;
  hex.reserve(2 * count + 4);  // an id gets four dashes
  for (std::size_t i = 0; i < count; ++i) {
    hex += kDigits[bytes[i] >> 4U];
    hex += kDigits[bytes[i] & 15U];
  }
  return hex;
}

const unsigned char* raw(std::string_view text) { return reinterpret_cast<const unsigned char*>(text.data()); }

}  // namespace

struct Sha256::State {
  crypto_hash_sha256_state hash;
};

Sha256::Sha256() : state_(std::make_unique<State>()) { crypto_hash_sha256_init(&state_->hash); }
Sha256::~Sha256() = default;

Sha256& Sha256::add(std::string_view bytes) {
  crypto_hash_sha256_update(&state_->hash, raw(bytes), bytes.size());
  return *this;
}

Sha256& Sha256::addField(std::string_view bytes) {
  std::array<char, 24> size{};
  char* end = std::to_chars(size.data(), size.data() + size.size() - 1, bytes.size()).ptr;
  *end++ = ':';
  return add({size.data(), static_cast<std::size_t>(end - size.data())}).add(bytes);
}

std::string Sha256::hex() {
  std::array<unsigned char, crypto_hash_sha256_BYTES> digest{};
  crypto_hash_sha256_final(&state_->hash, digest.data());
  return toHex(digest.data(), digest.size());
}

std::string sha256Hex(std::string_view bytes) { return Sha256{}.add(bytes).hex(); }

Result<std::string> sha256OfFile(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) {
    const bool there = std::filesystem::exists(file);
    return Problem{there ? ProblemCode::Io : ProblemCode::NotFound, there ? "the file can't be read" : "there is no such file",
                   file.string(), there ? "Check its permissions" : "Check the name and the folder"};
  }
  Sha256 hash;
  std::vector<char> buffer(1U << 20U);
  while (in.read(buffer.data(), static_cast<std::streamsize>(buffer.size())) || in.gcount() > 0) {
    hash.add({buffer.data(), static_cast<std::size_t>(in.gcount())});
  }
  if (in.bad()) return Problem{ProblemCode::Io, "reading failed in the middle of the file", file.string(), "Check the disk"};
  return hash.hex();
}

std::array<unsigned char, 32> hmacSha256(std::string_view secret, std::string_view message) {
  std::array<unsigned char, 32> out{};
  crypto_auth_hmacsha256_state state;
  crypto_auth_hmacsha256_init(&state, raw(secret), secret.size());
  crypto_auth_hmacsha256_update(&state, raw(message), message.size());
  crypto_auth_hmacsha256_final(&state, out.data());
  return out;
}

std::string randomBytes(std::size_t count) {
  needSodium();
  std::string bytes(count, '\0');
  randombytes_buf(bytes.data(), count);
  return bytes;
}

namespace {

/// Random bytes drawn from the system some thousand at a time: asking it for each id is most of an id's cost.
class RandomPool {
 public:
  RandomPool() {
    needSodium();
    // A child process must not go on with its parent's bytes.
    pthread_atfork(nullptr, nullptr, [] { used_ = sizeof bytes_; });
  }
  /// To be called by one thread at a time.
  void take(unsigned char* to, std::size_t count) {
    if (used_ + count > sizeof bytes_) {
      randombytes_buf(bytes_, sizeof bytes_);
      used_ = 0;
    }
    std::memcpy(to, bytes_ + used_, count);
    sodium_memzero(bytes_ + used_, count);
    used_ += count;
  }

 private:
  static inline unsigned char bytes_[4096];
  static inline std::size_t used_ = sizeof bytes_;
};

}  // namespace

std::string newUuid() {
  static std::mutex mutex;
  static RandomPool pool;
  static std::uint64_t last_ms = 0;
  static std::uint32_t counter = 0;
  std::array<unsigned char, 16> id{};
  std::uint64_t ms = 0;
  std::uint32_t count = 0;
  {
    const std::scoped_lock lock(mutex);
    pool.take(id.data() + 8, 8);
    ms = static_cast<std::uint64_t>(
        std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::system_clock::now().time_since_epoch()).count());
    if (ms <= last_ms) {
      ms = last_ms;
      if (++counter > 0xFFFU) ++ms, counter = 0;  // RFC 9562, 6.2: the timestamp may run ahead
    } else {
      counter = 0;
    }
    last_ms = ms;
    count = counter;
  }
  for (unsigned i = 0; i < 6; ++i) id[i] = static_cast<unsigned char>(ms >> (40U - 8U * i));
  id[6] = static_cast<unsigned char>(0x70U | (count >> 8U));
  id[7] = static_cast<unsigned char>(count);
  id[8] = static_cast<unsigned char>(0x80U | (id[8] & 0x3FU));
  std::string text = toHex(id.data(), id.size());
  for (const std::size_t at : {8U, 13U, 18U, 23U}) text.insert(at, 1, '-');
  return text;
}

}  // namespace leeward
