#pragma once
/// Between the world (the study's frame, metres, y up) and paper (painter units, y down). North is always up.
#include <QPointF>
#include <QRectF>
#include <QTransform>

#include "shared/geo/geometry.h"

namespace leeward::draw {

struct MapView {
  QRectF frame;                ///< where the map lies, painter units
  Point center;                ///< the world at the middle of the frame
  double metres_per_unit = 1;  ///< world metres a painter unit, > 0

  /// The whole of `extent` in `frame`, with `margin` units to spare on each side. An empty extent gives 1 m a unit at 0, 0;
  /// a single point is shown with 250 m around it.
  static MapView fit(const Bbox& extent, const QRectF& frame, double margin = 0);

  QPointF toPaper(Point world) const;
  Point toWorld(QPointF paper) const;
  /// Takes coordinates relative to `origin` (y up) to paper.
  QTransform transform(Point origin) const;
  /// The world that the frame shows.
  Bbox visible() const;
  /// The same place under `paper` stays there; factor > 1 comes nearer. Held between 0.01 and 10,000 metres a unit.
  MapView zoomedAt(QPointF paper, double factor) const;
  /// The map follows a drag by `delta` units.
  MapView pannedBy(QPointF delta) const;
  /// The same centre and scale in another frame (a window that was resized).
  MapView inFrame(const QRectF& other) const;
  /// n of "1 : n" where a painter unit is `unit_m` long (a point: 0.0254 / 72).
  double scaleDenominator(double unit_m = 0.0254 / 72) const { return metres_per_unit / unit_m; }
};

}  // namespace leeward::draw
