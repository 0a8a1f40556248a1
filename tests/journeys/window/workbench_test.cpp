// The window as a person drives it, on the sample town, without a screen: opening, the list and the map select the same block,
// questions change the map, dragging and the wheel move it, a folder that is no study is told, a long run can be stopped.
#include "tests/journeys/window/window_test.h"

#include <QLabel>
#include <QListView>
#include <QListWidget>
#include <QPushButton>
#include <QSignalSpy>
#include <QTest>
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "viewer/study/new_study.h"
#include "viewer/study/settle.h"
#include "viewer/study/study_file.h"
#include "viewer/study/take_in.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"

namespace leeward::test {
namespace {

using window::RowModel;

using WorkbenchTest = WindowTest;

TEST_F(WorkbenchTest, TheListHoldsEveryRankedBlockInOrder) {
  const auto& next = findings()->next;
  ASSERT_GT(next.rows(), 200U);  // the town has 287 blocks with three doors or more (sample-data/town/truth)
  ASSERT_EQ(list().model()->rowCount(), static_cast<int>(next.rows()));
  for (int row : {0, 1, list().model()->rowCount() - 1}) {
    EXPECT_EQ(list().model()->index(row, 0).data(RowModel::Mark).toInt(), row + 1);
  }
}

TEST_F(WorkbenchTest, ChoosingInTheListSelectsTheBlockAndTellsWhy) {
  list().setCurrentIndex(list().model()->index(2, 0));
  ASSERT_TRUE(selected().has_value());
  EXPECT_EQ(blockId(*selected()), findings()->next.find("block_id")->asText(2));
  EXPECT_EQ(text("because").toStdString(), findings()->next.find("because")->asText(2));
}

TEST_F(WorkbenchTest, ClickingABlockOnTheMapMarksItInTheList) {
  // The third block of the list lies where its box is: click the middle of a spot that surely belongs to it.
  const auto want = findings()->next.find("block_id")->asText(2);
  const auto& blocks = findings()->blocks;
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
  ASSERT_EQ(selected(), row);
  EXPECT_EQ(list().currentIndex().row(), 2);
  EXPECT_FALSE(text("because").isEmpty());
}

TEST_F(WorkbenchTest, EveryQuestionShowsItsFindingAndAnotherPicture) {
  QStringList found;
  std::vector<QImage> pictures;
  for (const auto& kind : window::pageKinds()) {
    const auto buttons = window_.findChildren<QPushButton*>("question");
    const auto button = std::ranges::find_if(buttons, [&](const QPushButton* one) { return one->property("key").toString() == QLatin1String(kind.key); });
    ASSERT_NE(button, buttons.end());
    EXPECT_GE((*button)->width(), (*button)->sizeHint().width()) << kind.key << " is clipped";
    QTest::mouseClick(*button, Qt::LeftButton);
    ASSERT_TRUE(QTest::qWaitFor([&] { return window_.isSettled(); }, 20000));
    EXPECT_TRUE(page().isVisible());
    found += text("finding");
    pictures.push_back(map().grab().toImage());
  }
  EXPECT_EQ(found.removeDuplicates(), 0);
  EXPECT_NE(pictures[1], pictures[2]);
  EXPECT_NE(pictures[2], pictures[3]);
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
  EXPECT_FALSE(selected().has_value()) << "a drag is no click";
  QTest::keyClick(&map(), Qt::Key_Home);
  EXPECT_NEAR(map().view().metres_per_unit, before.metres_per_unit, 1e-9);
}

TEST_F(WorkbenchTest, AFolderThatIsNoStudyIsToldWithWhatToDo) {
  const TemporaryFolder empty;
  window_.openStudy(empty.path());
  ASSERT_TRUE(QTest::qWaitFor([&] { return text("message").contains("leeward new"); }, 20000)) << text("message").toStdString();
  EXPECT_TRUE(text("message").contains("there is no study in this folder"));
}

TEST_F(WorkbenchTest, TenAddressesAreSettledByKeysAndTheStudyFollows) {
  const auto undecided = findings()->totals.undecided;
  ASSERT_GT(undecided, 10);
  auto& page = *window_.findChild<QWidget*>("settle_page");
  const auto waitFor = [&](auto holds) { return QTest::qWaitFor(holds, 10000); };
  window_.chooseQuestion("bring_in");
  QTest::mouseClick(window_.findChild<QPushButton*>("settle"), Qt::LeftButton);
  ASSERT_TRUE(waitFor([&] { return !text("settle_typed").isEmpty(); }));
  const auto open = study::openAddresses(study());
  ASSERT_OK(open);
  const std::size_t first = open->open.size();
  EXPECT_TRUE(text("settle_finding").contains(QString("of %1 that").arg(first))) << text("settle_finding").toStdString();

  std::size_t decided = 0;
  const auto press = [&](Qt::Key key) {
    const QString before = text("settle_typed");
    QTest::keyClick(&page, key);
    ++decided;
    return waitFor([&] { return text("settle_typed") != before; });
  };
  while (decided < 8) ASSERT_TRUE(press(window_.findChild<QListWidget*>("settle_choices")->count() > 0 ? Qt::Key_1 : Qt::Key_0)) << decided;
  ASSERT_TRUE(press(Qt::Key_0)) << "none of them";
  {  // a click on the map sets the place itself
    const QString before = text("settle_typed");
    QTest::mouseClick(&map(), Qt::LeftButton, Qt::NoModifier, QPoint(map().width() / 2, map().height() / 2));
    ASSERT_TRUE(waitFor([&] { return text("settle_typed") != before; })) << text("settle_said").toStdString();
    ++decided;
  }
  auto after = study::openAddresses(study());
  ASSERT_OK(after);
  EXPECT_EQ(after->open.size(), first - decided);
  EXPECT_EQ(after->settled.size(), decided);
  EXPECT_EQ(after->settled.back().kind, "move");
  EXPECT_LT(std::abs(after->settled.back().position.x + 37.2), 0.2) << "longitude, not the map's metres";

  QTest::keyClick(&page, Qt::Key_U);
  ASSERT_TRUE(waitFor([&] { return text("settle_finding").contains(QString("of %1 that").arg(first - decided + 1)); })) << text("settle_finding").toStdString();

  const auto shown = findings();
  QTest::keyClick(&page, Qt::Key_Escape);
  ASSERT_TRUE(QTest::qWaitFor([&] { return findings() != shown; }, 60000)) << "the study is brought up to date";
  EXPECT_LT(findings()->totals.undecided, undecided);
}

TEST_F(WorkbenchTest, LeavingTheUnclearAddressesWithoutADecisionRunsNothing) {
  auto& page = *window_.findChild<QWidget*>("settle_page");
  window_.chooseQuestion("bring_in");
  QTest::mouseClick(window_.findChild<QPushButton*>("settle"), Qt::LeftButton);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !text("settle_typed").isEmpty(); }, 10000));
  const QString first = text("settle_typed");
  QTest::keyClick(&page, Qt::Key_Right);
  EXPECT_NE(text("settle_typed"), first);
  QTest::keyClick(&page, Qt::Key_Left);
  EXPECT_EQ(text("settle_typed"), first);
  const auto shown = findings();
  QTest::keyClick(&page, Qt::Key_Escape);
  QTest::qWait(300);
  EXPECT_EQ(findings(), shown);
  EXPECT_TRUE(this->page().isVisible());
}

