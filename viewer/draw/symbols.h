#pragma once
/// Point symbols: one by one as paths, or by the hundred thousand as stamps. Internal to viewer/draw.
#include <QPen>
#include <QPointF>

#include "viewer/draw/map_view.h"
#include "viewer/draw/prepared_layer.h"
#include "viewer/draw/sign.h"

class QPainter;

namespace leeward::draw {

QPen penOf(const Stroke& stroke, double unit);
void paintSymbol(QPainter& painter, QPointF at, const Sign& sign, double unit);

/// The layer's points that `view` shows. Where there are few each is a path. From 2,000 on a picture and 20,000 on paper each sign is
/// painted once for each quarter of a pixel and stamped; a stamp that would fall within a third of its width of one of the same sign,
/// with none of another sign in between, is left out: it would not be seen. 500,000 points take some 0.1 s so, 3 s as paths.
void paintSpots(QPainter& painter, const PreparedLayer& layer, const MapView& view, double unit);

}  // namespace leeward::draw
