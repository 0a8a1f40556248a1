// Where one was is there again after the program was killed; a long step can be stopped; the window stays awake while one runs; a table is copied.
#include <QApplication>
#include <QClipboard>
#include <QElapsedTimer>
#include <QProcess>
#include <QPushButton>
#include <QStandardPaths>
#include <QTimer>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <thread>

#include "shared/ledger/ledger.h"
#include "tests/journeys/window/window_test.h"
#include "tests/support/command.h"

namespace leeward::test {
namespace {

using MemoryTest = WindowTest;

TEST_F(MemoryTest, AWindowThatWasKilledOpensWhereOneWas) {
  // In a home of its own, so that nobody's settings are touched.
  const TemporaryFolder home;
  QProcessEnvironment environment = QProcessEnvironment::systemEnvironment();
  environment.insert("XDG_CONFIG_HOME", QString::fromStdString(home.path().string()));
  environment.insert("QT_QPA_PLATFORM", "offscreen");
  QProcess program;
  program.setProcessEnvironment(environment);
  program.start(QString::fromStdString(builtProgram("leeward-window").string()), {QString::fromStdString(study().string())});
  ASSERT_TRUE(program.waitForStarted());
  const auto kept = home.path() / "leeward" / "window.json";
  ASSERT_TRUE(QTest::qWaitFor([&] { return std::filesystem::exists(kept); }, 30000)) << "kept a moment after opening, not at the end";
  ::kill(static_cast<pid_t>(program.processId()), SIGKILL);
  program.waitForFinished();
  const auto text = readFile(kept);
  ASSERT_OK(text);
  EXPECT_NE(text->find(study().string()), std::string::npos);
  EXPECT_NE(text->find("\"next\""), std::string::npos);
  EXPECT_TRUE(Ledger::open(study() / "ledger.sqlite").ok());
}

TEST_F(MemoryTest, WhereOnlyTheDayIsAnotherTheLastFiguresAreThereFirst) {
  const TemporaryFolder folder;
  const auto copy = folder.path() / "study";
  std::filesystem::copy(study(), copy, std::filesystem::copy_options::recursive);
  auto text = *readFile(copy / "study.toml");
  text.insert(text.find("as_of"), "# ");
  ASSERT_OK(writeFile(copy / "study.toml", text));
  Progress progress;
  const Date yesterday = today() + -1;
  ASSERT_OK(study::runStudy({.folder = copy, .as_of = yesterday}, progress));
  ASSERT_OK(study::noteLastDay(*study::readStudyFile(copy), yesterday));

  Workbench late;
  std::vector<Date> days;
  QObject::connect(&late.room(), &window::Workroom::opened, &late, [&] { days.push_back(late.room().findings()->as_of); });
  late.show();
  late.openStudy(copy);
  ASSERT_TRUE(QTest::qWaitFor([&] { return days.size() == 2 && late.isSettled(); }, 60000));
  EXPECT_EQ(days, (std::vector<Date>{yesterday, today()}));
  // The next time today's are there at once.
  days.clear();
  late.openStudy(copy);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !days.empty() && late.isSettled(); }, 60000));
  EXPECT_EQ(days, std::vector<Date>{today()});
}

TEST_F(MemoryTest, QuestionBlockAndPlaceAreThereAgain) {
  window_.chooseQuestion("been");
  ASSERT_TRUE(settled());
  window_.room().selectBlock(7);
  QTest::keyClick(&map(), Qt::Key_Plus);
  const auto view = map().view();
  window_.keepMemory();
  Workbench again;
  again.show();
  again.reopen();
  ASSERT_TRUE(QTest::qWaitFor([&] { return again.hasStudy() && again.isSettled(); }, 60000));
  EXPECT_EQ(again.question(), "been");
  EXPECT_EQ(again.room().block(), std::optional<std::size_t>(7));
  const auto& there = again.findChild<MapCanvas*>("map")->view();
  EXPECT_NEAR(there.metres_per_unit, view.metres_per_unit, 1e-9);
  EXPECT_NEAR(there.center.x, view.center.x, 1e-6);
}

TEST_F(MemoryTest, ALongStepSaysWhatItIsIsStoppedAndLeavesThePageAsItWas) {
  auto& jobs = window_.room().jobs();
  bool done = false;
  jobs.start<int>(
      &window_, "Counting to the end of time",
      [](Progress& progress) -> Result<int> {
        while (!progress.stopRequested()) std::this_thread::sleep_for(std::chrono::milliseconds(2));
        return Progress::stopped();
      },
      [&](int) { done = true; });
  ASSERT_TRUE(QTest::qWaitFor([&] { return window_.findChild<QPushButton*>("stop")->isVisible(); }, 5000));
  EXPECT_TRUE(text("doing").contains("Counting"));
  QTest::mouseClick(window_.findChild<QPushButton*>("stop"), Qt::LeftButton);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !jobs.isBusy(); }, 5000));
  EXPECT_FALSE(done);
  EXPECT_TRUE(text("said").contains("Stopped"));
  EXPECT_TRUE(page().isVisible());
  bool after = false;  // what is asked for after a stop is not stopped with it
  jobs.start<int>(&window_, "One", [](Progress&) -> Result<int> { return 1; }, [&](int) { after = true; });
  EXPECT_TRUE(QTest::qWaitFor([&] { return after; }, 5000));
}

TEST_F(MemoryTest, TheWindowStaysAwakeWhileAStudyIsBroughtUpToDate) {
  qint64 longest = 0;
  QElapsedTimer since;
  QTimer beat;
  beat.setInterval(0);
  QObject::connect(&beat, &QTimer::timeout, [&] {
    longest = std::max(longest, since.restart());
  });
  since.start();
  beat.start();
  const auto before = findings();
  window_.room().bringUpToDate();
  ASSERT_TRUE(QTest::qWaitFor([&] { return findings() != before; }, 60000));
  ASSERT_TRUE(settled());
  beat.stop();
  RecordProperty("longest_ms", static_cast<int>(longest));
  std::printf("the window's longest pause: %lld ms (50 ms is meant; threads of other programs count too)\n", static_cast<long long>(longest));
  EXPECT_LT(longest, 400);
}

TEST_F(MemoryTest, ATableIsCopiedWithItsHeadings) {
  QTest::keyClick(&window_, Qt::Key_C, Qt::ControlModifier | Qt::ShiftModifier);
  const QStringList rows = QApplication::clipboard()->text().split('\n');
  EXPECT_EQ(rows.size(), static_cast<qsizetype>(findings()->next.rows()) + 2);
  EXPECT_TRUE(rows[0].startsWith("block_id\trank\t"));
  EXPECT_TRUE(text("said").contains("copied"));
}

}  // namespace
}  // namespace leeward::test