/// Two corners and the key for the position: the length is that of the ellipsoid between the two places that are said.
TEST_F(WorkbenchTest, TheMapTellsPlacesAndMeasures) {
  map().setFocus();
  QTest::keyClick(&map(), Qt::Key_P);
  QTest::mouseMove(&map(), {100, 200});
  const auto degreesSaid = [&] {
    const QStringList words = map().readout().words(map().view()).section(QLatin1Char('\n'), -2, -2).remove(QLatin1Char(',')).split(QLatin1Char(' '));
    return Point{words.value(3).toDouble(), words.value(1).toDouble()};
  };
  ASSERT_TRUE(QTest::qWaitFor([&] { return degreesSaid().y != 0; }, 2000)) << map().readout().words(map().view()).toStdString();
  QTest::keyClick(&map(), Qt::Key_M);
  QTest::mouseClick(&map(), Qt::LeftButton, {}, {100, 200});
  const Point from = degreesSaid();
  QTest::mouseMove(&map(), {300, 260});
  QTest::mouseClick(&map(), Qt::LeftButton, {}, {300, 260});
  const Point to = degreesSaid();
  EXPECT_NEAR(map().readout().measured_m(), geodesicDistanceM(from, to), 3) << "positions are said to five decimals: a metre each";
  EXPECT_GT(map().readout().measured_m(), 100);
  EXPECT_TRUE(map().readout().words(map().view()).contains("along the line"));
  EXPECT_FALSE(selected()) << "a corner is no choice of a block";
  QTest::keyClick(&map(), Qt::Key_Escape);
  EXPECT_FALSE(map().readout().isMeasuring());
  QTest::keyClick(&map(), Qt::Key_P);
  EXPECT_EQ(map().readout().words(map().view()), QString());
}

}  // namespace
}  // namespace leeward::test
