// Hand over in the window: the audience first, what stays and why, then the files; and a sealed study is asked for its passphrase.
#include <QComboBox>
#include <QFileDialog>
#include <QInputDialog>
#include <QLineEdit>
#include <QPushButton>
#include <QTimer>

#include "shared/base/seal.h"
#include "tests/journeys/window/window_test.h"
#include "viewer/study/seal_study.h"

namespace leeward::test {
namespace {

class HandOverPageTest : public WindowTest {
 protected:
  QPushButton& button(const char* name) { return *page().findChild<QPushButton*>(name); }
  bool idle() {
    return QTest::qWaitFor([&] { return !window_.room().jobs().isBusy(); }, 120000) && settled();
  }
  /// Names the folder in the dialogue that the click opens.
  void handInto(const std::filesystem::path& folder) {
    QTimer::singleShot(200, [folder] {
      auto* dialog = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
      ASSERT_NE(dialog, nullptr);
      dialog->setDirectory(QString::fromStdString(folder.parent_path().string()));
      dialog->findChild<QLineEdit*>()->setText(QString::fromStdString(folder.filename().string()));
      static_cast<QDialog*>(dialog)->accept();
    });
    QTest::mouseClick(&button("hand"), Qt::LeftButton);
  }
};

TEST_F(HandOverPageTest, TheAudienceComesFirstThenWhatStaysThenTheFiles) {
  window_.chooseQuestion("hand_over");
  ASSERT_TRUE(settled());
  EXPECT_EQ(page().findChild<QComboBox*>("audience")->currentIndex(), 0) << "the public unless somebody says otherwise";
  EXPECT_FALSE(button("hand").isVisible()) << "nothing leaves before what stays was seen";
  QTest::mouseClick(&button("foresee"), Qt::LeftButton);
  ASSERT_TRUE(idle());
  EXPECT_TRUE(text("finding").contains("counts leave")) << text("finding").toStdString();
  EXPECT_GT(list().model()->rowCount(), 10);
  ASSERT_TRUE(button("hand").isVisible());
  const TemporaryFolder out;
  handInto(out.path() / "for the board");
  ASSERT_TRUE(idle());
  EXPECT_TRUE(std::filesystem::exists(out.path() / "for the board" / "read-me.txt"));
  EXPECT_TRUE(text("where").contains("read-me.txt")) << text("where").toStdString();
  EXPECT_FALSE(text("where").contains("Holds client data"));

  // A case that nobody knows is refused with its reason, on the page.
  page().findChild<QComboBox*>("audience")->setCurrentIndex(2);
  EXPECT_FALSE(button("foresee").isEnabled()) << "which case?";
  QTest::keyClicks(page().findChild<QLineEdit*>("case"), "V99999");
  QTest::mouseClick(&button("foresee"), Qt::LeftButton);
  ASSERT_TRUE(idle());
  EXPECT_TRUE(text("finding").startsWith("Nothing can be handed over")) << text("finding").toStdString();
  EXPECT_FALSE(button("hand").isVisible());
}

TEST(SealedInTheWindow, APassphraseIsAskedForAndAWrongOneAgain) {
  const TemporaryFolder folder;
  const auto study = folder.path() / "study";
  Progress progress;
  ASSERT_OK(study::makeSampleStudy(sourceFolder() / "sample-data" / "town", study, progress));
  ASSERT_OK(study::sealStudy(study, Secret("gravel umbrella seven lantern"), progress));
  forgetSealKeys();
  Workbench window;
  window.show();
  QStringList asked;
  QTimer typing;
  QObject::connect(&typing, &QTimer::timeout, [&] {
    auto* box = qobject_cast<QInputDialog*>(QApplication::activeModalWidget());
    if (box == nullptr || box->objectName() != "passphrase") return;
    asked += box->labelText();
    box->setTextValue(asked.size() == 1 ? "not this one at all" : "gravel umbrella seven lantern");
    box->accept();
  });
  typing.start(100);
  window.openStudy(study);
  ASSERT_TRUE(QTest::qWaitFor([&] { return window.hasStudy(); }, 120000));
  EXPECT_EQ(asked.size(), 2);
  EXPECT_TRUE(asked.value(1).contains("does not open"));
  EXPECT_FALSE(window.windowTitle().contains("gravel"));
}

}  // namespace
}  // namespace leeward::test
