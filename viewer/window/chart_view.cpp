#include "viewer/window/chart_view.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <algorithm>
#include <cmath>
#include <utility>

#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr double kColumnsHeight = 84;  ///< points
constexpr double kMarkRoom = 5, kRightRoom = 2;  ///< points beside the intervals: the chosen one's mark, a breath at the right

}  // namespace

ChartView::ChartView(Kind kind, QWidget* parent) : QWidget(parent), kind_(kind) {
  setFocusPolicy(Qt::StrongFocus);
  QSizePolicy policy(QSizePolicy::Expanding, QSizePolicy::Fixed);
  policy.setHeightForWidth(true);
  setSizePolicy(policy);
  setAccessibleName(tr("Chart"));
}

void ChartView::setChart(draw::Chart chart) {
  chart_ = std::move(chart);
  if (chosen_ >= static_cast<int>(chart_.values.size())) chosen_ = -1;
  QStringList words;
  for (const auto& value : chart_.values) {
    QString one = QStringLiteral("%1: %2").arg(value.label, draw::chartNumber(value.value, chart_.decimals));
    if (value.low && value.high) one += tr(" (%1 to %2)").arg(draw::chartNumber(*value.low, chart_.decimals), draw::chartNumber(*value.high, chart_.decimals));
    words += one;
  }
  setAccessibleName(tr("Chart: %1").arg(chart_.heading));
  setAccessibleDescription(QStringLiteral("%1. %2").arg(chart_.unit, words.join(QStringLiteral("; "))));
  setVisible(!chart_.values.empty());
  if (width() > 0) setFixedHeight(heightForWidth(width()));
  updateGeometry();
  update();
}

void ChartView::setChosen(int index) {
  chosen_ = index;
  update();
}

int ChartView::heightForWidth(int width) const {
  const double points = kind_ == Kind::Intervals ? draw::intervalsHeight(chart_, width / unit() - kMarkRoom - kRightRoom) : kColumnsHeight;
  return static_cast<int>(std::ceil(points * unit())) + 4;
}

/// A layout within a layout asks for a height before it knows the width: what is needed is held to.
void ChartView::resizeEvent(QResizeEvent*) { setFixedHeight(heightForWidth(width())); }

QSize ChartView::sizeHint() const { return {grown(400), heightForWidth(width() > 0 ? width() : grown(400))}; }

QRectF ChartView::boxOf(int index) const {
  const auto n = static_cast<double>(std::max<std::size_t>(1, chart_.values.size()));
  if (kind_ == Kind::Columns) return {width() * index / n, 0, width() / n, static_cast<double>(height())};
  const double row = (heightForWidth(width()) - 4 - (draw::intervalsHeight({.heading = chart_.heading, .unit = chart_.unit, .counted = chart_.counted, .values = {}}, width() / unit() - kMarkRoom - kRightRoom)) * unit()) / n;
  return {0, height() - row * (n - index), static_cast<double>(width()), row};
}

void ChartView::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  if (chosen_ >= 0) {
    painter.fillRect(boxOf(chosen_), draw::ground::kLand);
    const QRectF box = boxOf(chosen_);
    painter.fillRect(kind_ == Kind::Columns ? QRectF(box.left(), box.bottom() - 3, box.width(), 3) : QRectF(box.left(), box.top(), 3, box.height()), draw::kAccent);
  }
  if (hasFocus()) {
    painter.setPen(QPen(draw::kAccent, 1, Qt::DotLine));
    painter.drawRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5));
  }
  painter.scale(unit(), unit());
  const QRectF box(kind_ == Kind::Intervals ? kMarkRoom : 0, 0, width() / unit() - (kind_ == Kind::Intervals ? kMarkRoom + kRightRoom : 0), (height() - 4) / unit());
  if (kind_ == Kind::Intervals) draw::drawIntervals(painter, box, chart_);
  else draw::drawColumns(painter, box, chart_);
}

void ChartView::pick(int index) {
  setChosen(index == chosen_ ? -1 : index);
  emit picked(chosen_);
}

void ChartView::mousePressEvent(QMouseEvent* event) {
  for (int i = 0; i < static_cast<int>(chart_.values.size()); ++i) {
    if (boxOf(i).contains(event->position())) return pick(i);
  }
}

void ChartView::keyPressEvent(QKeyEvent* event) {
  const int last = static_cast<int>(chart_.values.size()) - 1;
  const bool back = event->key() == Qt::Key_Left || event->key() == Qt::Key_Up, on = event->key() == Qt::Key_Right || event->key() == Qt::Key_Down;
  if (last < 0 || (!back && !on && event->key() != Qt::Key_Escape)) return QWidget::keyPressEvent(event);
  if (event->key() == Qt::Key_Escape && chosen_ < 0) return QWidget::keyPressEvent(event);
  const int wanted = event->key() == Qt::Key_Escape ? -1 : chosen_ < 0 ? (on ? 0 : last) : std::clamp(chosen_ + (on ? 1 : -1), 0, last);
  if (wanted == chosen_) return;
  setChosen(wanted);
  emit picked(wanted);
}

}  // namespace leeward::window
