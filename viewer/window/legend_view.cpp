#include "viewer/window/legend_view.h"

#include <cmath>
#include <utility>

#include <QPainter>

#include "viewer/window/style.h"

namespace leeward::window {

LegendView::LegendView(QWidget* parent) : QWidget(parent) {
  QSizePolicy policy(QSizePolicy::Preferred, QSizePolicy::Fixed);
  policy.setHeightForWidth(true);
  setSizePolicy(policy);
  setAccessibleName(tr("Legend"));
}

void LegendView::setLegend(draw::Legend legend) {
  legend_ = std::move(legend);
  QStringList words;
  for (const auto& group : legend_.groups) {
    words += group.heading + (group.unit.isEmpty() ? QString() : ", " + group.unit);
    for (const auto& entry : group.entries) words += entry.words + (entry.amount.isEmpty() ? QString() : ": " + entry.amount);
  }
  setAccessibleDescription(words.join(QStringLiteral("; ")));
  updateGeometry();
  update();
}

int LegendView::heightForWidth(int width) const { return static_cast<int>(std::ceil(draw::legendHeight(legend_, width / kUnit) * kUnit)); }

QSize LegendView::sizeHint() const { return {kPageWidth - 4 * kGrid, heightForWidth(kPageWidth - 4 * kGrid)}; }

void LegendView::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  painter.scale(kUnit, kUnit);
  draw::drawLegend(painter, QPointF(0, 0), width() / kUnit, legend_);
}

}  // namespace leeward::window
