#pragma once
/// Puts labels where no other label lies. Internal to viewer/draw.
#include <QPolygonF>
#include <vector>

#include "viewer/draw/map_painter.h"
#include "viewer/draw/prepared_layer.h"

namespace leeward::draw {

/// Whether two convex quads share more than an edge (separating axes).
bool quadsMeet(const QPolygonF& a, const QPolygonF& b);

class LabelPlacer {
 public:
  LabelPlacer(QPainter& painter, const MapView& view, double unit, Point origin);

  /// Badges and notes first, then places and water, then streets: the caller goes through the kinds in that order.
  void place(const PreparedLayer& layer);
  Painted done() && { return std::move(painted_); }

 private:
  bool take(const QPolygonF& quad);
  bool takeRect(const QRectF& rect);
  void placeBadge(QPointF at, const QString& text, bool filled);
  void placeNote(QPointF at, const QString& text);
  void placeArea(QPointF at, const QString& text, LabelKind kind, double room);
  void placeStreet(const NameChain& chain);
  bool tryStreetAt(const std::vector<QPointF>& line, const std::vector<double>& along, double start, double width,
                   const QString& name);

  QPainter& painter_;
  const MapView& view_;
  double unit_;
  Point origin_;
  Painted painted_;
};

}  // namespace leeward::draw
