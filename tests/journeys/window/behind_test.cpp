// Every number of what changed opens the looks that it is made of.
#include <QComboBox>
#include <QPushButton>
#include <gtest/gtest.h>

#include "tests/journeys/window/window_test.h"
#include "viewer/study/run_study.h"

namespace leeward::test {
namespace {

class BehindTest : public WindowTest {};

TEST_F(BehindTest, ABarOpensAsManyLooksAsItSaysAndBackLeadsBack) {
  window_.chooseQuestion("changed");
  ASSERT_TRUE(settled());
  auto* what = page().findChild<QComboBox*>("changed_what");
  what->setCurrentIndex(what->findText("visits"));
  auto* every = page().findChild<QComboBox*>("changed_every");
  every->setCurrentIndex(every->findText("quarter"));
  ASSERT_TRUE(settled());
  Progress progress;
  const auto changed = study::whatChanged({.run = {.folder = study(), .as_of = findings()->as_of}, .by = "", .every = Every::Quarter}, progress);
  ASSERT_OK(changed);
  const auto visits = *changed->periods.find("visits")->asInteger(changed->periods.rows() - 1);
  ASSERT_GT(visits, 0);
  QTest::mouseClick(page().findChild<QPushButton*>("changed_behind"), Qt::LeftButton);
  auto* card = window_.findChild<QWidget*>("card_page");
  auto* looks = card->findChild<window::RowList*>();
  ASSERT_TRUE(QTest::qWaitFor([&] { return card->isVisible() && looks->model()->rowCount() > 0; }, 60000));
  EXPECT_EQ(looks->model()->rowCount(), visits) << "a visit is one look";
  EXPECT_TRUE(card->findChild<QLabel*>("card_title")->text().startsWith("Visits, ")) << card->findChild<QLabel*>("card_title")->text().toStdString();
  QTest::keyClick(card, Qt::Key_Escape);
  EXPECT_TRUE(page().isVisible());
}

}  // namespace
}  // namespace leeward::test
