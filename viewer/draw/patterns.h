#pragma once
/// Hatches and dots inside an area, computed: vectors on every device, also on those that can't clip.
#include <QLineF>
#include <QPainterPath>
#include <vector>

#include "viewer/draw/sign.h"

namespace leeward::draw {

struct PatternMarks {
  std::vector<QLineF> lines;
  std::vector<QPointF> dots;
  double width = 0;  ///< of the lines, or the dots' diameter, in the path's units
};

/// Marks of `pattern` inside `area` (even-odd), on a lattice fixed to `anchor` so that neighbours run on into each other and
/// a dragged map keeps its pattern. `unit`: painter units a point. Only marks that meet `within` are made.
PatternMarks patternMarks(const QPainterPath& area, Pattern pattern, QPointF anchor, const QRectF& within, double unit);

/// Fills and patterns `area` on the painter; no outline.
void paintFill(QPainter& painter, const QPainterPath& area, const Fill& fill, QPointF anchor, const QRectF& within, double unit);

}  // namespace leeward::draw
