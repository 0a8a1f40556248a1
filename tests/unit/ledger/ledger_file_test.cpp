// The file behind the ledger: damage, strangers, full disks, other programs, kills, copies.
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <fstream>

#include "shared/base/random.h"
#include "shared/base/text.h"
#include "tests/unit/ledger/fixture.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;
using test::at;
using test::count;
using test::modeOf;
using test::premises;
using test::query;
using test::read;
using test::visitsBatch;

class LedgerFileTest : public test::LedgerFixture {
 protected:
  ProblemCode codeOfOpening() const {
    const auto opened = Ledger::open(file());
    EXPECT_FALSE(opened.ok());
    return opened ? ProblemCode::Internal : opened.problem().code;
  }
  void scramble(std::streamoff from, std::size_t bytes) const {
    std::fstream out(file(), std::ios::binary | std::ios::in | std::ios::out);
    out.seekp(from);
    Random random(7);
    for (std::size_t i = 0; i < bytes; ++i) out.put(static_cast<char>(random.below(256)));
  }
};

/// A write past the limit fails as on a full disk.
class FileSizeLimit {
 public:
  explicit FileSizeLimit(rlim_t bytes) {
    former_handler_ = std::signal(SIGXFSZ, SIG_IGN);
    getrlimit(RLIMIT_FSIZE, &former_);
    const rlimit limit{bytes, former_.rlim_max};
    setrlimit(RLIMIT_FSIZE, &limit);
  }
  ~FileSizeLimit() {
    setrlimit(RLIMIT_FSIZE, &former_);
    std::signal(SIGXFSZ, former_handler_);
  }
  FileSizeLimit(const FileSizeLimit&) = delete;
  FileSizeLimit& operator=(const FileSizeLimit&) = delete;

 private:
  rlimit former_{};
  void (*former_handler_)(int) = nullptr;
};

TEST_F(LedgerFileTest, WhatIsNoLedgerIsRefused) {
  EXPECT_EQ(codeOfOpening(), ProblemCode::NotFound);
  for (const std::string& content :
       {std::string(), std::string("date,address\n"), randomBytes(5000), "SQLite format 3" + std::string(200, '\0')}) {
    EXPECT_OK(writeFile(file(), content));
    EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
  }
  fs::remove(file());
  fs::create_directory(file());
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
}

TEST_F(LedgerFileTest, ADamagedLedgerIsRefused) {
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(500, "a.csv"));
  }
  const auto whole = readFile(file());
  ASSERT_OK(whole);
  fs::resize_file(file(), fs::file_size(file()) / 2);
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
  EXPECT_OK(writeFile(file(), *whole));
  scramble(100, 4000);  // the schema
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
  EXPECT_OK(writeFile(file(), *whole));
  scramble(static_cast<std::streamoff>(fs::file_size(file()) / 4096 / 2 * 4096), 8192);  // two pages in the middle
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
  EXPECT_OK(writeFile(file(), *whole));
  EXPECT_OK(Ledger::open(file()));
}

TEST_F(LedgerFileTest, ALargeLedgerIsReadThroughOnlyIfItWasNotClosed) {
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(16'000, "a.csv"));
  }
  const auto bytes = fs::file_size(file());
  ASSERT_GT(bytes, 16U << 20U);
  const auto whole = readFile(file());
  ASSERT_OK(whole);
  fs::resize_file(file(), bytes - 4096);
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData) << "a page is missing";
  EXPECT_OK(writeFile(file(), *whole));
  scramble(static_cast<std::streamoff>(bytes / 4096 / 2 * 4096), 8192);
  const auto damaged = readFile(file());
  ASSERT_OK(damaged);
  {
    auto ledger = Ledger::open(file());
    ASSERT_OK(ledger);
    const auto found = ledger->check();
    EXPECT_TRUE(!found.ok() || !found->empty()) << "check() reads all";
  }
  EXPECT_OK(writeFile(file(), *damaged));
  EXPECT_OK(writeFile(file().string() + "-wal", ""));  // as a program leaves it that was cut off
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
}

TEST_F(LedgerFileTest, AnotherProgramsDatabaseAndANewerLedgerAreRefused) {
  make();
  query(file(), "PRAGMA user_version = 99");
  EXPECT_EQ(codeOfOpening(), ProblemCode::Unsupported);
  query(file(), "PRAGMA user_version = 0");
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
  query(file(), "PRAGMA user_version = 6; DROP TABLE treatments");
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData) << "a table is gone";
  query(file(), "PRAGMA application_id = 12345");
  EXPECT_EQ(codeOfOpening(), ProblemCode::BadData);
}

