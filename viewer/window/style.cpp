#include "viewer/window/style.h"

#include <QApplication>
#include <QFont>
#include <QPalette>

#include "viewer/draw/palette.h"

namespace leeward::window {

QFont fontFor(Text text) {
  QFont font(QStringLiteral("Open Sans"));
  switch (text) {
    case Text::Title:
      font.setPointSizeF(15);
      font.setWeight(QFont::Bold);
      break;
    case Text::Finding:
      font.setPointSizeF(11);
      break;
    case Text::Body:
      font.setPointSizeF(9.5);
      break;
    case Text::Small:
      font.setPointSizeF(8.5);
      break;
  }
  return font;
}

void applyStyle(QApplication& application) {
  QApplication::setStyle(QStringLiteral("Fusion"));
  QPalette palette;
  palette.setColor(QPalette::Window, draw::ground::kPaper);
  palette.setColor(QPalette::Base, draw::ground::kPaper);
  palette.setColor(QPalette::AlternateBase, draw::ground::kLand);
  palette.setColor(QPalette::Button, draw::ground::kPaper);
  palette.setColor(QPalette::WindowText, draw::ground::kInk);
  palette.setColor(QPalette::Text, draw::ground::kInk);
  palette.setColor(QPalette::ButtonText, draw::ground::kInk);
  palette.setColor(QPalette::ToolTipBase, draw::ground::kPaper);
  palette.setColor(QPalette::ToolTipText, draw::ground::kInk);
  palette.setColor(QPalette::Highlight, draw::kAccent);
  palette.setColor(QPalette::HighlightedText, draw::ground::kPaper);
  QApplication::setPalette(palette);
  QApplication::setFont(fontFor(Text::Body));
  // Questions are words, not tabs: the one in hand is underlined in the accent.
  application.setStyleSheet(QStringLiteral(R"(
    QPushButton#question { border: none; border-bottom: 3px solid transparent; padding: 6px 0px 4px 0px; text-align: left; }
    QPushButton#question:hover { border-bottom: 3px solid %1; }
    QPushButton#question:checked { border-bottom: 3px solid %2; font-weight: 600; }
    QPushButton#question:focus { background: %3; }
    QPushButton#plain { border: 1px solid %1; border-radius: 3px; padding: 5px 12px; background: %4; }
    QPushButton#plain:hover, QPushButton#plain:focus { border-color: %2; }
    QListView { border: none; border-top: 1px solid %1; outline: none; }
    QProgressBar { border: none; background: %3; max-height: 4px; }
    QProgressBar::chunk { background: %2; }
    QToolTip { border: 1px solid %1; padding: 6px; background: %4; color: %5; }
  )").arg(draw::ground::kRule.name(), draw::kAccent.name(), draw::ground::kLand.name(), draw::ground::kPaper.name(), draw::ground::kInk.name()));
}

}  // namespace leeward::window
