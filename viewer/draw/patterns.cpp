#include "viewer/draw/patterns.h"

#include <QTransform>

namespace leeward::draw {
namespace {

/// Level scan lines, `spacing` apart from `low` to `high`: calls use(k, y, x0, x1) for each stretch inside (even-odd), y = k *
/// spacing. Each edge is put down at the lines that it crosses, so the work grows with the crossings alone.
template <class Use>
void scan(const QPolygonF& edges_from_to, double spacing, double low, double high, Use use) {
  const double first = std::ceil(low / spacing), last = std::floor(high / spacing);
  if (!(last >= first)) return;
  std::vector<std::vector<double>> crossings(static_cast<std::size_t>(last - first) + 1);
  for (qsizetype i = 0; i + 1 < edges_from_to.size(); i += 2) {
    const QPointF a = edges_from_to[i], b = edges_from_to[i + 1];
    const double from = std::max(first, std::floor(std::min(a.y(), b.y()) / spacing));
    const double to = std::min(last, std::ceil(std::max(a.y(), b.y()) / spacing));
    for (double k = from; k <= to; k += 1) {
      const double y = k * spacing;
      if ((a.y() <= y) == (b.y() <= y)) continue;
      crossings[static_cast<std::size_t>(k - first)].push_back(a.x() + (y - a.y()) / (b.y() - a.y()) * (b.x() - a.x()));
    }
  }
  for (std::size_t line = 0; line < crossings.size(); ++line) {
    std::vector<double>& xs = crossings[line];
    std::sort(xs.begin(), xs.end());
    const double k = first + static_cast<double>(line);
    for (std::size_t i = 0; i + 1 < xs.size(); i += 2) use(k, k * spacing, xs[i], xs[i + 1]);
  }
}

/// The edges of a path as pairs of points, turned by `turn` around `anchor`.
QPolygonF edgesOf(const QPainterPath& area, const QTransform& turn) {
  QPolygonF edges;
  edges.reserve(2 * area.elementCount());
  QPointF previous;
  for (int i = 0; i < area.elementCount(); ++i) {
    const QPainterPath::Element element = area.elementAt(i);
    const QPointF here = turn.map(QPointF(element.x, element.y));
    if (element.type != QPainterPath::MoveToElement) edges << previous << here;
    previous = here;
  }
  return edges;
}

struct Lattice {
  double degrees = 0;
  double spacing_pt = 4;
};

void addLines(PatternMarks& marks, const QPainterPath& area, Lattice lattice, QPointF anchor, const QRectF& within, double unit) {
  QTransform turn;
  turn.rotate(lattice.degrees);
  turn.translate(-anchor.x(), -anchor.y());
  const QTransform back = turn.inverted();
  const QPolygonF edges = edgesOf(area, turn);
  const QRectF reach = edges.boundingRect().intersected(turn.mapRect(within));
  scan(edges, lattice.spacing_pt * unit, reach.top(), reach.bottom(), [&](double, double y, double x0, double x1) {
    const double from = std::max(x0, reach.left()), to = std::min(x1, reach.right());
    if (to - from > 0.2 * unit) marks.lines.push_back(QLineF(back.map(QPointF(from, y)), back.map(QPointF(to, y))));
  });
}

void addDots(PatternMarks& marks, const QPainterPath& area, Lattice lattice, QPointF anchor, const QRectF& within, double unit) {
  QTransform turn;
  turn.translate(-anchor.x(), -anchor.y());
  const QPolygonF edges = edgesOf(area, turn);
  const QRectF reach = edges.boundingRect().intersected(turn.mapRect(within));
  const double step = lattice.spacing_pt * unit, inset = marks.width / 2;
  scan(edges, step * 0.75, reach.top(), reach.bottom(), [&](double k, double y, double x0, double x1) {
    const double shift = std::fmod(std::abs(k), 2.0) == 1.0 ? 0.5 : 0.0;
    const double from = std::max(x0 + inset, reach.left()), to = std::min(x1 - inset, reach.right());
    for (double i = std::ceil(from / step - shift); (i + shift) * step <= to; i += 1) {
      marks.dots.push_back(QPointF((i + shift) * step, y) + anchor);
    }
  });
}

}  // namespace

PatternMarks patternMarks(const QPainterPath& area, Pattern pattern, QPointF anchor, const QRectF& within, double unit) {
  PatternMarks marks;
  switch (pattern) {
    case Pattern::None:
      break;
    case Pattern::Hatch:
      marks.width = 0.7 * unit;
      addLines(marks, area, {45, 3.4}, anchor, within, unit);
      break;
    case Pattern::Bars:
      marks.width = 0.9 * unit;
      addLines(marks, area, {0, 3.2}, anchor, within, unit);
      break;
    case Pattern::CrossHatch:
      marks.width = 0.35 * unit;
      addLines(marks, area, {45, 5}, anchor, within, unit);
      addLines(marks, area, {-45, 5}, anchor, within, unit);
      break;
    case Pattern::Dots:
      marks.width = 1.3 * unit;
      addDots(marks, area, {0, 4.2}, anchor, within, unit);
      break;
  }
  return marks;
}

void paintFill(QPainter& painter, const QPainterPath& area, const Fill& fill, QPointF anchor, const QRectF& within, double unit) {
  if (fill.colour.alpha() > 0) painter.fillPath(area, fill.colour);
  if (fill.pattern == Pattern::None) return;
  const PatternMarks marks = patternMarks(area, fill.pattern, anchor, within, unit);
  if (!marks.lines.empty()) {
    painter.setPen(QPen(fill.ink, marks.width, Qt::SolidLine, Qt::FlatCap));
    painter.drawLines(marks.lines.data(), static_cast<int>(marks.lines.size()));
  }
  if (!marks.dots.empty()) {
    QPainterPath dots;
    dots.setFillRule(Qt::WindingFill);
    for (const QPointF& dot : marks.dots) dots.addEllipse(dot, marks.width / 2, marks.width / 2);
    painter.fillPath(dots, fill.ink);
  }
}

}  // namespace leeward::draw
