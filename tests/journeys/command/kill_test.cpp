// The ledger is the one thing that can't be made again, so taking in is killed at moments spread over its whole run.
#include <chrono>
#include <cstdio>
#include <thread>

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>

#include <gtest/gtest.h>

#include "shared/ledger/ledger.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

extern char** environ;

namespace leeward::test {
namespace {

constexpr int kMoments = 50;
constexpr std::size_t kLines = 1500;  // of the town's log: enough for a long transaction, short enough for fifty runs

/// The first lines of the town's log, and how many visits they hold (distinct visit_ids; none of the bad rows is among them).
std::pair<std::string, std::uint64_t> startOfLog(const StudyFolder& study) {
  const auto text = readFile(townFile("visits.csv"));
  EXPECT_OK(text);
  std::size_t end = 0;
  for (std::size_t line = 0; line < kLines; ++line) end = text->find('\n', end) + 1;
  const std::string file = put(study.beside("visits.csv"), std::string_view(*text).substr(0, end));
  return {file, rowsBy(csvOfFile(file), "visit_id").size()};
}

/// Starts taking in and kills it without warning after `delay`. True if it was killed, false if it had ended by then.
bool killedTakingIn(const StudyFolder& study, const std::string& file, std::chrono::microseconds delay) {
  std::vector<std::string> words = {builtProgram("leeward").string(), "take-in", study.text(), "visits", file, "--quiet"};
  std::vector<char*> argv;
  for (auto& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  for (const int stream : {1, 2}) posix_spawn_file_actions_addopen(&actions, stream, "/dev/null", O_WRONLY, 0);
  pid_t child = 0;
  const int started = posix_spawn(&child, words[0].c_str(), &actions, nullptr, argv.data(), environ);
  posix_spawn_file_actions_destroy(&actions);
  EXPECT_EQ(started, 0);
  if (started != 0) return false;
  std::this_thread::sleep_for(delay);
  kill(child, SIGKILL);
  int status = 0;
  waitpid(child, &status, 0);
  return WIFSIGNALED(status);
}

struct Found {
  std::uint64_t looks = 0, visits = 0, refused = 0, imports = 0;
  bool operator==(const Found&) const = default;
};

/// Opens the ledger as the next run would, checks it whole and counts.
void look(const StudyFolder& study, Found& found) {
  const auto ledger = Ledger::open(study.ledger());
  ASSERT_OK(ledger);
  const auto faults = ledger->check();
  ASSERT_OK(faults);
  EXPECT_THAT(*faults, testing::IsEmpty());
  const auto count = [&](Entity entity) { return ledger->count(entity).ok() ? *ledger->count(entity) : ~std::uint64_t{0}; };
  found = {count(Entity::Looks), count(Entity::Visits), count(Entity::RefusedRows), count(Entity::Imports)};
}

TEST(KillJourney, AKilledTakeInLeavesAllOfAFileOrNoneAndASoundLedger) {
  const StudyFolder study = townStudy();
  const auto [file, visits] = startOfLog(study);
  const std::string kept = put(study.beside("empty.sqlite"), *readFile(study.ledger()));
  const auto startAgain = [&] {
    for (const char* side : {"-wal", "-shm", "-journal"}) std::filesystem::remove(study.ledger().string() + side);
    std::filesystem::copy_file(kept, study.ledger(), std::filesystem::copy_options::overwrite_existing);
  };
  // Two whole runs: the first also makes the blocks' cache, the second is what will be killed.
  Ran whole;
  for (int i = 0; i < 2; ++i) {
    startAgain();
    whole = study.call("take-in", {"visits", file});
    ASSERT_EQ(whole.status, 0) << whole.err;
  }
  Found all;
  look(study, all);
  ASSERT_EQ(all.looks, visits);

  int none = 0, complete = 0, killed = 0;
  const auto at = [&, &file = file](double share) {
    startAgain();
    killed += killedTakingIn(study, file, std::chrono::microseconds(static_cast<std::int64_t>(whole.seconds * share * 1e6))) ? 1 : 0;
    Found found;
    look(study, found);
    if (found == Found{}) ++none;
    else if (found == all) ++complete;
    else ADD_FAILURE() << "half a file after a kill at " << share << " of a run: " << found.looks << " looks, " << found.visits << " animals";
  };
  for (int moment = 1; moment <= kMoments; ++moment) at(static_cast<double>(moment) / kMoments);
  // How long a run takes varies; look later until it was complete at least once.
  for (double share = 1.1; complete == 0 && share < 4; share += 0.3) at(share);
  std::printf("%d of the runs were killed in time; none of the file %d times, all of it %d times; a whole run takes %.2f s\n", killed, none, complete, whole.seconds);
  EXPECT_GE(killed, kMoments / 2);
  EXPECT_GT(none, 0);
  EXPECT_GT(complete, 0);

  startAgain();
  killedTakingIn(study, file, std::chrono::microseconds(static_cast<std::int64_t>(whole.seconds * 5e5)));
  const Ran completed = study.call("take-in", {"visits", file});
  EXPECT_EQ(completed.status, 0) << completed.err;
  Found found;
  look(study, found);
  EXPECT_EQ(found.looks, all.looks);
  for (const auto& left : filesIn(study.path())) EXPECT_EQ(left.string().find("ledger.sqlite-"), std::string::npos) << left;
}

}  // namespace
}  // namespace leeward::test
