// The window's face: every control has a name, a place in the order of Tab and a letter of its own; no text is cut, at 150 % either; what is
// read has the contrast that WCAG 2.2 AA asks for, in every shade.
#include <QApplication>
#include <QAbstractButton>
#include <QAbstractSpinBox>
#include <QAccessible>
#include <QComboBox>
#include <QLabel>
#include <QPushButton>
#include <QShortcut>
#include <QSlider>
#include <cmath>
#include <map>

#include "tests/journeys/window/window_test.h"
#include "viewer/window/pages.h"

namespace leeward::test {
namespace {

using draw::Shade;

/// Relative luminance and contrast ratio: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance", "contrast ratio".
double luminance(const QColor& colour) {
  const auto linear = [](double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); };
  return 0.2126 * linear(colour.redF()) + 0.7152 * linear(colour.greenF()) + 0.0722 * linear(colour.blueF());
}
double contrast(const QColor& a, const QColor& b) {
  const double la = luminance(a), lb = luminance(b);
  return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

TEST(PaletteTest, WhatIsReadHasTheContrastOfLevelAa) {
  EXPECT_NEAR(contrast(Qt::white, Qt::black), 21, 1e-9);  // the guidelines' own example of the highest ratio
  namespace g = draw::ground;
  for (const Shade shade : {Shade::Light, Shade::Dark, Shade::HighContrast}) {
    draw::useShade(shade);
    for (const QColor& ground : {g::kPaper, g::kLand}) {
      for (const QColor& text : {g::kInk, g::kQuietInk, draw::kAccent}) EXPECT_GE(contrast(text, ground), 4.5) << text.name().toStdString() << " on " << ground.name().toStdString();
    }
    EXPECT_GE(contrast(g::kParkInk, g::kLand), 4.5) << static_cast<int>(shade);
    EXPECT_GE(contrast(g::kWaterInk, g::kWater), 3.0) << "names of water are beside the map's meaning; a graphic's 3 : 1 is kept";
    EXPECT_GE(contrast(g::kPaper, draw::kAccent), 4.5) << "ranks in their discs";
    for (const char* state : {"never", "nobody", "overdue"}) {
      const draw::Sign sign = draw::stateSign(state);
      EXPECT_GE(contrast(sign.fill.ink, sign.fill.colour), 3.0) << state << ": its pattern is how it is told without colour";
    }
  }
  draw::useShade(Shade::Light);
}

class FaceTest : public WindowTest {
 protected:
  /// Whatever can be reached by Tab and is in sight.
  static std::vector<QWidget*> reachable(QWidget& within) {
    std::vector<QWidget*> all;
    for (QWidget* widget : within.findChildren<QWidget*>()) {
      const bool inner = widget->objectName().startsWith("qt_") || qobject_cast<QAbstractSpinBox*>(widget->parentWidget()) != nullptr || qobject_cast<QComboBox*>(widget->parentWidget()) != nullptr;
      if (!inner && widget->isVisible() && widget->isEnabled() && (widget->focusPolicy() & Qt::TabFocus) != 0) all.push_back(widget);
    }
    return all;
  }
  static std::string named(const QWidget* widget) { return widget->metaObject()->className() + std::string(" ") + widget->objectName().toStdString(); }

  void expectNames() {
    for (QWidget* widget : reachable(window_)) {
      QAccessibleInterface* told = QAccessible::queryAccessibleInterface(widget);
      ASSERT_NE(told, nullptr);
      EXPECT_FALSE(told->text(QAccessible::Name).isEmpty()) << window_.question().toStdString() << ": " << named(widget);
    }
  }

  void expectOwnLetters() {
    std::map<QString, std::string> of;
    const auto take = [&](const QString& text, const QWidget* widget) {
      const qsizetype at = text.indexOf('&');
      if (at < 0 || at + 1 >= text.size() || text[at + 1] == '&' || !widget->isVisible()) return;
      const QString letter = text.mid(at + 1, 1).toLower();
      EXPECT_TRUE(of.emplace(letter, named(widget)).second) << window_.question().toStdString() << ": Alt+" << letter.toStdString() << " is of " << of[letter] << " and of " << named(widget);
    };
    for (const auto* button : window_.findChildren<QAbstractButton*>()) take(button->text(), button);
    for (const auto* label : window_.findChildren<QLabel*>()) {
      if (label->buddy() != nullptr) take(label->text(), label);
    }
  }

  void expectNothingCut() {
    const std::string where = window_.question().toStdString() + ": ";
    for (const auto* button : window_.findChildren<QPushButton*>()) {
      if (!button->isVisible()) continue;
      EXPECT_GE(button->width(), button->sizeHint().width() - 1) << where << named(button) << " " << button->text().toStdString();
    }
    for (const auto* label : window_.findChildren<QLabel*>()) {
      if (!label->isVisible() || label->text().isEmpty()) continue;
      const int tall = label->wordWrap() ? label->heightForWidth(label->width()) : label->sizeHint().height();
      EXPECT_GE(label->height(), tall - 1) << where << named(label) << " " << label->text().toStdString();
      if (label->wordWrap()) continue;
      EXPECT_GE(label->width(), label->sizeHint().width() - 1) << where << named(label) << " " << label->text().toStdString();
    }
  }

  void expectOrderOfReading() {
    QWidget* area = page().parentWidget()->parentWidget();
    int before = -1;
    QWidget* last = nullptr;
    for (QWidget* next = page().nextInFocusChain(); next != &page(); next = next->nextInFocusChain()) {
      const auto all = reachable(*area);
      if (!page().isAncestorOf(next) || std::ranges::find(all, next) == all.end()) continue;
      const int y = next->mapTo(&page(), QPoint(0, next->height() / 2)).y();
      EXPECT_GE(y + window::grown(12), before) << window_.question().toStdString() << ": " << named(next) << " comes after " << (last == nullptr ? "" : named(last));
      before = y, last = next;
    }
  }

  void walk() {
    for (const auto& kind : window::pageKinds()) {
      window_.chooseQuestion(QString::fromLatin1(kind.key));
      ASSERT_TRUE(settled());
      QTest::qWait(50);
      expectNames();
      expectOwnLetters();
      expectNothingCut();
      expectOrderOfReading();
    }
  }
};

TEST_F(FaceTest, EveryPageHasNamesLettersAndAnOrder) { walk(); }

TEST_F(FaceTest, BeforeAStudyIsOpenNothingIsCutEither) {
  for (const int percent : {100, 150, 200}) {
    window::applyStyle(*static_cast<QApplication*>(QApplication::instance()), {Shade::Light, percent});
    Workbench fresh;
    fresh.show();
    QTest::qWait(50);
    for (const auto* label : fresh.findChildren<QLabel*>()) {
      if (label->isVisible() && label->wordWrap()) {
        EXPECT_GE(label->height(), label->heightForWidth(label->width()) - 1) << percent << " %: " << label->text().toStdString();
      }
    }
  }
  window::applyStyle(*static_cast<QApplication*>(QApplication::instance()), {});
}

TEST_F(FaceTest, NothingIsCutAtOneAndAHalfInTheDark) {
  window_.wear({Shade::Dark, 150});
  ASSERT_TRUE(settled());
  QTest::qWait(100);
  EXPECT_TRUE(window_.hasStudy());
  walk();
  EXPECT_GT(map().width(), window_.width() / 2) << "the map stays the largest thing";
  window_.wear({});
}

TEST_F(FaceTest, KeysOfTheWindowDontClash) {
  std::map<QString, int> count;
  for (const auto* key : window_.findChildren<QShortcut*>()) {
    if (key->context() == Qt::WindowShortcut) ++count[key->key().toString()];
  }
  EXPECT_GE(count.size(), 12U);
  for (const auto& [keys, times] : count) EXPECT_EQ(times, 1) << keys.toStdString();
}

TEST_F(FaceTest, TheMapIsWalkedAndAPageChosenByKeysAlone) {
  QTest::keyClick(&window_, Qt::Key_2, Qt::ControlModifier);
  EXPECT_EQ(window_.question(), "been");
  ASSERT_TRUE(settled());
  map().setFocus();
  const auto before = map().view();
  QTest::keyClick(&map(), Qt::Key_Plus);
  QTest::keyClick(&map(), Qt::Key_Right);
  EXPECT_LT(map().view().metres_per_unit, before.metres_per_unit);
  EXPECT_GT(map().view().center.x, before.center.x);
  QTest::keyClick(&map(), Qt::Key_F6);
  EXPECT_FALSE(map().hasFocus());
  EXPECT_TRUE(page().isAncestorOf(QApplication::focusWidget()));
}

}  // namespace
}  // namespace leeward::test
