#include "viewer/window/style.h"

#include <algorithm>

#include <QApplication>
#include <QLabel>
#include <QPalette>
#include <QPushButton>

namespace leeward::window {
namespace {

constexpr int kPageWidth = 456;        ///< pixels at 100 %
constexpr double kWidestPage = 0.47;  ///< of the window: the map stays the largest thing
constexpr double kPixelsAPoint = 96.0 / 72.0;

Look& lookInUse() {
  static Look look;
  return look;
}

double scale() { return lookInUse().text_percent / 100.0; }

QPalette paletteOf() {
  namespace ground = draw::ground;
  QPalette palette;
  palette.setColor(QPalette::Window, ground::kPaper);
  palette.setColor(QPalette::Base, ground::kPaper);
  palette.setColor(QPalette::AlternateBase, ground::kLand);
  palette.setColor(QPalette::Button, ground::kPaper);
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText, QPalette::ToolTipText, QPalette::BrightText}) palette.setColor(role, ground::kInk);
  palette.setColor(QPalette::PlaceholderText, ground::kQuietInk);
  palette.setColor(QPalette::ToolTipBase, ground::kPaper);
  palette.setColor(QPalette::Link, draw::kAccent);
  palette.setColor(QPalette::Highlight, draw::kAccent);
  palette.setColor(QPalette::HighlightedText, ground::kPaper);
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText}) palette.setColor(QPalette::Disabled, role, ground::kQuietInk);
  return palette;
}

/// %1 rule, %2 accent, %3 land, %4 paper, %5 ink, %6 quiet ink, %7 and %8 small gaps.
constexpr const char* kSheet = R"(
  QPushButton#question { border: none; border-bottom: 3px solid transparent; padding: 4px 2px 3px 2px; text-align: left; background: transparent; color: %6; }
  QPushButton#question:hover { border-bottom: 3px solid %1; color: %5; }
  QPushButton#question:checked { border-bottom: 3px solid %2; color: %5; font-weight: 600; }
  QPushButton#question:focus { background: %3; color: %5; }
  QPushButton[plain="true"] { border: 1px solid %6; border-radius: 3px; padding: %7px %8px; background: %4; color: %5; }
  QPushButton[plain="true"]:hover { border-color: %2; }
  QPushButton[plain="true"]:focus { border: 2px solid %2; }
  QPushButton[plain="true"]:checked { border-color: %2; background: %3; }
  QPushButton[plain="true"]:disabled { color: %6; border-color: %1; }
  QPushButton[quiet="true"] { border: none; border-bottom: 1px solid %6; padding: 2px 0px; background: transparent; color: %5; text-align: left; }
  QPushButton[quiet="true"]:hover, QPushButton[quiet="true"]:focus { border-bottom: 1px solid %2; color: %2; }
  QListView { border: none; border-top: 1px solid %1; border-bottom: 1px solid %1; outline: none; background: %4; }
  QListView:focus { border-top: 2px solid %2; }
  QScrollArea { border: none; background: %4; }
  QScrollBar:vertical { border: none; background: %4; width: 12px; margin: 0px; }
  QScrollBar::handle:vertical { background: %1; min-height: 32px; margin: 2px; border-radius: 4px; }
  QScrollBar::handle:vertical:hover { background: %6; }
  QScrollBar::add-line, QScrollBar::sub-line, QScrollBar::add-page, QScrollBar::sub-page { background: none; height: 0px; }
  QLineEdit, QAbstractSpinBox, QComboBox, QPlainTextEdit { border: 1px solid %6; border-radius: 3px; padding: %7px; background: %4; color: %5; selection-background-color: %2; selection-color: %4; }
  QLineEdit:focus, QAbstractSpinBox:focus, QComboBox:focus, QPlainTextEdit:focus { border: 2px solid %2; }
  QComboBox::drop-down, QAbstractSpinBox::up-button, QAbstractSpinBox::down-button { border: none; background: transparent; width: 20px; }
  QComboBox::down-arrow, QAbstractSpinBox::down-arrow { image: url(:/leeward/icons/down.svg); width: 12px; height: 12px; }
  QAbstractSpinBox::up-arrow { image: url(:/leeward/icons/up.svg); width: 12px; height: 12px; }
  QComboBox QAbstractItemView { background: %4; color: %5; selection-background-color: %2; selection-color: %4; border: 1px solid %6; }
  QCheckBox { spacing: 8px; }
  QCheckBox::indicator { width: %9px; height: %9px; border: 1px solid %6; border-radius: 2px; background: %4; }
  QCheckBox::indicator:checked { background: %2; border-color: %2; image: url(:/leeward/icons/%10.svg); }
  QCheckBox::indicator:disabled { border-color: %1; background: %3; }
  QCheckBox:focus { border-bottom: 1px dotted %2; }
  QProgressBar { border: none; background: %1; max-height: 4px; }
  QProgressBar::chunk { background: %2; }
  QToolTip { border: 1px solid %6; padding: 6px; background: %4; color: %5; }
)";

}  // namespace

Look look() { return lookInUse(); }
double unit() { return kPixelsAPoint * scale(); }
int grown(int pixels) { return static_cast<int>(pixels * scale() + 0.5); }

int pageWidth(int window_width) {
  const int wanted = window_width > 2000 ? grown(kPageWidth + 12 * kGrid) : grown(kPageWidth);
  return std::min(wanted, static_cast<int>(window_width * kWidestPage));
}

QFont fontFor(Text text) {
  QFont font(QStringLiteral("Open Sans"));
  double points = 9.5;
  switch (text) {
    case Text::Title:
      points = 16;
      font.setWeight(QFont::Bold);
      break;
    case Text::Finding:
      points = 11.5;
      break;
    case Text::Body:
      break;
    case Text::Small:
      points = 8.5;
      break;
  }
  font.setPointSizeF(points * scale());
  return font;
}

void applyStyle(QApplication& application, Look wanted) {
  lookInUse() = wanted;
  draw::useShade(wanted.shade);
  QApplication::setStyle(QStringLiteral("Fusion"));
  QApplication::setPalette(paletteOf());
  QApplication::setFont(fontFor(Text::Body));
  namespace ground = draw::ground;
  application.setStyleSheet(QString::fromLatin1(kSheet)
                                .arg(ground::kRule.name(), draw::kAccent.name(), ground::kLand.name(), ground::kPaper.name(), ground::kInk.name(), ground::kQuietInk.name(),
                                     QString::number(grown(4)), QString::number(grown(10)), QString::number(grown(13)),
                                     wanted.shade == draw::Shade::Dark ? QStringLiteral("tick_dark") : QStringLiteral("tick")));
}

QLabel* makeWords(Text text, const char* name, bool quiet) {
  auto* label = new QLabel;
  label->setFont(fontFor(text));
  label->setWordWrap(true);
  label->setObjectName(name);
  label->setTextFormat(Qt::PlainText);
  label->setTextInteractionFlags(Qt::TextSelectableByMouse);
  if (quiet) {
    QPalette palette = label->palette();
    palette.setColor(QPalette::WindowText, draw::ground::kQuietInk);
    label->setPalette(palette);
  }
  return label;
}

QPushButton* makeButton(const QString& words, const char* name) {
  auto* button = new QPushButton(words);
  button->setObjectName(name);
  button->setProperty("plain", true);
  button->setFont(fontFor(Text::Body));
  button->setFocusPolicy(Qt::StrongFocus);
  button->setAutoDefault(true);
  return button;
}

}  // namespace leeward::window
