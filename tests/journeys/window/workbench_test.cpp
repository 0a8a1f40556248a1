// The window as a person drives it, on the sample town, without a screen: opening, the list and the map select the same block,
// questions change the map, dragging and the wheel move it, a folder that is no study is told, a long run can be stopped.
#include "viewer/window/workbench.h"

#include <QLabel>
#include <QListView>
#include <QPushButton>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "viewer/study/new_study.h"
#include "viewer/study/study_file.h"
#include "viewer/study/take_in.h"
#include "viewer/window/block_list.h"
#include "viewer/window/map_canvas.h"

namespace leeward::test {
namespace {

using window::BlockListModel;
using window::MapCanvas;
using window::Workbench;

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size())) text.replace(at, from.size(), to);
  return text;
}

class WorkbenchTest : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = std::make_unique<TemporaryFolder>();
    const auto town = sourceFolder() / "sample-data" / "town";
    Progress progress;
    ASSERT_OK(study::newStudy({.folder = study(), .name = "Town", .area_file = {}}, progress));
    const auto settings = readFile(town / "study.toml");
    ASSERT_OK(settings);
    ASSERT_OK(writeFile(study() / "study.toml", replaced(*settings, "@TOWN@", town.string())));
    for (const char* kind : {"visits", "sightings"}) {
      ASSERT_OK(study::takeIn({.folder = study(), .kind = kind, .file = (town / (std::string(kind) + ".csv")).string()}, progress));
    }
  }
  static void TearDownTestSuite() { folder_.reset(); }
  static std::filesystem::path study() { return folder_->path() / "study"; }

  void SetUp() override {
    window_.show();
    window_.openStudy(study());
    ASSERT_TRUE(QTest::qWaitFor([&] { return window_.hasStudy(); }, 120000));
    ASSERT_TRUE(QTest::qWaitFor([&] { return map().isPainted() && !map().size().isEmpty(); }, 20000));
  }
  MapCanvas& map() { return *window_.findChild<MapCanvas*>("map"); }
  QListView& list() { return *window_.findChild<QListView*>("blocks"); }
  QString text(const char* label) { return window_.findChild<QLabel*>(label)->text(); }
  std::string blockId(std::size_t row) { return window_.findings()->blocks.table.find("block_id")->asText(row); }

  Workbench window_;

 private:
  static std::unique_ptr<TemporaryFolder> folder_;
};
std::unique_ptr<TemporaryFolder> WorkbenchTest::folder_;

TEST_F(WorkbenchTest, TheListHoldsEveryRankedBlockInOrder) {
  const auto& next = window_.findings()->next;
  ASSERT_GT(next.rows(), 200U);  // the town has 287 blocks with three doors or more (sample-data/town/truth)
  ASSERT_EQ(list().model()->rowCount(), static_cast<int>(next.rows()));
  for (int row : {0, 1, list().model()->rowCount() - 1}) {
    EXPECT_EQ(list().model()->index(row, 0).data(BlockListModel::Rank).toInt(), row + 1);
  }
}

TEST_F(WorkbenchTest, ChoosingInTheListSelectsTheBlockAndTellsWhy) {
  list().setCurrentIndex(list().model()->index(2, 0));
  ASSERT_TRUE(window_.selectedBlock().has_value());
  EXPECT_EQ(blockId(*window_.selectedBlock()), window_.findings()->next.find("block_id")->asText(2));
  EXPECT_EQ(text("because").toStdString(), window_.findings()->next.find("because")->asText(2));
}

TEST_F(WorkbenchTest, ClickingABlockOnTheMapMarksItInTheList) {
  // The third block of the list lies where its box is: click the middle of a spot that surely belongs to it.
  const auto want = window_.findings()->next.find("block_id")->asText(2);
  const auto& blocks = window_.findings()->blocks;
  std::size_t row = 0;
  while (blockId(row) != want) ++row;
  const Bbox box = blocks.geometry.bbox(row);
  QSignalSpy clicked(&map(), &MapCanvas::blockClicked);
  for (int i = 1; i < 20 && (clicked.isEmpty() || clicked.back().front().toLongLong() != static_cast<qint64>(row)); ++i) {
    for (int j = 1; j < 20; ++j) {
      const Point at{box.min_x + box.width() * i / 20, box.min_y + box.height() * j / 20};
      QTest::mouseClick(&map(), Qt::LeftButton, Qt::NoModifier, map().view().toPaper(at).toPoint());
      if (clicked.back().front().toLongLong() == static_cast<qint64>(row)) break;
    }
  }
  ASSERT_EQ(window_.selectedBlock(), row);
  EXPECT_EQ(list().currentIndex().row(), 2);
  EXPECT_FALSE(text("because").isEmpty());
}

TEST_F(WorkbenchTest, EveryQuestionShowsItsFindingAndAnotherPicture) {
  QStringList findings;
  std::vector<QImage> pictures;
  const auto buttons = window_.findChildren<QPushButton*>("question");
  ASSERT_EQ(buttons.size(), 5);
  for (QPushButton* button : buttons) {
    EXPECT_GE(button->width(), button->fontMetrics().horizontalAdvance(button->text())) << button->text().toStdString() << " is clipped";
    QTest::mouseClick(button, Qt::LeftButton);
    ASSERT_TRUE(QTest::qWaitFor([&] { return map().isPainted(); }, 20000));
    findings += text("finding");
    pictures.push_back(map().grab().toImage());
  }
  EXPECT_EQ(findings.removeDuplicates(), 0);
  for (std::size_t i = 1; i < pictures.size(); ++i) EXPECT_NE(pictures[i], pictures[i - 1]);
}

TEST_F(WorkbenchTest, TheWheelComesNearerAndADragMovesTheMap) {
  const auto before = map().view();
  const QPointF middle = QRectF(map().rect()).center();
  QWheelEvent wheel(middle, map().mapToGlobal(middle), {}, {0, 120}, Qt::NoButton, Qt::NoModifier, Qt::NoScrollPhase, false);
  QApplication::sendEvent(&map(), &wheel);
  EXPECT_LT(map().view().metres_per_unit, before.metres_per_unit);
  const auto near = map().view();
  QTest::mousePress(&map(), Qt::LeftButton, Qt::NoModifier, middle.toPoint());
  QTest::mouseMove(&map(), middle.toPoint() + QPoint(60, 0));
  QTest::mouseMove(&map(), middle.toPoint() + QPoint(120, 0));
  QTest::mouseRelease(&map(), Qt::LeftButton, Qt::NoModifier, middle.toPoint() + QPoint(120, 0));
  EXPECT_LT(map().view().center.x, near.center.x);
  EXPECT_FALSE(window_.selectedBlock().has_value()) << "a drag is no click";
  QTest::keyClick(&map(), Qt::Key_Home);
  EXPECT_NEAR(map().view().metres_per_unit, before.metres_per_unit, 1e-9);
}

TEST_F(WorkbenchTest, AFolderThatIsNoStudyIsToldWithWhatToDo) {
  const TemporaryFolder empty;
  window_.openStudy(empty.path());
  ASSERT_TRUE(QTest::qWaitFor([&] { return text("message").contains("leeward new"); }, 20000)) << text("message").toStdString();
  EXPECT_TRUE(text("message").contains("there is no study in this folder"));
}

}  // namespace
}  // namespace leeward::test
