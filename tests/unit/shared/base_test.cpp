// Dates, text, numbers, results, hashes, ids, draws, progress and files.
#include <algorithm>
#include <cmath>
#include <fstream>
#include <optional>
#include <set>
#include <stop_token>
#include <thread>

#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "shared/base/dates.h"
#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/progress.h"
#include "shared/base/random.h"
#include "shared/base/text.h"
#include "tests/support/data.h"

namespace leeward {
namespace {

namespace fs = std::filesystem;

TEST(DatesTest, DaysThatDoNotExistAreNothing) {
  EXPECT_FALSE(makeDate(2025, 2, 31));
  EXPECT_FALSE(makeDate(2025, 2, 29));
  EXPECT_TRUE(makeDate(2024, 2, 29));
  EXPECT_FALSE(makeDate(1900, 2, 29));  // a century that is no leap year
  EXPECT_TRUE(makeDate(2000, 2, 29));
  EXPECT_FALSE(makeDate(2025, 13, 1));
  EXPECT_FALSE(makeDate(2025, 0, 1));
  EXPECT_FALSE(makeDate(2025, 4, 31));
}

TEST(DatesTest, ReadsIsoOnly) {
  EXPECT_EQ(toIso(*parseIsoDate("2025-03-09")), "2025-03-09");
  EXPECT_EQ(toIso(*parseIsoDate("2025-03-09T23:59:59Z")), "2025-03-09");
  EXPECT_EQ(toIso(*parseIsoDate("2025-03-09 08:00")), "2025-03-09");
  for (const char* text : {"", "2025-3-9", "03/09/2025", "2025-02-31", "2025-03-09x", "2025-03-0a", "-025-03-09", "2025-+3-09", "20250309"}) {
    EXPECT_FALSE(parseIsoDate(text)) << text;
  }
}

TEST(DatesTest, CountsDaysAcrossTheEpoch) {
  EXPECT_EQ(makeDate(1970, 1, 1)->days, 0);
  EXPECT_EQ(makeDate(1969, 12, 31)->days, -1);
  EXPECT_EQ(makeDate(2000, 3, 1)->days, 11017);
  EXPECT_EQ(*makeDate(2025, 3, 1) - *makeDate(2024, 3, 1), 365);
  EXPECT_EQ(toWords(*makeDate(2025, 3, 3)), "3 March 2025");
}

TEST(DatesTest, PeriodsBeginAndEndWhereTheyShould) {
  const Period quarter = periodOf(*makeDate(2024, 2, 29), Every::Quarter);
  EXPECT_EQ(quarter.name(), "2024 Q1");
  EXPECT_EQ(toIso(quarter.first()), "2024-01-01");
  EXPECT_EQ(toIso(quarter.last()), "2024-03-31");
  const Period month = periodOf(*makeDate(2024, 12, 31), Every::Month);
  EXPECT_EQ(month.name(), "2024-12");
  EXPECT_EQ(toIso(month.last()), "2024-12-31");
  EXPECT_EQ(toIso(periodOf(*makeDate(2023, 2, 1), Every::Month).last()), "2023-02-28");
  EXPECT_EQ(periodOf(*makeDate(2024, 12, 31), Every::Year).name(), "2024");
  for (int day = -1000; day < 40'000; day += 17) {
    for (const Every every : {Every::Month, Every::Quarter, Every::Year}) {
      const Period period = periodOf({day}, every);
      ASSERT_TRUE(period.first().days <= day && day <= period.last().days);
      ASSERT_EQ(periodOf(period.last() + 1, every).index, period.index + 1);
    }
  }
  EXPECT_EQ(seasonOf(*makeDate(2025, 12, 1)), Season::Winter);
  EXPECT_EQ(seasonOf(*makeDate(2025, 11, 30)), Season::Autumn);
}

TEST(TextTest, TrimsSplitsAndKeepsEmptyPieces) {
  EXPECT_EQ(trim("\xC2\xA0 \t a b\r\n\xC2\xA0"), "a b");
  EXPECT_EQ(trim(" \xC2\xA0"), "");
  EXPECT_EQ(split("a,,b,", ',').size(), 4U);
  EXPECT_EQ(split("", ',').size(), 1U);
  EXPECT_EQ(lowerAscii("\xC3\x84" "BC"), "\xC3\x84" "bc");
}

TEST(TextTest, ReadsPlainNumbersOnly) {
  EXPECT_EQ(parseNumber(" +1.5e3 "), 1500);
  EXPECT_EQ(parseNumber("-.5"), -0.5);
  for (const char* text : {"", " ", "1,5", "1 000", "nan", "inf", "0x10", "1.5m", "--1", "+", "1e999"}) EXPECT_FALSE(parseNumber(text)) << text;
  EXPECT_EQ(parseInteger("0042"), 42);
  EXPECT_FALSE(parseInteger("9223372036854775808"));
  EXPECT_FALSE(parseInteger("1.0"));
}

TEST(TextTest, WritesNumbersThatReadBackTheSame) {
  for (const double value : {0.1, 1.0 / 3, 1e15, 1e16, -2.5, 123456789.125, 5e-324, 1.7976931348623157e308}) {
    EXPECT_EQ(parseNumber(formatNumber(value)), value) << formatNumber(value);
  }
  EXPECT_EQ(formatNumber(-0.0), "0");
  EXPECT_EQ(formatNumber(std::nan("")), "");
  EXPECT_EQ(formatNumber(42), "42");
  EXPECT_EQ(formatCount(101355), "101,355");
  EXPECT_EQ(formatCount(-1000), "-1,000");
  EXPECT_EQ(formatCount(999), "999");
}

// Unicode 15, table 3-7 (well-formed byte sequences).
TEST(TextTest, KnowsWellFormedUtf8) {
  for (const char* text : {"", "abc", "\xC2\x80", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"}) EXPECT_TRUE(isValidUtf8(text));
  for (const char* text : {"\x80", "\xC0\x80", "\xC1\xBF", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xC2", "\xE2\x82", "\xF5\x80\x80\x80"}) {
    EXPECT_FALSE(isValidUtf8(text));
  }
  EXPECT_EQ(fromWindows1252("\x80\x93\xE9\x81"), "\xE2\x82\xAC\xE2\x80\x9C\xC3\xA9\xEF\xBF\xBD");
}

TEST(ResultTest, ProblemsSpeakAndMapToExits) {
  const Problem problem = Problem{ProblemCode::BadData, "a quote is never closed", "row 7", "Close it"}.at("visits.csv");
  EXPECT_EQ(problem.text(), "a quote is never closed (visits.csv, row 7). Close it.");
  EXPECT_EQ(exitStatus(ProblemCode::InvalidArgument), 2);
  EXPECT_EQ(exitStatus(ProblemCode::BadData), 3);
  EXPECT_EQ(exitStatus(ProblemCode::Io), 4);
  EXPECT_EQ(exitStatus(ProblemCode::Cancelled), 130);
}

// FIPS 180-4 example messages (NIST, "SHA-256 examples"; the million letters from FIPS 180-2, B.3).
TEST(HashTest, Sha256OfTheStandardsExamples) {
  EXPECT_EQ(sha256Hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256Hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256Hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  Sha256 pieces;
  for (int i = 0; i < 1000; ++i) pieces.add(std::string(1000, 'a'));
  EXPECT_EQ(pieces.hex(), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  EXPECT_NE(Sha256().addField("ab").addField("c").hex(), Sha256().addField("a").addField("bc").hex());
}

std::string hex(const std::array<unsigned char, 32>& bytes) {
  std::string text;
  for (const unsigned char byte : bytes) text += fmt::format("{:02x}", byte);
  return text;
}

// RFC 4231, sections 4.2, 4.3 and 4.7 (a key longer than a block).
TEST(HashTest, HmacOfRfc4231) {
  EXPECT_EQ(hex(hmacSha256(std::string(20, '\x0b'), "Hi There")), "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7");
  EXPECT_EQ(hex(hmacSha256("Jefe", "what do ya want for nothing?")), "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
  EXPECT_EQ(hex(hmacSha256(std::string(131, '\xaa'), "Test Using Larger Than Block-Size Key - Hash Key First")),
            "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54");
}

// RFC 9562, section 5.7.
TEST(HashTest, IdsAreVersion7AndInOrder) {
  std::string last;
  for (int i = 0; i < 20'000; ++i) {
    const std::string id = newUuid();
    ASSERT_EQ(id.size(), 36U);
    ASSERT_EQ(id[14], '7');
    ASSERT_TRUE(std::string("89ab").find(id[19]) != std::string::npos);
    ASSERT_LT(last, id);
    last = id;
  }
  std::vector<std::vector<std::string>> made(4);
  {
    std::vector<std::jthread> threads;
    for (auto& ids : made) threads.emplace_back([&ids] { for (int i = 0; i < 2000; ++i) ids.push_back(newUuid()); });
  }
  std::set<std::string> all;
  for (const auto& ids : made) all.insert(ids.begin(), ids.end());
  EXPECT_EQ(all.size(), 8000U);
}

// The first numbers of PCG32 seeded 42, stream 54, as printed by its author's demonstration program (O'Neill 2014); from memory.
TEST(RandomTest, DrawsThePublishedSequence) {
  Random random(42, 54);
  for (const std::uint32_t expected : {0xa15c02b7U, 0x7b47f409U, 0xba1d3330U, 0x83d2f293U, 0xbfa4784bU, 0xcbed606eU}) EXPECT_EQ(random(), expected);
}

/// Mean and variance of 200,000 draws, each within five standard errors of what theory says.
template <class Draw>
void expectMoments(double mean, double variance, double fourth, Draw draw) {
  constexpr int kDraws = 200'000;
  double sum = 0;
  double squares = 0;
  for (int i = 0; i < kDraws; ++i) {
    const double x = draw() - mean;
    sum += x;
    squares += x * x;
  }
  EXPECT_NEAR(sum / kDraws, 0, 5 * std::sqrt(variance / kDraws));
  EXPECT_NEAR(squares / kDraws, variance, 5 * std::sqrt((fourth - variance * variance) / kDraws));
}

TEST(RandomTest, MomentsAreThoseOfTheDistributions) {
  Random random(1);
  expectMoments(0.5, 1.0 / 12, 1.0 / 80, [&] { return random.uniform(); });
  expectMoments(0, 1, 3, [&] { return random.normal(); });
  const auto gammaFourth = [](double k, double s) { return 3 * k * (k + 2) * s * s * s * s; };
  expectMoments(2.5 * 3, 2.5 * 9, gammaFourth(2.5, 3), [&] { return random.gamma(2.5, 3); });
  expectMoments(0.3, 0.3, gammaFourth(0.3, 1), [&] { return random.gamma(0.3, 1); });
  for (const double mean : {0.2, 7.0, 45.0, 300.0}) {
    expectMoments(mean, mean, mean + 3 * mean * mean, [&] { return random.poisson(mean); });
  }
  const double v = 20 * 0.3 * 0.7;
  expectMoments(6, v, 3 * v * v + v * (1 - 6 * 0.3 * 0.7), [&] { return random.binomial(20, 0.3); });
  expectMoments(3, 35.0 / 12, 707.0 / 48, [&] { return random.below(6) + 0.5; });  // a die, shifted to 0.5 .. 5.5
  EXPECT_EQ(random.poisson(0), 0U);
}

TEST(ProgressTest, ResultsDoNotDependOnThreads) {
  const auto run = [](unsigned threads) {
    Progress progress(Progress::Sink{}, std::stop_token{}, threads);
    std::vector<double> draws(10'007);
    EXPECT_OK(progress.parallelFor(draws.size(), 100, [&](std::size_t begin, std::size_t end) {
      EXPECT_EQ(begin % 100, 0U);
      Random random(9, begin);
      for (std::size_t i = begin; i < end; ++i) draws[i] = random.normal();
    }));
    return draws;
  };
  EXPECT_EQ(run(1), run(4));
}

TEST(ProgressTest, StopsBetweenBatchesAndPassesExceptionsOn) {
  std::stop_source stop;
  Progress progress(Progress::Sink{}, stop.get_token(), 2);
  std::atomic<int> batches{0};
  const auto stopped = progress.parallelFor(1'000'000, 1, [&](std::size_t, std::size_t) {
    if (++batches == 10) stop.request_stop();
  });
  ASSERT_FALSE(stopped.ok());
  EXPECT_EQ(stopped.problem().code, ProblemCode::Cancelled);
  EXPECT_LT(batches, 1000);
  Progress free(Progress::Sink{}, std::stop_token{}, 2);
  EXPECT_THROW((void)free.parallelFor(100, 1, [](std::size_t, std::size_t) { throw std::runtime_error("x"); }), std::runtime_error);
  EXPECT_OK(free.parallelFor(0, 1, [](std::size_t, std::size_t) { FAIL(); }));
}

TEST(ProgressTest, PartsReportWithinTheirShare) {
  std::vector<double> fractions;
  Progress whole([&](double fraction, std::string_view) { fractions.push_back(fraction); }, std::stop_token{}, 1);
  Progress part = whole.part(0.5, 1.0).part(0.0, 0.5);
  part.report(0.5, "half of a quarter");
  part.report(1.0);
  ASSERT_EQ(fractions.size(), 2U);
  EXPECT_DOUBLE_EQ(fractions[0], 0.625);
  EXPECT_DOUBLE_EQ(fractions[1], 0.75);
}

class FilesTest : public testing::Test {
 protected:
  std::size_t entries() const { return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_.path()), fs::directory_iterator())); }
  TemporaryFolder folder_;
};

TEST_F(FilesTest, AFailedWriteLeavesTheOldFileAndNothingElse) {
  const auto file = folder_.path() / "out.csv";
  ASSERT_OK(writeFile(file, "old"));
  const auto failed = writeBeside(file, [&](const fs::path& temporary) -> Result<void> {
    EXPECT_EQ(temporary.parent_path(), file.parent_path());
    EXPECT_EQ(temporary.extension(), ".csv");
    std::ofstream(temporary) << "half of";
    return Problem{ProblemCode::Io, "the disk is full", "", ""};
  });
  EXPECT_FALSE(failed.ok());
  EXPECT_EQ(*readFile(file), "old");
  EXPECT_EQ(entries(), 1U);
  ASSERT_OK(writeFile(file, "new"));
  EXPECT_EQ(*readFile(file), "new");
}

TEST_F(FilesTest, PrivateFilesAreTheOwnersAlone) {
  const auto file = folder_.path() / "crew.csv";
  ASSERT_OK(writeFile(file, "x", true));
  struct stat status {};
  ASSERT_EQ(::stat(file.c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777, 0600U);
}

TEST_F(FilesTest, ProblemsOfReadingAreTold) {
  EXPECT_EQ(readFile(folder_.path() / "absent").problem().code, ProblemCode::NotFound);
  EXPECT_EQ(readFile(folder_.path()).problem().code, ProblemCode::BadData);
  ASSERT_OK(writeFile(folder_.path() / "big", "12345"));
  EXPECT_EQ(readFile(folder_.path() / "big", 4).problem().code, ProblemCode::ResourceExhausted);
  EXPECT_EQ(sha256OfFile(folder_.path() / "absent").problem().code, ProblemCode::NotFound);
  EXPECT_EQ(*sha256OfFile(folder_.path() / "big"), sha256Hex("12345"));
  EXPECT_FALSE(writeFile(folder_.path() / "no" / "such", "x").ok());
}

/// The name that a process's temporary has, by way of our own.
fs::path temporaryOf(const fs::path& folder, pid_t process) {
  fs::path own;
  (void)writeBeside(folder / "out", [&](const fs::path& temporary) -> Result<void> {
    own = temporary;
    return {};
  });
  std::string name = own.filename().string();
  const std::string mine = std::to_string(::getpid());
  name.replace(name.find(mine), mine.size(), std::to_string(process));
  return folder / name;
}

TEST_F(FilesTest, LeftoversOfAKilledRunAreRemovedAndThoseOfARunningOneStay) {
  const pid_t child = ::fork();
  if (child == 0) ::pause();
  const fs::path running = temporaryOf(folder_.path(), child), old = temporaryOf(folder_.path(), ::getpid());
  ASSERT_OK(writeFile(running, "half"));
  ASSERT_OK(writeFile(old, "half"));
  fs::last_write_time(old, fs::file_time_type::clock::now() - std::chrono::hours(25));
  removeLeftovers(folder_.path());
  EXPECT_TRUE(fs::exists(running)) << "its process lives";
  EXPECT_FALSE(fs::exists(old)) << "older than a day";
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  removeLeftovers(folder_.path());
  EXPECT_FALSE(fs::exists(running)) << "its process is gone";
  EXPECT_TRUE(fs::exists(folder_.path() / "out"));
}

TEST_F(FilesTest, AFolderIsHeldByOneAtATime) {
  Progress progress;
  auto taken = FolderLock::wait(folder_.path(), progress);
  ASSERT_OK(taken);
  std::optional<FolderLock> first(std::move(taken).value());
  std::stop_source stop;
  Progress stopped(Progress::Sink{[&](double, std::string_view) { stop.request_stop(); }}, stop.get_token(), 1);
  auto second = FolderLock::wait(folder_.path(), stopped);
  ASSERT_FALSE(second.ok());
  EXPECT_EQ(second.problem().code, ProblemCode::Cancelled) << "it waited until it was told to stop";
  first.reset();
  EXPECT_OK(FolderLock::wait(folder_.path(), progress));
}

}  // namespace
}  // namespace leeward
