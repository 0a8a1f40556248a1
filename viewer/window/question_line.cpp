#include "viewer/window/question_line.h"

#include <QKeyEvent>
#include <QPushButton>
#include <algorithm>

#include "viewer/window/icons.h"
#include "viewer/window/pages.h"
#include "viewer/window/style.h"

namespace leeward::window {

QuestionLine::QuestionLine(QWidget* parent) : QWidget(parent) {
  setObjectName("questions");
  setAccessibleName(tr("Questions"));
  QSizePolicy policy(QSizePolicy::Preferred, QSizePolicy::Fixed);
  policy.setHeightForWidth(true);
  setSizePolicy(policy);
  int index = 0;
  for (const PageKind& kind : pageKinds()) {
    auto* button = new QPushButton(iconOf(kind.icon, draw::ground::kInk), kind.name, this);
    button->setObjectName("question");
    button->setProperty("key", QString::fromLatin1(kind.key));
    button->setFont(fontFor(Text::Body));
    button->setIconSize({grown(18), grown(18)});
    button->setCheckable(true);
    button->setAccessibleName(kind.name);
    button->setToolTip(tr("%1 (Ctrl+%2)").arg(kind.name).arg(index + 1));
    connect(button, &QPushButton::clicked, this, [this, index] {
      setChosen(index);
      emit chosen(index);
    });
    buttons_.push_back(button);
    ++index;
  }
}

void QuestionLine::setChosen(int index) {
  for (std::size_t i = 0; i < buttons_.size(); ++i) {
    if (buttons_[i]->isCheckable()) buttons_[i]->setChecked(static_cast<int>(i) == index);
  }
}

void QuestionLine::addLast(QPushButton* button) {
  button->setParent(this);
  buttons_.push_back(button);
  updateGeometry();
}

int QuestionLine::flow(int width, bool place) const {
  int x = kGrid, y = kGrid / 2, line = 0;
  for (QPushButton* button : buttons_) {
    // The chosen one is half bold: every button keeps the room for it, so that the line doesn't move when another is chosen.
    QSize size = button->sizeHint();
    QFont strong = button->font();
    strong.setWeight(QFont::DemiBold);
    size.setWidth(std::max(size.width(), button->iconSize().width() + QFontMetrics(strong).horizontalAdvance(button->text()) + kGrid + 4));
    if (x > kGrid && x + size.width() > width - kGrid) x = kGrid, y += line, line = 0;
    if (place) button->setGeometry(x, y, size.width(), size.height());
    x += size.width() + kGrid;
    line = std::max(line, size.height());
  }
  return y + line + kGrid / 2;
}

QSize QuestionLine::sizeHint() const { return {grown(400), flow(grown(400), false)}; }

void QuestionLine::resizeEvent(QResizeEvent*) { flow(width(), true); }

void QuestionLine::keyPressEvent(QKeyEvent* event) {
  const int step = event->key() == Qt::Key_Right || event->key() == Qt::Key_Down ? 1 : event->key() == Qt::Key_Left || event->key() == Qt::Key_Up ? -1 : 0;
  for (std::size_t i = 0; step != 0 && i < buttons_.size(); ++i) {
    if (!buttons_[i]->hasFocus()) continue;
    const int there = std::clamp(static_cast<int>(i) + step, 0, static_cast<int>(buttons_.size()) - 1);
    return buttons_[static_cast<std::size_t>(there)]->setFocus(Qt::TabFocusReason);
  }
  QWidget::keyPressEvent(event);
}

}  // namespace leeward::window
