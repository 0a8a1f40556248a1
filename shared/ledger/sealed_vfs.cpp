#include "shared/ledger/sealed_vfs.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <fstream>
#include <new>

#include <fmt/format.h>
#include <sqlite3.h>

#include "shared/base/seal.h"

namespace leeward::ledger {
namespace {

constexpr sqlite3_int64 kBlock = 8192;
constexpr sqlite3_int64 kSealedBlock = kBlock + static_cast<sqlite3_int64>(Sealer::kOverheadBytes);
using Plain = std::array<unsigned char, kBlock>;
using Sealed = std::array<unsigned char, kSealedBlock>;

/// SQLite's handle of one file: ours, and behind it that of the system's own layer.
struct SealedFile {
  sqlite3_file base;
  Sealer* sealer;
  sqlite3_int64 head;  ///< bytes before the first block
  bool is_side;        ///< journal or log: what can't be opened is where it ends
  sqlite3_file* inner() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

SealedFile* of(sqlite3_file* file) { return reinterpret_cast<SealedFile*>(file); }

sqlite3_vfs* innerOf(sqlite3_vfs* vfs) { return static_cast<sqlite3_vfs*>(vfs->pAppData); }

std::string contextOf(sqlite3_int64 block) { return fmt::format("ledger block {}", block); }

sqlite3_int64 plainSize(sqlite3_int64 bytes, sqlite3_int64 head) {
  const sqlite3_int64 sealed = std::max<sqlite3_int64>(0, bytes - head);
  const sqlite3_int64 rest = sealed % kSealedBlock;
  return sealed / kSealedBlock * kBlock + std::max<sqlite3_int64>(0, rest - static_cast<sqlite3_int64>(Sealer::kOverheadBytes));
}

int sizeOf(SealedFile* file, sqlite3_int64* bytes) {
  const int code = file->inner()->pMethods->xFileSize(file->inner(), bytes);
  if (code == SQLITE_OK) *bytes = plainSize(*bytes, file->head);
  return code;
}

/// The content of a block, `held` bytes of it; zeros beyond.
int readBlock(SealedFile* file, sqlite3_int64 block, sqlite3_int64 held, Plain& plain) {
  plain.fill(0);
  if (held <= 0) return SQLITE_OK;
  Sealed sealed;
  const int bytes = static_cast<int>(held) + static_cast<int>(Sealer::kOverheadBytes);
  const int code = file->inner()->pMethods->xRead(file->inner(), sealed.data(), bytes, file->head + block * kSealedBlock);
  if (code != SQLITE_OK) return code;
  if (file->sealer->open({sealed.data(), static_cast<std::size_t>(bytes)}, contextOf(block), plain.data())) return SQLITE_OK;
  plain.fill(0);
  return file->is_side ? SQLITE_OK : SQLITE_CORRUPT;
}

int writeBlock(SealedFile* file, sqlite3_int64 block, sqlite3_int64 holds, const Plain& plain) {
  Sealed sealed;
  file->sealer->seal({plain.data(), static_cast<std::size_t>(holds)}, contextOf(block), sealed.data());
  return file->inner()->pMethods->xWrite(file->inner(), sealed.data(), static_cast<int>(holds) + static_cast<int>(Sealer::kOverheadBytes), file->head + block * kSealedBlock);
}

sqlite3_int64 heldIn(sqlite3_int64 block, sqlite3_int64 size) { return std::clamp<sqlite3_int64>(size - block * kBlock, 0, kBlock); }

int closeFile(sqlite3_file* file) {
  delete of(file)->sealer;
  return of(file)->inner()->pMethods->xClose(of(file)->inner());
}

int readPlain(sqlite3_file* handle, void* into, int count, sqlite3_int64 at) {
  auto* file = of(handle);
  auto* out = static_cast<unsigned char*>(into);
  sqlite3_int64 size = 0;
  if (const int code = sizeOf(file, &size); code != SQLITE_OK) return code;
  const sqlite3_int64 end = at + count;
  while (at < end) {
    const sqlite3_int64 block = at / kBlock, from = at % kBlock, part = std::min(end - at, kBlock - from);
    Plain plain;
    if (const int code = readBlock(file, block, heldIn(block, size), plain); code != SQLITE_OK) return code;
    std::memcpy(out, plain.data() + from, static_cast<std::size_t>(part));
    out += part, at += part;
  }
  return end > size ? SQLITE_IOERR_SHORT_READ : SQLITE_OK;
}

/// Makes the file at least so long; what is new is zeros.
int lengthen(SealedFile* file, sqlite3_int64 size, sqlite3_int64 wanted) {
  while (size < wanted) {
    const sqlite3_int64 block = size / kBlock, holds = heldIn(block, wanted);
    Plain plain;
    if (const int code = readBlock(file, block, heldIn(block, size), plain); code != SQLITE_OK) return code;
    if (const int code = writeBlock(file, block, holds, plain); code != SQLITE_OK) return code;
    size = block * kBlock + holds;
  }
  return SQLITE_OK;
}

int writePlain(sqlite3_file* handle, const void* from_bytes, int count, sqlite3_int64 at) {
  auto* file = of(handle);
  const auto* in = static_cast<const unsigned char*>(from_bytes);
  sqlite3_int64 size = 0;
  if (const int code = sizeOf(file, &size); code != SQLITE_OK) return code;
  if (at > size) {
    if (const int code = lengthen(file, size, at); code != SQLITE_OK) return code;
    size = at;
  }
  const sqlite3_int64 end = at + count;
  while (at < end) {
    const sqlite3_int64 block = at / kBlock, from = at % kBlock, part = std::min(end - at, kBlock - from);
    const sqlite3_int64 held = heldIn(block, size);
    Plain plain;
    if (from > 0 || part < held) {
      if (const int code = readBlock(file, block, held, plain); code != SQLITE_OK) return code;
    }
    std::memcpy(plain.data() + from, in, static_cast<std::size_t>(part));
    if (const int code = writeBlock(file, block, std::max(held, from + part), plain); code != SQLITE_OK) return code;
    in += part, at += part;
    size = std::max(size, at);
  }
  return SQLITE_OK;
}

int truncateFile(sqlite3_file* handle, sqlite3_int64 wanted) {
  auto* file = of(handle);
  sqlite3_int64 size = 0;
  if (const int code = sizeOf(file, &size); code != SQLITE_OK) return code;
  if (wanted >= size) return lengthen(file, size, wanted);
  const sqlite3_int64 block = wanted / kBlock, rest = wanted % kBlock;
  if (rest > 0) {
    Plain plain;
    if (const int code = readBlock(file, block, heldIn(block, size), plain); code != SQLITE_OK) return code;
    if (const int code = writeBlock(file, block, rest, plain); code != SQLITE_OK) return code;
  }
  const sqlite3_int64 bytes = file->head + block * kSealedBlock + (rest > 0 ? rest + static_cast<sqlite3_int64>(Sealer::kOverheadBytes) : 0);
  return file->inner()->pMethods->xTruncate(file->inner(), bytes);
}

int control(sqlite3_file* handle, int what, void* with) {
  // Sizes and maps are those of the plain content, which the system's layer doesn't know.
  if (what == SQLITE_FCNTL_SIZE_HINT || what == SQLITE_FCNTL_CHUNK_SIZE) return SQLITE_OK;
  if (what == SQLITE_FCNTL_MMAP_SIZE) return SQLITE_NOTFOUND;
  return of(handle)->inner()->pMethods->xFileControl(of(handle)->inner(), what, with);
}

constexpr sqlite3_io_methods kMethods = {
    2, closeFile, readPlain, writePlain, truncateFile,
    [](sqlite3_file* file, int flags) { return of(file)->inner()->pMethods->xSync(of(file)->inner(), flags); },
    [](sqlite3_file* file, sqlite3_int64* bytes) { return sizeOf(of(file), bytes); },
    [](sqlite3_file* file, int level) { return of(file)->inner()->pMethods->xLock(of(file)->inner(), level); },
    [](sqlite3_file* file, int level) { return of(file)->inner()->pMethods->xUnlock(of(file)->inner(), level); },
    [](sqlite3_file* file, int* held) { return of(file)->inner()->pMethods->xCheckReservedLock(of(file)->inner(), held); },
    control,
    [](sqlite3_file*) { return static_cast<int>(kBlock); },  // what a torn write may spoil
    [](sqlite3_file* file) {
      return of(file)->inner()->pMethods->xDeviceCharacteristics(of(file)->inner()) & (SQLITE_IOCAP_UNDELETABLE_WHEN_OPEN | SQLITE_IOCAP_IMMUTABLE);
    },
    [](sqlite3_file* file, int page, int bytes, int extend, void volatile** map) { return of(file)->inner()->pMethods->xShmMap(of(file)->inner(), page, bytes, extend, map); },
    [](sqlite3_file* file, int at, int count, int flags) { return of(file)->inner()->pMethods->xShmLock(of(file)->inner(), at, count, flags); },
    [](sqlite3_file* file) { of(file)->inner()->pMethods->xShmBarrier(of(file)->inner()); },
    [](sqlite3_file* file, int remove) { return of(file)->inner()->pMethods->xShmUnmap(of(file)->inner(), remove); },
    nullptr, nullptr};

int openFile(sqlite3_vfs* vfs, const char* name, sqlite3_file* handle, int flags, int* out_flags) {
  auto* file = of(handle);
  auto* inner = innerOf(vfs);
  file->base.pMethods = nullptr;  // nothing to close if this fails
  const bool is_main = (flags & SQLITE_OPEN_MAIN_DB) != 0;
  const bool is_side = (flags & (SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_WAL)) != 0;
  std::optional<Sealer> sealer;
  if (is_main) sealer = sealerOf(name);
  else if (is_side) sealer = sealerOf(sqlite3_filename_database(name));
  else sealer = Sealer::ofNewKey();  // a file that nobody reads after this connection
  if (!sealer) return SQLITE_CANTOPEN;
  if (const int code = inner->xOpen(inner, name, file->inner(), flags, out_flags); code != SQLITE_OK) {
    if (file->inner()->pMethods) file->inner()->pMethods->xClose(file->inner());
    return code;
  }
  file->sealer = new (std::nothrow) Sealer(*sealer);
  file->head = is_main ? static_cast<sqlite3_int64>(kSealHeadBytes) : 0;
  file->is_side = !is_main;
  file->base.pMethods = &kMethods;
  return file->sealer ? SQLITE_OK : SQLITE_NOMEM;
}

sqlite3_vfs makeVfs() {
  sqlite3_initialize();
  sqlite3_vfs* inner = sqlite3_vfs_find(nullptr);
  sqlite3_vfs vfs = *inner;
  vfs.szOsFile = static_cast<int>(sizeof(SealedFile)) + inner->szOsFile;
  vfs.pNext = nullptr;
  vfs.zName = "leeward-sealed";
  vfs.pAppData = inner;
  vfs.xOpen = openFile;
  // The system's layer finds its own state through the handle that it is given.
  vfs.xDelete = [](sqlite3_vfs* self, const char* name, int sync) { return innerOf(self)->xDelete(innerOf(self), name, sync); };
  vfs.xAccess = [](sqlite3_vfs* self, const char* name, int flags, int* answer) { return innerOf(self)->xAccess(innerOf(self), name, flags, answer); };
  vfs.xFullPathname = [](sqlite3_vfs* self, const char* name, int room, char* full) { return innerOf(self)->xFullPathname(innerOf(self), name, room, full); };
  return vfs;
}

}  // namespace

const char* sealedVfs() {
  static sqlite3_vfs kVfs = makeVfs();
  [[maybe_unused]] static const int kRegistered = sqlite3_vfs_register(&kVfs, 0);
  return kVfs.zName;
}

Result<std::uintmax_t> plainBytes(const std::filesystem::path& file) {
  std::error_code error;
  const auto bytes = std::filesystem::file_size(file, error);
  if (error) return Problem{ProblemCode::Io, "the ledger can't be read: " + error.message(), file.string(), "Check its permissions"};
  return static_cast<std::uintmax_t>(plainSize(static_cast<sqlite3_int64>(bytes), static_cast<sqlite3_int64>(kSealHeadBytes)));
}

Result<std::string> plainStart(const std::filesystem::path& file, std::size_t bytes) {
  const auto sealer = sealerOf(file);
  if (!sealer) return Problem{ProblemCode::InvalidArgument, "the study is sealed", file.string(), "Give its passphrase: --passphrase-fd N, or type it where it is asked for"};
  LEEWARD_ASSIGN(all, plainBytes(file));
  std::string sealed(static_cast<std::size_t>(std::min<std::uintmax_t>(all, kBlock)) + Sealer::kOverheadBytes, '\0');
  std::ifstream in(file, std::ios::binary);
  in.seekg(static_cast<std::streamoff>(kSealHeadBytes));
  in.read(sealed.data(), static_cast<std::streamsize>(sealed.size()));
  auto plain = in ? sealer->open(sealed, contextOf(0)) : std::nullopt;
  if (!plain) return Problem{ProblemCode::BadData, "the ledger is damaged (its first page was changed)", file.string(), "Take the last backup"};
  plain->resize(std::min(bytes, plain->size()));
  return *std::move(plain);
}

}  // namespace leeward::ledger
