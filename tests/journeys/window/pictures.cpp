// Pictures of every page of the window: window_pictures STUDY FOLDER [PREFIX WIDTHxHEIGHT light|dark|strong PERCENT]
#include <QApplication>
#include <QComboBox>
#include <QElapsedTimer>
#include <QStandardPaths>
#include <QTest>
#include <cstdio>

#include "viewer/draw/type.h"
#include "viewer/window/pages.h"
#include "viewer/window/workbench.h"

int main(int argc, char** argv) {
  if (argc < 3) {
    std::puts("window_pictures STUDY FOLDER [PREFIX WIDTHxHEIGHT light|dark|strong PERCENT]");
    return 2;
  }
  if (!qEnvironmentVariableIsSet("QT_QPA_PLATFORM")) qputenv("QT_QPA_PLATFORM", "offscreen");
  leeward::draw::quietQt();
  QStandardPaths::setTestModeEnabled(true);
  QApplication application(argc, argv);
  const QStringList words = QApplication::arguments();
  leeward::window::Look look;
  const QString shade = words.value(5, QStringLiteral("light"));
  look.shade = shade == "dark" ? leeward::draw::Shade::Dark : shade == "strong" ? leeward::draw::Shade::HighContrast : leeward::draw::Shade::Light;
  look.text_percent = words.value(6, QStringLiteral("100")).toInt();
  leeward::window::applyStyle(application, look);
  leeward::window::Workbench window;
  const QStringList size = words.value(4, QStringLiteral("1280x800")).split(QLatin1Char('x'));
  window.resize(size.value(0).toInt(), size.value(1).toInt());
  window.show();
  const QString prefix = words.value(2) + QLatin1Char('/') + words.value(3, QStringLiteral("page"));
  QTest::qWait(50);
  window.grab().save(prefix + QStringLiteral("-start.png"));
  window.openStudy(words.value(1).toStdString());
  if (!QTest::qWaitFor([&] { return window.hasStudy(); }, 120000)) return 4;
  for (const auto& kind : leeward::window::pageKinds()) {
    window.chooseQuestion(QString::fromLatin1(kind.key));
    if (window.question() == "next") window.room().selectBlock(3);
    if (!QTest::qWaitFor([&] { return window.isSettled(); }, 60000)) return 4;
    QTest::qWait(30);
    window.grab().save(prefix + QLatin1Char('-') + QLatin1String(kind.key) + QStringLiteral(".png"));
    if (auto* by = window.findChild<QComboBox*>("need_by"); by != nullptr && window.question() == "need") {
      by->setCurrentIndex(1);
      if (!QTest::qWaitFor([&] { return window.isSettled(); }, 60000)) return 4;
      QTest::qWait(30);
      window.grab().save(prefix + QStringLiteral("-finds.png"));
      by->setCurrentIndex(0);
    }
  }
  const auto take = [&](const char* name) {
    (void)QTest::qWaitFor([&] { return window.isSettled(); }, 60000);
    QTest::qWait(30);
    window.grab().save(prefix + QLatin1Char('-') + QLatin1String(name) + QStringLiteral(".png"));
  };
  emit window.room().typingAsked();
  take("typing");
  window.chooseQuestion("due");
  const auto& due = window.room().findings()->due_ahead;
  if (due.rows() > 0) window.room().openCard(QString::fromStdString(due.find("address")->asText(0)), due.find("premises_id")->asText(0));
  take("card");
  window.chooseQuestion("bring_in");
  emit window.room().addressesAsked();
  QTest::qWait(500);
  take("settle");
  return 0;
}
