#include "viewer/draw/map_view.h"

#include <algorithm>
#include <cmath>

namespace leeward::draw {

MapView MapView::fit(const Bbox& extent, const QRectF& frame, double margin) {
  MapView view;
  view.frame = frame;
  if (extent.isEmpty()) return view;
  view.center = extent.center();
  const double width = std::max(1.0, frame.width() - 2 * margin), height = std::max(1.0, frame.height() - 2 * margin);
  const bool is_point = extent.width() <= 0 && extent.height() <= 0;
  view.metres_per_unit = is_point ? 500 / std::min(width, height) : std::max(extent.width() / width, extent.height() / height);
  return view;
}

QPointF MapView::toPaper(Point world) const {
  return {frame.center().x() + (world.x - center.x) / metres_per_unit,
          frame.center().y() - (world.y - center.y) / metres_per_unit};
}

Point MapView::toWorld(QPointF paper) const {
  return {center.x + (paper.x() - frame.center().x()) * metres_per_unit,
          center.y - (paper.y() - frame.center().y()) * metres_per_unit};
}

QTransform MapView::transform(Point origin) const {
  const QPointF at = toPaper(origin);
  return {1 / metres_per_unit, 0, 0, -1 / metres_per_unit, at.x(), at.y()};
}

Bbox MapView::visible() const {
  Bbox box;
  box.add(toWorld(frame.topLeft()));
  box.add(toWorld(frame.bottomRight()));
  return box;
}

MapView MapView::zoomedAt(QPointF paper, double factor) const {
  MapView view = *this;
  const Point kept = toWorld(paper);
  view.metres_per_unit = std::clamp(metres_per_unit / factor, 0.01, 10'000.0);
  view.center = {kept.x - (paper.x() - frame.center().x()) * view.metres_per_unit,
                 kept.y + (paper.y() - frame.center().y()) * view.metres_per_unit};
  return view;
}

MapView MapView::pannedBy(QPointF delta) const {
  MapView view = *this;
  view.center = {center.x - delta.x() * metres_per_unit, center.y + delta.y() * metres_per_unit};
  return view;
}

MapView MapView::inFrame(const QRectF& other) const {
  MapView view = *this;
  view.frame = other;
  return view;
}

}  // namespace leeward::draw
