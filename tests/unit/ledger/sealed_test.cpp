// Sealed ledgers: they say the same as plain ones, and nothing to who lacks the passphrase.
#include <csignal>
#include <fstream>
#include <random>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/wait.h>
#include <unistd.h>

#include "shared/base/seal.h"
#include "shared/ledger/sealed_vfs.h"
#include "shared/ledger/sealing.h"
#include "tests/unit/ledger/fixture.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;

Secret passphrase() { return Secret("gravel umbrella seven lantern"); }

/// One key for all tests of this file: making one from a passphrase is slow on purpose.
const std::string& head() {
  static const std::string kHead = *sealHead(Sealer::ofNewKey(), passphrase());
  return kHead;
}

std::string contentOf(const fs::path& file) { return *readFile(file); }

class Sealed : public LedgerFixture {
 protected:
  void seal() {
    Progress progress;
    ASSERT_OK(sealLedger(file(), head(), progress));
  }
};

TEST_F(Sealed, ALedgerSaysTheSameAndItsFileNothing) {
  std::string key;
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(2, "a.csv"));
    key = stateKey(ledger);
  }
  ASSERT_THAT(contentOf(file()), testing::HasSubstr("gate sticks, version 1"));
  seal();
  EXPECT_EQ(modeOf(file()), 0600U);
  EXPECT_EQ(filesInFolder(), 1U);
  EXPECT_THAT(contentOf(file()), testing::Not(testing::HasSubstr("gate sticks")));
  EXPECT_THAT(contentOf(file()), testing::Not(testing::HasSubstr("SQLite")));
  {
    auto opened = Ledger::open(file());
    ASSERT_OK(opened);
    EXPECT_EQ(stateKey(*opened), key);
    EXPECT_EQ(count(*opened, Entity::Looks), 2U);
    take(*opened, visitsBatch(1, "b.csv", 7, 2));
    // While it is open its side files lie beside it: sealed as well.
    for (const auto& entry : fs::directory_iterator(file().parent_path())) {
      EXPECT_THAT(contentOf(entry.path()), testing::Not(testing::HasSubstr("gate sticks"))) << entry.path();
    }
    EXPECT_TRUE(opened->check()->empty());
  }
  auto again = Ledger::open(file());
  ASSERT_OK(again);
  EXPECT_EQ(count(*again, Entity::Looks), 3U);
  Progress progress;
  ASSERT_OK(again->backup(file().parent_path() / "copy.sqlite", progress));
  EXPECT_TRUE(isSealed(file().parent_path() / "copy.sqlite"));
  EXPECT_EQ(count(*Ledger::open(file().parent_path() / "copy.sqlite"), Entity::Looks), 3U);
  EXPECT_FALSE(sealLedger(file(), head(), progress)) << "twice";
  ASSERT_OK(again->close());
  ASSERT_OK(unsealLedger(file(), progress));
  EXPECT_THAT(contentOf(file()), testing::HasSubstr("gate sticks, version 7"));
  EXPECT_EQ(count(*Ledger::open(file()), Entity::Looks), 3U);
}

TEST_F(Sealed, APassphraseOpensItAndAnotherDoesNot) {
  { Ledger ledger = make(); }
  const auto other = *sealHead(Sealer::ofNewKey(), passphrase());
  Progress progress;
  ASSERT_OK(sealLedger(file(), other, progress));
  // What another process would see: the mark at the head names a key that nobody opened. Here: the same file under a head of no known key.
  std::string bytes = contentOf(file());
  EXPECT_OK(unseal(file(), passphrase()));
  const auto wrong = unseal(file(), Secret("gravel umbrella seven lanterns"));
  ASSERT_FALSE(wrong);
  EXPECT_THAT(wrong.problem().mend, testing::HasSubstr("can't be replaced"));
  EXPECT_FALSE(sealHead(Sealer::ofNewKey(), Secret("short"))) << "under twelve characters";
  EXPECT_THAT(bytes, testing::Not(testing::HasSubstr("gravel")));

  // Another passphrase for the same key; cut short after the first copy of the head, both open it.
  const auto next = *sealHead(*sealerOf(file()), Secret("harbour pencil oat thirteen"));
  const std::string half = other.substr(0, kSealHeadBytes / 2) + next.substr(kSealHeadBytes / 2);
  std::ofstream(file(), std::ios::binary | std::ios::in).write(half.data(), static_cast<std::streamsize>(half.size()));
  EXPECT_OK(unseal(file(), passphrase()));
  EXPECT_OK(unseal(file(), Secret("harbour pencil oat thirteen")));
  ASSERT_OK(changeSealHead(file(), next));
  EXPECT_FALSE(unseal(file(), passphrase()));
  EXPECT_OK(unseal(file(), Secret("harbour pencil oat thirteen")));
  EXPECT_OK(Ledger::open(file()));
  EXPECT_FALSE(changeSealHead(file(), head())) << "another key's head would shut it for ever";
}

