#pragma once
/// North, as a plain mark: maps here are always north up (grid north of the frame).
#include <QRectF>

class QPainter;

namespace leeward::draw {

void drawNorthArrow(QPainter& painter, const QRectF& box);

}  // namespace leeward::draw
