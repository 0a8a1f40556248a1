#include "viewer/draw/label_placer.h"

#include <QPainter>

#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

constexpr Style kBadge{7.2, Face::Bold};
constexpr Style kNote{7, Face::Regular};

struct AreaName {
  Style style;
  QColor ink, halo;
};
AreaName areaName(LabelKind kind) {
  if (kind == LabelKind::Water) return {{6.8, Face::Italic}, ground::kWaterInk, ground::kWater};
  if (kind == LabelKind::District) return {{8.4, Face::Semibold}, ground::kInk, ground::kPaper};
  return {{7.2, Face::Semibold}, ground::kParkInk, ground::kLand};
}

bool separatedBy(const QPolygonF& a, const QPolygonF& b, QPointF axis) {
  const auto reach = [&](const QPolygonF& quad) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const QPointF& p : quad) {
      const double d = QPointF::dotProduct(p, axis);
      low = std::min(low, d);
      high = std::max(high, d);
    }
    return std::pair(low, high);
  };
  const auto [a_low, a_high] = reach(a);
  const auto [b_low, b_high] = reach(b);
  return a_high <= b_low || b_high <= a_low;
}

QPolygonF quadOf(const QRectF& r) { return QPolygonF({r.topLeft(), r.topRight(), r.bottomRight(), r.bottomLeft()}); }

QPointF pointAt(const std::vector<QPointF>& line, const std::vector<double>& along, double s) {
  const std::size_t after = static_cast<std::size_t>(std::upper_bound(along.begin(), along.end(), s) - along.begin());
  const std::size_t i = std::clamp<std::size_t>(after, 1, line.size() - 1);
  const double step = along[i] - along[i - 1];
  const double t = step > 0 ? std::clamp((s - along[i - 1]) / step, 0.0, 1.0) : 0.0;
  return line[i - 1] + t * (line[i] - line[i - 1]);
}

}  // namespace

bool quadsMeet(const QPolygonF& a, const QPolygonF& b) {
  for (const QPolygonF* quad : {&a, &b}) {
    for (int i = 0; i < 4; ++i) {
      const QPointF edge = (*quad)[(i + 1) % 4] - (*quad)[i];
      if (separatedBy(a, b, QPointF(-edge.y(), edge.x()))) return false;
    }
  }
  return true;
}

LabelPlacer::LabelPlacer(QPainter& painter, const MapView& view, double unit, Point origin)
    : painter_(painter), view_(view), unit_(unit), origin_(origin) {}

bool LabelPlacer::take(const QPolygonF& quad) {
  for (const QPointF& corner : quad) {
    if (!view_.frame.contains(corner)) return false;
  }
  const QRectF box = quad.boundingRect();
  for (const QPolygonF& other : painted_.label_boxes) {
    if (other.boundingRect().intersects(box) && quadsMeet(quad, other)) return false;
  }
  painted_.label_boxes.push_back(quad);
  return true;
}

bool LabelPlacer::takeRect(const QRectF& rect) { return take(quadOf(rect)); }

void LabelPlacer::placeBadge(QPointF at, const QString& text, bool filled) {
  const double size = std::max(11.5, textWidth(text, kBadge) + 5) * unit_;
  const auto box = [&](QPointF middle) { return QRectF(middle.x() - size / 2, middle.y() - size / 2, size, size); };
  QPointF middle = at;
  bool placed = takeRect(box(middle));
  for (int ring = 1; !placed && ring <= 4; ++ring) {
    for (int k = 0; !placed && k < 8 + 4 * ring; ++k) {
      const double angle = 2 * std::numbers::pi * k / (8 + 4 * ring) - std::numbers::pi / 4;
      middle = at + ring * 0.75 * size * QPointF(std::cos(angle), std::sin(angle));
      placed = takeRect(box(middle));
    }
  }
  if (!placed) {
    ++painted_.labels_left_out;
    return;
  }
  if (middle != at) {
    painter_.setPen(QPen(kAccent, 0.8 * unit_));
    painter_.drawLine(at, middle);
    painter_.setPen(Qt::NoPen);
    painter_.setBrush(kAccent);
    painter_.drawEllipse(at, 1.3 * unit_, 1.3 * unit_);
  }
  painter_.setPen(QPen(filled ? QColor(ground::kPaper) : kAccent, (filled ? 0.8 : 1.1) * unit_));
  painter_.setBrush(filled ? kAccent : QColor(ground::kPaper));
  painter_.drawEllipse(box(middle).adjusted(0.6 * unit_, 0.6 * unit_, -0.6 * unit_, -0.6 * unit_));
  drawLine(painter_, middle + QPointF(-textWidth(text, kBadge) / 2, capHeight(kBadge) / 2) * unit_, text, kBadge,
           filled ? QColor(ground::kPaper) : kAccent, unit_);
}

