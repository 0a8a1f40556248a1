#include "viewer/window/map_readout.h"

#include <QPainter>
#include <QPainterPath>
#include <cmath>

#include "shared/base/text.h"
#include "viewer/draw/palette.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr double kFoot_m = 0.3048, kMile_m = 1609.344, kFeetUpTo_m = kMile_m / 2;

QString whole(double value) { return QString::fromStdString(formatCount(std::llround(value))); }

}  // namespace

QString lengthWords(double metres) {
  const QString metric = metres < 1000 ? QObject::tr("%1 m").arg(whole(metres)) : QObject::tr("%1 km").arg(metres / 1000, 0, 'f', 2);
  const QString customary = metres < kFeetUpTo_m ? QObject::tr("%1 ft").arg(whole(metres / kFoot_m)) : QObject::tr("%1 mi").arg(metres / kMile_m, 0, 'f', 2);
  return QStringLiteral("%1 (%2)").arg(metric, customary);
}

void MapReadout::setFrame(const Crs& frame) {
  if (frame == frame_) return;
  frame_ = frame;
  corners_.clear();
  to_lon_lat_.reset();
  if (frame.isLocal() || frame.isUnknown()) return;
  if (auto to_lon_lat = Transform::between(frame, Crs::wgs84())) to_lon_lat_.emplace(*std::move(to_lon_lat));
}

void MapReadout::toggleMeasuring() {
  is_measuring_ = !is_measuring_;
  corners_.clear();
}

void MapReadout::addCorner(Point at) { corners_.push_back(at); }

double MapReadout::measured_m() const {
  std::vector<Point> line = corners_;
  if (pointer_ && !line.empty()) line.push_back(*pointer_);
  double length = 0;
  for (std::size_t i = 1; i < line.size(); ++i) {
    length += to_lon_lat_ ? geodesicDistanceM((*to_lon_lat_)(line[i - 1]), (*to_lon_lat_)(line[i])) : std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
  }
  return length;
}

QString MapReadout::words(const draw::MapView& view) const {
  QStringList lines;
  if (is_measuring_) lines += corners_.empty() ? QObject::tr("Measuring: click, or press Space, where the line begins") : QObject::tr("%1 along the line").arg(lengthWords(measured_m()));
  if (shows_position_) {
    const Point here = at(view);
    if (to_lon_lat_) {
      const Point degrees = (*to_lon_lat_)(here);
      lines += QObject::tr("latitude %1, longitude %2").arg(degrees.y, 0, 'f', 5).arg(degrees.x, 0, 'f', 5);
    }
    lines += QObject::tr("x %1 m, y %2 m: %3").arg(whole(here.x), whole(here.y), QString::fromStdString(frame_.name()));
  }
  return lines.join(QLatin1Char('\n'));
}

void MapReadout::paint(QPainter& painter, const draw::MapView& view, const QRect& map) const {
  const QString said = words(view);
  if (said.isEmpty()) return;
  painter.save();
  if (is_measuring_ && !corners_.empty()) {
    QPainterPath line(view.toPaper(corners_.front()));
    for (const Point corner : corners_) line.lineTo(view.toPaper(corner));
    if (pointer_) line.lineTo(view.toPaper(*pointer_));
    painter.strokePath(line, QPen(draw::ground::kPaper, 5));
    painter.strokePath(line, QPen(draw::ground::kInk, 2, Qt::DashLine));
  }
  if (!pointer_) {  // what the keys point at
    const QPointF middle = view.toPaper(view.center);
    constexpr double kArm = 9;
    for (const auto& [colour, width] : {std::pair(draw::ground::kPaper, 4), std::pair(draw::ground::kInk, 2)}) {
      painter.setPen(QPen(colour, width));
      painter.drawLine(middle - QPointF(kArm, 0), middle + QPointF(kArm, 0));
      painter.drawLine(middle - QPointF(0, kArm), middle + QPointF(0, kArm));
    }
  }
  painter.setFont(fontFor(Text::Small));
  const QRect box = painter.boundingRect(map, Qt::AlignLeft | Qt::AlignTop, said);
  const QRect at(map.right() - box.width() - 3 * kGrid, map.bottom() - box.height() - 3 * kGrid, box.width() + 2 * kGrid, box.height() + 2 * kGrid);
  painter.fillRect(at, draw::seeThrough(draw::ground::kPaper, 235));
  painter.setPen(draw::ground::kInk);
  painter.drawText(at.adjusted(kGrid, kGrid, 0, 0), Qt::AlignLeft | Qt::AlignTop, said);
  painter.restore();
}

}  // namespace leeward::window