TEST_F(LedgerFileTest, ALedgerOfTheFirstVersionIsBroughtUp) {
  make();
  query(file(), "DROP TABLE stock; DROP TABLE handed_cells; DROP TABLE masked_places; DROP TABLE exports; DROP TABLE tombstones; DELETE FROM private_columns WHERE table_name IN ('handed_cells', 'masked_places'); "
                "DROP TABLE photos; DELETE FROM geometry_columns WHERE f_table_name = 'photos'; DELETE FROM private_columns WHERE table_name = 'photos'; "
                "DROP INDEX sightings_by_animal; ALTER TABLE refused_rows DROP COLUMN source_key; PRAGMA user_version = 1");
  EXPECT_OK(Ledger::open(file()));
  EXPECT_EQ(query(file(), "PRAGMA user_version"), std::vector<std::string>{"6"});
  EXPECT_EQ(query(file(), "SELECT count(*) FROM sqlite_master WHERE name = 'sightings_by_animal'"), std::vector<std::string>{"1"});
}

TEST_F(LedgerFileTest, TriggersInTheFileDoNotRun) {
  {
    Ledger ledger = make();
    put(ledger, Entity::Premises, premises(newUuid(), "1 Elm Street", 5, -71.5));
  }
  query(file(), "CREATE TRIGGER planted AFTER INSERT ON looks BEGIN DELETE FROM premises; END");
  auto opened = Ledger::open(file());
  ASSERT_OK(opened);
  take(*opened, visitsBatch(1, "a.csv"));
  EXPECT_EQ(count(*opened, Entity::Premises), 1U);
}