TEST_F(Sealed, AChangedByteIsFoundOut) {
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(1, "a.csv"));
  }
  seal();
  const std::string bytes = contentOf(file());
  for (const std::size_t at : {kSealHeadBytes + 30, kSealHeadBytes + 9000, bytes.size() - 3}) {
    std::string changed = bytes;
    changed[at] = static_cast<char>(changed[at] ^ 1);
    std::ofstream(file(), std::ios::binary) << changed;
    const auto opened = Ledger::open(file());
    ASSERT_FALSE(opened) << at;
    EXPECT_EQ(opened.problem().code, ProblemCode::BadData) << opened.problem().text();
  }
  // Blocks can't be put in each other's place either.
  std::string swapped = bytes;
  constexpr std::size_t kBlock = 8192 + Sealer::kOverheadBytes;
  std::swap_ranges(swapped.begin() + kSealHeadBytes + kBlock, swapped.begin() + kSealHeadBytes + 2 * kBlock, swapped.begin() + kSealHeadBytes + 2 * kBlock);
  std::ofstream(file(), std::ios::binary) << swapped;
  EXPECT_FALSE(Ledger::open(file()));
  std::ofstream(file(), std::ios::binary) << bytes.substr(0, bytes.size() - 5000);
  EXPECT_FALSE(Ledger::open(file()));
  std::ofstream(file(), std::ios::binary) << bytes;
  EXPECT_OK(Ledger::open(file()));
}

TEST_F(Sealed, AKilledWriterLeavesAllOrNothing) {
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(1, "a.csv"));
  }
  seal();
  std::size_t rows = 1;
  for (int round = 0; round < 6; ++round) {
    const auto batch = visitsBatch(3000, "r" + std::to_string(round) + ".csv", 1, 10 + 3000 * static_cast<std::size_t>(round));
    const pid_t child = fork();
    if (child == 0) {
      auto ledger = Ledger::open(file());
      Progress progress;
      if (ledger) (void)ledger->take(batch, progress);
      _exit(0);  // without closing: the side files stay
    }
    usleep(static_cast<useconds_t>(20000 + 25000 * round));
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
    auto opened = Ledger::open(file());
    ASSERT_OK(opened);
    EXPECT_TRUE(opened->check()->empty());
    const auto now = count(*opened, Entity::Looks);
    EXPECT_TRUE(now == rows || now == rows + 3000) << now;
    rows = now;
  }
}

/// Runs statements on a database of its own; what it holds afterwards.
std::string runAll(const fs::path& file, const char* vfs, const std::vector<std::string>& statements) {
  sqlite3* database = nullptr;
  EXPECT_EQ(sqlite3_open_v2(file.c_str(), &database, SQLITE_OPEN_READWRITE, vfs), SQLITE_OK);
  for (const auto& sql : statements) EXPECT_EQ(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, nullptr), SQLITE_OK) << sql.substr(0, 80) << ": " << sqlite3_errmsg(database);
  std::string held;
  sqlite3_exec(
      database, "PRAGMA integrity_check; SELECT a, length(b), hex(substr(b, 1, 9)) FROM t ORDER BY a",
      [](void* to, int columns, char** values, char**) {
        for (int i = 0; i < columns; ++i) *static_cast<std::string*>(to) += std::string(values[i]) + "|";
        return 0;
      },
      &held, nullptr);
  sqlite3_close(database);
  return held;
}

TEST_F(Sealed, TheSameStatementsLeaveTheSameWhateverPagesAndJournal) {
  for (const int page : {512, 8192, 65536}) {
    for (const std::string journal : {"DELETE", "PERSIST", "WAL"}) {
      std::mt19937 draw(static_cast<unsigned>(page));
      std::vector<std::string> statements = {"PRAGMA page_size=" + std::to_string(page), "PRAGMA journal_mode=" + journal, "PRAGMA cache_size=10", "PRAGMA synchronous=NORMAL", "CREATE TABLE t (a INTEGER PRIMARY KEY, b BLOB)"};
      for (int i = 0; i < 24; ++i) {
        const auto key = std::to_string(draw() % 40), bytes = std::to_string(draw() % 20000);
        statements.push_back("BEGIN");
        statements.push_back("INSERT OR REPLACE INTO t VALUES (" + key + ", CAST(printf('%0*d', " + bytes + ", " + std::to_string(i) + ") AS BLOB))");
        if (i % 7 == 3) statements.push_back("DELETE FROM t WHERE a % 3 = 1");
        statements.push_back(i % 5 == 4 ? "ROLLBACK" : "COMMIT");
        if (i % 12 == 11) statements.push_back("VACUUM");
      }
      const fs::path plain = folder_.path() / "plain.db", sealed = folder_.path() / "sealed.db";
      std::ofstream(plain, std::ios::binary).close();
      std::ofstream(sealed, std::ios::binary) << head();
      const std::string expected = runAll(plain, nullptr, statements);
      EXPECT_THAT(expected, testing::StartsWith("ok|"));
      EXPECT_EQ(runAll(sealed, ledger::sealedVfs(), statements), expected) << page << " " << journal;
      EXPECT_EQ(*ledger::plainBytes(sealed), fs::file_size(plain));
      for (const auto& entry : fs::directory_iterator(folder_.path())) fs::remove(entry.path());
    }
  }
}

}  // namespace
}  // namespace leeward::test
