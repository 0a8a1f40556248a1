// The evening's typing by keys alone, and the cards that tell what is on record.
#include <QComboBox>
#include <QCryptographicHash>
#include <QLineEdit>
#include <QPushButton>
#include <QTableWidget>

#include "shared/ledger/ledger.h"
#include "tests/journeys/window/window_test.h"
#include "viewer/window/typing_page.h"

namespace leeward::test {
namespace {

class TypingTest : public WindowTest {
 protected:
  window::TypingPage& form() { return *window_.findChild<window::TypingPage*>("typing_page"); }
  QWidget& field(const char* name) { return *form().findChild<QWidget*>(QString("typed_") + name); }
  QString said() { return form().findChild<QLabel*>("typing_said")->text(); }
  void begin() {
    window_.activateWindow();
    window_.chooseQuestion("bring_in");
    ASSERT_TRUE(settled());
    QTest::mouseClick(page().findChild<QPushButton*>("type_in"), Qt::LeftButton);
    ASSERT_TRUE(form().isVisible());
  }
  void type(const char* name, const char* text) {
    field(name).setFocus();
    if (qobject_cast<QLineEdit*>(&field(name)) != nullptr) static_cast<QLineEdit*>(&field(name))->clear();
    QTest::keyClicks(&field(name), text);
  }
  bool keep() {
    QTest::keyClick(&form(), Qt::Key_Return, Qt::ControlModifier);
    return QTest::qWaitFor([&] { return said().startsWith("Kept") || said().startsWith("Not kept"); }, 20000);
  }
  std::uint64_t looks() {
    auto ledger = Ledger::open(study() / "ledger.sqlite");
    return ledger ? ledger->count(Entity::Looks).value() : 0;
  }
};

TEST_F(TypingTest, AVisitIsTypedKeptAndTakenBackAndTheStreetStays) {
  begin();
  const auto before = looks();
  const auto settings = readFile(study() / "study.toml");
  type("date", "2025-09-29");
  type("crew", "Van C");
  type("number", "12");
  type("street", "W Elm St");
  type("door_result", "wel");
  type("dogs_seen", "1");
  type("dogs_met", "1");
  type("dog_name", "Biscuit");
  auto& checks = *form().findChild<QTableWidget*>("checks");
  checks.setFocus();
  checks.setCurrentCell(0, 0);
  QTest::keyClick(&checks, Qt::Key_U);  // area
  QTest::keyClick(&checks, Qt::Key_A);
  ASSERT_TRUE(keep());
  EXPECT_TRUE(said().contains("12 W Elm St")) << said().toStdString();
  EXPECT_EQ(looks(), before + 1);
  EXPECT_EQ(static_cast<QLineEdit&>(field("street")).text(), "W Elm St") << "crews work along a street";
  EXPECT_TRUE(static_cast<QLineEdit&>(field("number")).text().isEmpty());
  EXPECT_EQ(*readFile(study() / "study.toml"), *settings) << "what is remembered of the crew's own spreadsheet stays";
  QTest::keyClick(&form(), Qt::Key_Z, Qt::ControlModifier);
  ASSERT_TRUE(QTest::qWaitFor([&] { return !window_.room().jobs().isBusy() && looks() == before; }, 20000));
}

TEST_F(TypingTest, TwoAnimalsAtOneDoorAreOneLookAndAPhotoIsNamedByItsHash) {
  begin();
  const auto before = looks();
  const auto photo = study() / "porch.jpg";
  QImage picture(16, 16, QImage::Format_RGB32);
  picture.fill(Qt::darkGray);
  ASSERT_TRUE(picture.save(QString::fromStdString(photo.string()), "JPG"));
  const std::string bytes = *readFile(photo);
  type("date", "2025-09-29");
  type("number", "14");
  type("street", "W Elm St");
  type("door_result", "wel");
  type("dogs_met", "2");
  type("dog_name", "Moss");
  QTest::keyClick(&form(), Qt::Key_D, Qt::ControlModifier);
  EXPECT_TRUE(static_cast<QLineEdit&>(field("dog_name")).text().isEmpty());
  type("dog_name", "Fern");
  static_cast<QLineEdit&>(field("photos")).setText(QString::fromStdString(photo.string()));
  ASSERT_TRUE(keep());
  ASSERT_TRUE(said().startsWith("Kept")) << said().toStdString();
  EXPECT_EQ(looks(), before + 1);
  auto ledger = Ledger::open(study() / "ledger.sqlite");
  ASSERT_OK(ledger);
  const auto table = ledger->read(Entity::Looks), visits = ledger->read(Entity::Visits);
  ASSERT_OK(table);
  ASSERT_OK(visits);
  const std::string hash = QCryptographicHash::hash(QByteArray::fromStdString(bytes), QCryptographicHash::Sha256).toHex().toStdString();  // Qt's own, not ours
  EXPECT_EQ(table->find("photos")->asText(table->rows() - 1), "porch.jpg sha256:" + hash);
  EXPECT_EQ(visits->find("name")->asText(visits->rows() - 2), "Moss");
  EXPECT_EQ(visits->find("name")->asText(visits->rows() - 1), "Fern");
  EXPECT_EQ(ledger->count(Entity::Photos).value(), 1U);
}

TEST_F(TypingTest, WhatCanNotBeKeptSaysWhyAndStaysInTheForm) {
  begin();
  const auto before = looks();
  QTest::keyClick(&form(), Qt::Key_Return, Qt::ControlModifier);
  EXPECT_TRUE(said().contains("which door"));
  type("date", "2025-02-31");
  type("number", "12");
  type("street", "W Elm St");
  ASSERT_TRUE(keep());
  EXPECT_TRUE(said().startsWith("Not kept")) << said().toStdString();
  EXPECT_EQ(static_cast<QLineEdit&>(field("number")).text(), "12");
  EXPECT_EQ(looks(), before);
  QTest::keyClick(&form(), Qt::Key_Escape);
  EXPECT_FALSE(form().isVisible());
}

TEST_F(TypingTest, ReturnOnABlockOpensTheLooksBehindItsNumbers) {
  window_.chooseQuestion("been");
  ASSERT_TRUE(settled());
  const auto& blocks = findings()->blocks.table;
  int row = 0;
  const auto blockAt = [&](int at) { return static_cast<std::size_t>(list().model()->index(at, 0).data(window::RowModel::Block).toLongLong()); };
  while (blocks.find("dogs_known")->asInteger(blockAt(row)).value_or(0) == 0 || blocks.find("looks")->asInteger(blockAt(row)).value_or(0) < 5) ++row;
  list().setCurrentIndex(list().model()->index(row, 0));
  QTest::keyClick(&list(), Qt::Key_Return);
  auto& card = *window_.findChild<QWidget*>("card_page");
  ASSERT_TRUE(card.isVisible());
  ASSERT_TRUE(settled());
  auto& looks_here = *card.findChild<window::RowList*>("rows");
  EXPECT_GT(looks_here.model()->rowCount(), 0);
  EXPECT_LE(looks_here.model()->rowCount(), blocks.find("looks")->asInteger(blockAt(row)).value_or(0)) << "looks of no door are in the block's count alone";
  looks_here.setCurrentIndex(looks_here.model()->index(0, 0));
  EXPECT_TRUE(card.findChild<QLabel*>("card_finding")->text().contains("look"));
  QTest::keyClick(&card, Qt::Key_Escape);
  EXPECT_FALSE(card.isVisible());
}

TEST_F(TypingTest, ReturnOnWhatIsDueOpensTheCardOfItsPremises) {
  window_.chooseQuestion("due");
  ASSERT_TRUE(settled());
  list().setCurrentIndex(list().model()->index(0, 0));
  QTest::keyClick(&list(), Qt::Key_Return);
  auto& card = *window_.findChild<QWidget*>("card_page");
  ASSERT_TRUE(card.isVisible());
  ASSERT_TRUE(settled());
  EXPECT_EQ(card.findChild<QLabel*>("card_title")->text(), list().model()->index(0, 0).data(window::RowModel::Detail).toString().section(QStringLiteral(" · crew"), 0, 0));
  EXPECT_GT(card.findChild<window::RowList*>("rows")->model()->rowCount(), 0) << "what is due hangs on a look";
}

}  // namespace
}  // namespace leeward::test
