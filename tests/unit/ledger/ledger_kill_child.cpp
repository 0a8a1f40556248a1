// ledger_kill_child LEDGER N: takes 2,000 looks into the ledger and is killed halfway through SQLite's N-th write, or,
// with N = 0, runs to its end and puts the number of writes into LEDGER.writes.
#include <sqlite3.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <string>

#include "shared/base/files.h"
#include "tests/unit/ledger/batches.h"

namespace {

long kill_at = 0;
long writes = 0;

bool isTheMoment() { return ++writes == kill_at; }

ssize_t countedWrite(int file, const void* bytes, std::size_t count) {
  if (isTheMoment()) {
    [[maybe_unused]] const ssize_t half = ::write(file, bytes, count / 2);
    std::raise(SIGKILL);
  }
  return ::write(file, bytes, count);
}

ssize_t countedPwrite(int file, const void* bytes, std::size_t count, off_t at) {
  if (isTheMoment()) {
    [[maybe_unused]] const ssize_t half = ::pwrite(file, bytes, count / 2, at);
    std::raise(SIGKILL);
  }
  return ::pwrite(file, bytes, count, at);
}

int countedUnlink(const char* file) {
  if (isTheMoment()) std::raise(SIGKILL);
  return ::unlink(file);
}

void hook(const char* name, sqlite3_syscall_ptr function) {
  sqlite3_vfs* system = sqlite3_vfs_find(nullptr);
  if (system->xGetSystemCall(system, name)) system->xSetSystemCall(system, name, function);
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 3) return 2;
  const std::string file = arguments[1];
  kill_at = std::atol(arguments[2]);
  sqlite3_initialize();
  hook("write", reinterpret_cast<sqlite3_syscall_ptr>(countedWrite));
  hook("pwrite", reinterpret_cast<sqlite3_syscall_ptr>(countedPwrite));
  hook("pwrite64", reinterpret_cast<sqlite3_syscall_ptr>(countedPwrite));
  hook("unlink", reinterpret_cast<sqlite3_syscall_ptr>(countedUnlink));
  auto ledger = leeward::Ledger::open(file);
  if (!ledger) return 3;
  leeward::Progress progress;
  if (!ledger->take(leeward::test::visitsBatch(2000, "killed.csv"), progress)) return 4;
  if (!ledger->close()) return 5;
  return leeward::writeFile(file + ".writes", std::to_string(writes)) ? 0 : 6;
}