void LabelPlacer::placeNote(QPointF at, const QString& text) {
  const QStringList lines = text.split(QLatin1Char('\n'));
  const Style head{kNote.size_pt + 0.6, Face::Semibold};
  double width = 0;
  for (qsizetype i = 0; i < lines.size(); ++i) width = std::max(width, textWidth(lines[i], i == 0 ? head : kNote));
  const double line = lineHeight(kNote);
  const QSizeF size((width + 10) * unit_, (line * static_cast<double>(lines.size()) + 7) * unit_);
  for (const QPointF& shift :
       {QPointF(0, 0), QPointF(0, 1), QPointF(0, -1), QPointF(1, 0), QPointF(-1, 0), QPointF(0, 2), QPointF(0, -2)}) {
    const QPointF middle = at + QPointF(shift.x() * size.width() * 0.6, shift.y() * size.height() * 0.7);
    const QRectF box(middle - QPointF(size.width() / 2, size.height() / 2), size);
    if (!takeRect(box)) continue;
    painter_.setPen(QPen(ground::kRule, 0.6 * unit_));
    painter_.setBrush(seeThrough(ground::kPaper, 235));
    painter_.drawRect(box);
    for (qsizetype i = 0; i < lines.size(); ++i) {
      const double baseline = 3.5 + line * static_cast<double>(i) + ascent(kNote);
      drawLine(painter_, box.topLeft() + QPointF(5, baseline) * unit_, lines[i], i == 0 ? head : kNote, ground::kInk, unit_);
    }
    return;
  }
  ++painted_.labels_left_out;
}

void LabelPlacer::placeArea(QPointF at, const QString& text, LabelKind kind, double room) {
  const AreaName look = areaName(kind);
  const Style& style = look.style;
  const double width = textWidth(text, style) * unit_, height = capHeight(style) * unit_;
  if (width > 1.15 * room) return;
  for (const double shift : {0.0, 1.6, -1.6}) {
    const QPointF baseline(at.x() - width / 2, at.y() + height / 2 + shift * height);
    const QRectF box(baseline.x() - unit_, baseline.y() - height - 1.5 * unit_, width + 2 * unit_, height + 4 * unit_);
    if (!takeRect(box)) continue;
    drawHaloLine(painter_, baseline, text, style, look.ink, look.halo, 1.1, unit_);
    return;
  }
}

bool LabelPlacer::tryStreetAt(const std::vector<QPointF>& line, const std::vector<double>& along, double start, double width,
                              const QString& name) {
  QPointF from = pointAt(line, along, start), to = pointAt(line, along, start + width);
  if (from.x() > to.x() || (from.x() == to.x() && from.y() < to.y())) std::swap(from, to);
  const QPointF chord = to - from;
  const double length = std::hypot(chord.x(), chord.y());
  if (length < 0.985 * width) return false;
  // A label reads along its chord: no vertex of the street may lie off it by more than a third of a capital.
  const QPointF along_unit = chord / length, across(-along_unit.y(), along_unit.x());
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (along[i] < start || along[i] > start + width) continue;
    if (std::abs(QPointF::dotProduct(line[i] - from, across)) > 0.35 * capHeight(kMapLabel) * unit_) return false;
  }
  const double half = (capHeight(kMapLabel) / 2 + 1.4) * unit_;
  if (!take(QPolygonF({from - half * across, to - half * across, to + half * across, from + half * across}))) return false;
  painter_.save();
  painter_.translate(from);
  painter_.rotate(std::atan2(chord.y(), chord.x()) * 180 / std::numbers::pi);
  const double text_width = textWidth(name, kMapLabel) * unit_;
  drawHaloLine(painter_, QPointF((length - text_width) / 2, capHeight(kMapLabel) / 2 * unit_), name, kMapLabel, ground::kInk,
               seeThrough(ground::kStreetCasing, 225), 1.0, unit_);
  painter_.restore();
  return true;
}

void LabelPlacer::placeStreet(const NameChain& chain) {
  const double width = (textWidth(chain.name, kMapLabel) + 6) * unit_;
  if (chain.length_m / view_.metres_per_unit < width || !chain.box.meets(view_.visible())) return;
  const QTransform to_paper = view_.transform(origin_);
  std::vector<QPointF> line;
  std::vector<double> along;
  for (const QPointF& p : chain.line) {
    line.push_back(to_paper.map(p));
    along.push_back(line.size() < 2 ? 0
                                    : along.back() + std::hypot(line.back().x() - line[line.size() - 2].x(),
                                                                line.back().y() - line[line.size() - 2].y()));
  }
  const double spare = along.back() - width, step = std::max(width / 3, spare / 40);
  for (double off = 0; off <= spare / 2; off += step) {  // from the middle outwards
    if (tryStreetAt(line, along, spare / 2 + off, width, chain.name)) return;
    if (off > 0 && tryStreetAt(line, along, spare / 2 - off, width, chain.name)) return;
  }
}

void LabelPlacer::place(const PreparedLayer& layer) {
  const MapLayer& plan = layer.plan;
  if (plan.labels.empty() || view_.metres_per_unit * unit_ > plan.label_coarsest_m_per_pt) return;
  if (plan.label_kind == LabelKind::Street) {
    for (const NameChain& chain : layer.chains) placeStreet(chain);
    return;
  }
  std::vector<std::size_t> order;
  for (std::size_t row = 0; row < layer.anchors.size(); ++row) {
    if (std::isfinite(layer.anchors[row].x) && view_.visible().contains(layer.anchors[row])) order.push_back(row);
  }
  if (!plan.label_rank.empty()) {
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return plan.label_rank[a] < plan.label_rank[b]; });
  }
  for (const std::size_t row : order) {
    const QPointF at = view_.toPaper(layer.anchors[row]);
    const QString& text = plan.labels[row];
    if (plan.label_kind == LabelKind::Badge) {
      placeBadge(at, text, plan.badge_filled.empty() || plan.badge_filled[row]);
    } else if (plan.label_kind == LabelKind::Note) {
      placeNote(at, text);
    } else {
      const std::size_t place = layer.place_of_row[row];
      const double room = place == std::string::npos ? 0 : layer.rows[place].box.width() / view_.metres_per_unit;
      placeArea(at, text, plan.label_kind, room);
    }
  }
}

}  // namespace leeward::draw