TEST_F(LedgerFileTest, AFullDiskIsAProblemAndNothingIsLost) {
  Ledger ledger = make();
  take(ledger, visitsBatch(3, "a.csv"));
  {
    const FileSizeLimit limit(fs::file_size(file()) + 100'000);
    Progress progress;
    const auto taken = ledger.take(visitsBatch(5000, "b.csv"), progress);
    ASSERT_FALSE(taken.ok());
    EXPECT_EQ(taken.problem().code, ProblemCode::Io) << taken.problem().text();
  }
  EXPECT_EQ(count(ledger, Entity::Looks), 3U);
  EXPECT_TRUE(ledger.check().value().empty());
  EXPECT_EQ(take(ledger, visitsBatch(5000, "b.csv")).added, 4997U) << "with room again it goes on";
}

TEST_F(LedgerFileTest, AFolderThatMayNotBeWrittenIsAProblem) {
  make();
  const fs::path closed = folder_.path() / "closed";
  fs::create_directory(closed);
  fs::copy_file(file(), closed / "ledger.sqlite");
  const bool root = ::geteuid() == 0;  // root may write anywhere
  constexpr uid_t kNobody = 65534;
  if (root) {
    for (const auto& path : {folder_.path(), closed, closed / "ledger.sqlite"})
      ASSERT_EQ(::chown(path.c_str(), kNobody, static_cast<gid_t>(-1)), 0);
  }
  ASSERT_EQ(::chmod(closed.c_str(), 0500), 0);
  if (root) {
    ASSERT_EQ(::seteuid(kNobody), 0);
  }
  const auto created = Ledger::create(closed / "new.sqlite");
  const auto opened = Ledger::open(closed / "ledger.sqlite");
  if (root) {
    ASSERT_EQ(::seteuid(0), 0);
  }
  ::chmod(closed.c_str(), 0700);
  ASSERT_FALSE(created.ok());
  EXPECT_EQ(created.problem().code, ProblemCode::Io);
  ASSERT_FALSE(opened.ok());
  EXPECT_EQ(opened.problem().code, ProblemCode::Io) << opened.problem().text();
}

TEST_F(LedgerFileTest, TwoProgramsAtOnceLoseNothing) {
  make();
  constexpr std::size_t kTurns = 8;
  const auto work = [this](const std::string& name, std::size_t first) {
    for (std::size_t turn = 0; turn < kTurns; ++turn) {
      auto ledger = Ledger::open(file());
      Progress progress;
      if (!ledger) return ledger.problem().text();
      const auto taken = ledger->take(visitsBatch(20, fmt::format("{}{}", name, turn), 1, first + 20 * turn), progress);
      if (!taken) return taken.problem().text();
    }
    return std::string();
  };
  const pid_t child = ::fork();
  if (child == 0) {
    const std::string wrong = work("child", 0);
    if (!wrong.empty()) std::fprintf(stderr, "%s\n", wrong.c_str());
    ::_exit(wrong.empty() ? 0 : 1);
  }
  EXPECT_EQ(work("parent", 10'000), "");
  int status = 0;
  ASSERT_EQ(::waitpid(child, &status, 0), child);
  EXPECT_EQ(status, 0);
  {
    auto ledger = Ledger::open(file());
    ASSERT_OK(ledger);
    EXPECT_EQ(count(*ledger, Entity::Looks), 2 * 20 * kTurns);
    EXPECT_TRUE(ledger->check().value().empty());
  }
  EXPECT_EQ(filesInFolder(), 1U);
}

TEST_F(LedgerFileTest, ABackupIsWholePrivateAndReplacesOnlyItsOwnKind) {
  Ledger ledger = make();
  take(ledger, visitsBatch(50, "a.csv"));
  const fs::path copy = folder_.path() / "copy.sqlite";
  Progress progress;
  EXPECT_OK(ledger.backup(copy, progress));
  EXPECT_EQ(modeOf(copy), 0600U);
  EXPECT_OK(ledger.backup(copy, progress));  // an earlier backup may be replaced
  {
    auto opened = Ledger::open(copy);
    ASSERT_OK(opened);
    EXPECT_EQ(count(*opened, Entity::Checks), 50U);
    EXPECT_EQ(opened->stateKey().value(), ledger.stateKey().value());
    EXPECT_EQ(opened->setting("study_id").value(), ledger.setting("study_id").value());
  }
  EXPECT_FALSE(fs::exists(copy.string() + "-wal"));
  EXPECT_EQ(ledger.backup(file(), progress).problem().code, ProblemCode::InvalidArgument);
  const fs::path other = folder_.path() / "other.sqlite";
  ASSERT_OK(Ledger::create(other));
  EXPECT_EQ(ledger.backup(other, progress).problem().code, ProblemCode::AlreadyExists) << "another study's ledger";
  EXPECT_OK(writeFile(folder_.path() / "letter.txt", "dear"));
  EXPECT_EQ(ledger.backup(folder_.path() / "letter.txt", progress).problem().code, ProblemCode::AlreadyExists);
  EXPECT_EQ(ledger.backup(folder_.path() / "nowhere" / "copy.sqlite", progress).problem().code, ProblemCode::Io);
}

TEST_F(LedgerFileTest, EveryColumnCalledPrivateInTheSchemaIsListed) {
  make();
  std::string sql;
  for (const auto& migration : fs::directory_iterator(test::sourceFolder() / "shared/ledger/migrations")) sql += *readFile(migration.path()) + "\n";
  std::set<std::string> marked;
  std::string table;
  for (const auto line : split(sql, '\n')) {
    if (line.starts_with("CREATE TABLE ")) table = split(line, ' ')[2];
    if (line.starts_with("  ") && line.find("-- private") != std::string_view::npos) {
      marked.insert(table + "." + std::string(split(trim(line), ' ').front()));
    }
  }
  EXPECT_GT(marked.size(), 25U);
  const auto listed = query(file(), "SELECT table_name || '.' || column_name FROM private_columns");
  EXPECT_EQ(marked, std::set<std::string>(listed.begin(), listed.end()));
  EXPECT_THAT(query(file(),
                    "SELECT table_name, column_name FROM private_columns p WHERE NOT EXISTS "
                    "(SELECT 1 FROM pragma_table_info(p.table_name) WHERE name = p.column_name)"),
              testing::IsEmpty());
}

/// Runs the helper program, to be killed at its n-th write (0: not at all). Gives its status as waitpid() does.
int runKilled(const fs::path& ledger, std::size_t kill_at) {
  const std::string program = fs::read_symlink("/proc/self/exe").parent_path() / "ledger_kill_child";
  const std::string point = std::to_string(kill_at);
  const pid_t child = ::fork();
  if (child == 0) {
    ::execl(program.c_str(), program.c_str(), ledger.c_str(), point.c_str(), nullptr);
    ::_exit(127);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return status;
}

TEST_F(LedgerFileTest, AKillAtAnyMomentLeavesAllOfTheFileOrNone) {
  {
    Ledger ledger = make();
    take(ledger, visitsBatch(3, "a.csv", 1, 1'000'000));
  }
  const auto start = readFile(file());
  ASSERT_OK(start);
  ASSERT_EQ(runKilled(file(), 0), 0);
  const auto said = readFile(file().string() + ".writes");
  ASSERT_OK(said);
  const auto writes = static_cast<std::size_t>(parseInteger(*said).value_or(0));
  ASSERT_GT(writes, 200U) << "too few writes for fifty different moments";
  fs::remove(file().string() + ".writes");
  constexpr std::size_t kPoints = 50;
  std::size_t none = 0;
  std::size_t all = 0;
  for (std::size_t point = 0; point < kPoints; ++point) {
    const std::size_t kill_at = 1 + point * (writes - 1) / (kPoints - 1);
    SCOPED_TRACE(fmt::format("killed at write {} of {}", kill_at, writes));
    ASSERT_OK(writeFile(file(), *start));
    const int status = runKilled(file(), kill_at);
    ASSERT_TRUE(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL);
    {
      auto ledger = Ledger::open(file());
      ASSERT_OK(ledger);
      EXPECT_THAT(ledger->check().value(), testing::IsEmpty());
      const auto looks = count(*ledger, Entity::Looks);
      EXPECT_TRUE(looks == 3 || looks == 2003) << looks;
      EXPECT_EQ(count(*ledger, Entity::Services), looks);
      EXPECT_EQ(count(*ledger, Entity::Imports), looks == 3 ? 1U : 2U);
      ++(looks == 3 ? none : all);
    }
    EXPECT_EQ(filesInFolder(), 1U) << "side files are gone";
  }
  EXPECT_GT(none, 0U);
  EXPECT_GT(all, 0U);
}

}  // namespace
}  // namespace leeward
