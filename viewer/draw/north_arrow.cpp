#include "viewer/draw/north_arrow.h"

#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"

namespace leeward::draw {

void drawNorthArrow(QPainter& painter, const QRectF& box) {
  const double x = box.center().x(), letter = capHeight(kBodyStrong), top = box.top() + letter + 4;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  drawLine(painter, {x - textWidth(QStringLiteral("N"), kBodyStrong) / 2, box.top() + letter}, QStringLiteral("N"), kBodyStrong,
           ground::kInk);
  painter.setPen(QPen(ground::kInk, 1.1, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin));
  painter.drawLine(QPointF(x, top + 2), QPointF(x, box.bottom()));
  painter.setBrush(Qt::NoBrush);
  painter.drawPolyline(QPolygonF({QPointF(x - 4.5, top + 7), QPointF(x, top), QPointF(x + 4.5, top + 7)}));
  painter.drawLine(QPointF(x - 3, box.bottom()), QPointF(x + 3, box.bottom()));
  painter.restore();
}

}  // namespace leeward::draw
