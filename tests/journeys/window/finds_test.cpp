// The page on need, told by what planned looks found.
#include <QComboBox>
#include <gtest/gtest.h>

#include "tests/journeys/window/window_test.h"
#include "viewer/window/pages/finds_view.h"

namespace leeward::test {
namespace {

class FindsTest : public WindowTest {};

TEST_F(FindsTest, TheFindingIsWhatTheStudyToldAndTheListLeadsToTheMap) {
  window_.chooseQuestion("need");
  ASSERT_TRUE(settled());
  const QString by_index = text("finding");
  const QImage before = map().grab().toImage();
  page().findChild<QComboBox*>("need_by")->setCurrentIndex(1);
  ASSERT_TRUE(settled());
  EXPECT_NE(text("finding"), by_index);
  EXPECT_NE(map().grab().toImage(), before);
  const Table& told = findings()->patterns.told;
  ASSERT_GE(told.rows(), 4U);
  for (std::size_t row = 0; row < told.rows(); ++row) {
    const auto topic = told.find("topic")->asText(row);
    if (topic != "circle" && topic != "standing") continue;
    EXPECT_TRUE(text("finding").contains(QString::fromStdString(told.find("finding")->asText(row)))) << topic;
    EXPECT_TRUE(text("how_sure").contains(QString::fromStdString(told.find("caution")->asText(row)))) << topic;
  }

  auto* list = page().findChild<window::RowList*>("finds");
  const Table& patterns = findings()->patterns.blocks;
  int looked = 0;
  for (std::size_t row = 0; row < patterns.rows(); ++row) looked += patterns.find("effort")->asReal(row).value_or(0) > 0 ? 1 : 0;
  EXPECT_EQ(list->model()->rowCount(), looked);  // where nobody looked there is nothing to tell
  list->setCurrentIndex(list->model()->index(0, 0));
  ASSERT_TRUE(selected().has_value());
  EXPECT_GT(patterns.find("effort")->asReal(*selected()).value_or(0), 0);
}

}  // namespace
}  // namespace leeward::test
