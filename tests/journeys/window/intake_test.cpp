// Files come in through the window: a new study guided from a folder of files, a log dropped on the page, and both taken back.
#include <QComboBox>
#include <QDropEvent>
#include <QLineEdit>
#include <QMimeData>
#include <QPushButton>
#include <QUrl>

#include "tests/journeys/window/window_test.h"
#include "viewer/window/file_tray.h"

namespace leeward::test {
namespace {

using IntakeTest = WindowTest;
using window::FileCard;
using window::FileTray;

void drop(QWidget& on, const std::filesystem::path& file) {
  QMimeData dragged;
  dragged.setUrls({QUrl::fromLocalFile(QString::fromStdString(file.string()))});
  QDragEnterEvent enters(QPoint(20, 20), Qt::CopyAction, &dragged, Qt::LeftButton, Qt::NoModifier);
  QApplication::sendEvent(&on, &enters);
  EXPECT_TRUE(enters.isAccepted());
  QDropEvent event(QPointF(20, 20), Qt::CopyAction, &dragged, Qt::LeftButton, Qt::NoModifier);
  QApplication::sendEvent(&on, &event);
}

TEST(NewStudyTest, AStudyIsMadeFromAFolderOfFilesWithEachFileShown) {
  const TemporaryFolder folder;
  Workbench window;
  window.show();
  QTest::mouseClick(window.findChild<QPushButton*>("new"), Qt::LeftButton);
  auto& page = *window.findChild<QWidget*>("new_study");
  ASSERT_TRUE(page.isVisible());
  QTest::keyClicks(page.findChild<QLineEdit*>("new_name"), "Fairford");
  EXPECT_TRUE(page.findChild<QLineEdit*>("new_folder")->text().endsWith("/Fairford"));
  page.findChild<QLineEdit*>("new_folder")->setText(QString::fromStdString((folder.path() / "study").string()));
  auto& make = *page.findChild<QPushButton*>("make");
  QTest::mouseClick(&make, Qt::LeftButton);
  EXPECT_TRUE(page.findChild<QLabel*>("new_said")->text().contains("files")) << "without files nothing is made";
  auto& tray = *page.findChild<FileTray*>("tray");
  const auto town = sourceFolder() / "sample-data" / "town";
  drop(tray, town);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !window.room().jobs().isBusy() && tray.findChildren<FileCard*>().size() > 3; }, 20000));
  QStringList seen;
  for (const auto* card : tray.findChildren<FileCard*>()) {
    if (!card->kind().empty()) seen += QString::fromStdString(card->kind());
    EXPECT_FALSE(card->findChild<QLabel*>("why")->text().isEmpty()) << card->proposal().file;
  }
  for (const char* kind : {"blocks", "premises", "streets", "visits", "sightings"}) EXPECT_TRUE(seen.contains(kind)) << kind << " not among " << seen.join(" ").toStdString();
  QTest::mouseClick(&make, Qt::LeftButton);
  for (int round = 0; round < 4 && !window.hasStudy(); ++round) {
    (void)QTest::qWaitFor([&] { return window.hasStudy() || !window.room().jobs().isBusy(); }, 60000);
    QTest::qWait(100);
    if (window.hasStudy() || window.room().jobs().isBusy()) continue;
    for (auto* card : tray.findChildren<FileCard*>()) {  // answer what is asked, leave aside what can't be read
      if (card->isTaken() || card->kind().empty()) continue;
      auto combos = card->findChildren<QComboBox*>();
      for (auto* combo : combos) {
        if (combo->objectName() != "kind" && combo->count() > 1) combo->setCurrentIndex(1);
        else if (combo->objectName() == "kind" && combos.back()->count() <= 1) combo->setCurrentIndex(0);
      }
    }
    QTest::mouseClick(&make, Qt::LeftButton);
  }
  ASSERT_TRUE(QTest::qWaitFor([&] { return window.hasStudy() && window.isSettled(); }, 60000)) << page.findChild<QLabel*>("new_said")->text().toStdString();
  EXPECT_GT(window.room().findings()->totals.looks, 3000);
  EXPECT_EQ(window.question(), "next") << "opened on a study the window answers where next";
}

TEST_F(IntakeTest, ALogThatIsDroppedIsShownTakenInAndTakenBack) {
  const TemporaryFolder folder;
  const auto log = folder.path() / "tuesday.csv";
  ASSERT_OK(writeFile(log, "date,address,look,why_here,door_result,dogs_seen,dogs_met\n2025-09-29,12 W Elm St,knock,planned,nobody_home,0,0\n2025-09-29,14 W Elm St,knock,planned,no_dog,0,0\n"));
  window_.chooseQuestion("bring_in");
  ASSERT_TRUE(settled());
  const auto looks = findings()->totals.looks;
  auto& tray = *page().findChild<FileTray*>("tray");
  drop(tray, log);
  ASSERT_TRUE(QTest::qWaitFor([&] { return tray.findChildren<FileCard*>().size() == 1; }, 10000));
  EXPECT_EQ(tray.findChild<FileCard*>()->kind(), "visits");
  QTest::mouseClick(page().findChild<QPushButton*>("take"), Qt::LeftButton);
  ASSERT_TRUE(QTest::qWaitFor([&] { return findings()->totals.looks == looks + 2; }, 30000)) << tray.findChild<QLabel*>("card_said")->text().toStdString();
  ASSERT_TRUE(settled());
  EXPECT_TRUE(list().model()->index(0, 0).data(window::RowModel::Headline).toString().contains("tuesday.csv"));
  QTest::keyClick(&window_, Qt::Key_Z, Qt::ControlModifier);
  ASSERT_TRUE(QTest::qWaitFor([&] { return findings()->totals.looks == looks; }, 30000)) << text("said").toStdString();
}

TEST_F(IntakeTest, AFileThatIsNothingSaysSoAndChangesNothing) {
  const TemporaryFolder folder;
  const auto odd = folder.path() / "odd.csv";
  ASSERT_OK(writeFile(odd, "x,y\n1,2\n"));
  window_.chooseQuestion("bring_in");
  auto& tray = *page().findChild<FileTray*>("tray");
  drop(tray, odd);
  ASSERT_TRUE(QTest::qWaitFor([&] { return tray.findChildren<FileCard*>().size() == 1; }, 10000));
  EXPECT_TRUE(tray.findChild<FileCard*>()->kind().empty());
  EXPECT_FALSE(page().findChild<QPushButton*>("take")->isVisible());
}

}  // namespace
}  // namespace leeward::test
