#include "viewer/draw/symbols.h"

#include <QImage>
#include <QPaintEngine>
#include <QPainter>
#include <QPainterPath>
#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::draw {
namespace {

QPainterPath symbolPath(Symbol symbol, QPointF at, double size) {
  QPainterPath path;
  const double r = size / 2;
  switch (symbol) {
    case Symbol::None:
      break;
    case Symbol::Disc:
    case Symbol::Ring:
      path.addEllipse(at, r, r);
      break;
    case Symbol::Square:
      path.addRect(QRectF(at.x() - 0.88 * r, at.y() - 0.88 * r, 1.76 * r, 1.76 * r));
      break;
    case Symbol::Triangle:
      path.addPolygon(QPolygonF({at + QPointF(0, -1.1 * r), at + QPointF(r, 0.8 * r), at + QPointF(-r, 0.8 * r)}));
      path.closeSubpath();
      break;
    case Symbol::Diamond:
      path.addPolygon(
          QPolygonF({at + QPointF(0, -1.2 * r), at + QPointF(1.2 * r, 0), at + QPointF(0, 1.2 * r), at + QPointF(-1.2 * r, 0)}));
      path.closeSubpath();
      break;
    case Symbol::Cross:
      for (const double sign : {-1.0, 1.0}) {
        path.moveTo(at + QPointF(-0.8 * r, -0.8 * r * sign));
        path.lineTo(at + QPointF(0.8 * r, 0.8 * r * sign));
      }
      break;
  }
  return path;
}

/// From so many points on, stamps: on a picture, and on paper, where half a million paths make a file of 90 MB.
constexpr std::size_t kManySpots = 2000, kManyOnPaper = 20'000;
constexpr double kPaperPixelsPerUnit = 300 / 72.0;  ///< 300 dots an inch
constexpr int kPhases = 4;  ///< places within a pixel, each way

/// A sign in pixels, the clear ones around it left out.
struct Stamp {
  struct Span {
    int y, x, count;    ///< from the middle's pixel
    std::size_t first;  ///< into pixels
  };
  std::vector<Span> spans;
  std::vector<QRgb> pixels;  ///< premultiplied
};

/// One sign, painted for each phase.
struct Stamps {
  double cell = 1;  ///< pixels: a third of the width
  std::array<Stamp, static_cast<std::size_t>(kPhases) * kPhases> at;
};

Stamp stampOf(const QImage& image) {
  Stamp stamp;
  for (int y = 0; y < image.height(); ++y) {
    const QRgb* line = reinterpret_cast<const QRgb*>(image.constScanLine(y));
    int from = 0, to = image.width();
    while (from < to && qAlpha(line[from]) == 0) ++from;
    while (to > from && qAlpha(line[to - 1]) == 0) --to;
    if (from == to) continue;
    stamp.spans.push_back({y - image.height() / 2, from - image.width() / 2, to - from, stamp.pixels.size()});
    stamp.pixels.insert(stamp.pixels.end(), line + from, line + to);
  }
  return stamp;
}

Stamps stampsOf(const Sign& sign, double unit, double pixels_per_unit) {
  Stamps stamps;
  const double width = (1.3 * sign.size_pt + 2 * sign.edge.width_pt) * unit * pixels_per_unit;
  const int half = static_cast<int>(std::ceil(width / 2)) + 1;
  stamps.cell = std::max(0.5, sign.size_pt * unit * pixels_per_unit / 3);
  const int side = 2 * half + 1;
  for (int y = 0; y < kPhases; ++y) {
    for (int x = 0; x < kPhases; ++x) {
      QImage image(side, side, QImage::Format_ARGB32_Premultiplied);
      image.fill(Qt::transparent);
      QPainter painter(&image);
      painter.setRenderHint(QPainter::Antialiasing);
      painter.scale(pixels_per_unit, pixels_per_unit);
      const QPointF middle(half + (x + 0.5) / kPhases, half + (y + 0.5) / kPhases);
      paintSymbol(painter, middle / pixels_per_unit, sign, unit);
      painter.end();
      stamps.at[static_cast<std::size_t>(y * kPhases + x)] = stampOf(image);
    }
  }
  return stamps;
}

/// `over` laid on `under` (both premultiplied): Porter & Duff 1984, "over".
QRgb laidOver(QRgb over, QRgb under) {
  const unsigned clear = 255 - static_cast<unsigned>(qAlpha(over));
  if (clear == 0) return over;
  // Two channels at a time; x / 255 as (x + x / 256 + 1) / 256 (rounded).
  const auto scaled = [clear](unsigned two) {
    const unsigned product = two * clear + 0x00800080U;
    return ((product + ((product >> 8) & 0x00FF00FFU)) >> 8) & 0x00FF00FFU;
  };
  return over + scaled(under & 0x00FF00FFU) + (scaled((under >> 8) & 0x00FF00FFU) << 8);
}

/// A picture's pixels, for writing.
struct Sheet {
  explicit Sheet(QImage& image) : pixels(reinterpret_cast<QRgb*>(image.bits())), stride(image.bytesPerLine() / 4), width(image.width()), height(image.height()) {}
  QRgb* pixels;
  qsizetype stride;
  int width, height;
};

void stamp(const Sheet& onto, const Stamp& what, int x, int y) {
  for (const Stamp::Span& span : what.spans) {
    const int row = y + span.y, left = x + span.x;
    if (row < 0 || row >= onto.height) continue;
    const int from = std::max(0, -left), to = std::min(span.count, onto.width - left);
    QRgb* target = onto.pixels + row * onto.stride + left;
    const QRgb* source = what.pixels.data() + span.first;
    for (int i = from; i < to; ++i) target[i] = laidOver(source[i], target[i]);
  }
}

/// Which sign lies on top in each cell, for leaving out what would lie under or on its like.
class Tops {
 public:
  Tops(double width, double height, double cell)
      : cell_(cell), columns_(static_cast<std::size_t>(width / cell) + 1), rows_(static_cast<std::size_t>(height / cell) + 1), top_(columns_ * rows_, -1) {}
  /// Whether the sign isn't on top there already; it is then.
  bool lay(double x, double y, int sign) {
    const std::size_t column = std::min(columns_ - 1, static_cast<std::size_t>(std::max(0.0, x) / cell_));
    const std::size_t row = std::min(rows_ - 1, static_cast<std::size_t>(std::max(0.0, y) / cell_));
    int& top = top_[row * columns_ + column];
    if (top == sign) return false;
    top = sign;
    return true;
  }

 private:
  double cell_;
  std::size_t columns_, rows_;
  std::vector<int> top_;
};

void paintStamped(QPainter& painter, const std::vector<const PreparedLayer::Spot*>& spots, const std::vector<Sign>& signs, const MapView& view,
                  double unit, double pixels_per_unit) {
  std::vector<Stamps> stamps;
  double cell = 1e9;
  for (const Sign& sign : signs) {
    stamps.push_back(stampsOf(sign, unit, pixels_per_unit));
    cell = std::min(cell, stamps.back().cell);
  }
  const QSize size = (view.frame.size() * pixels_per_unit).toSize();
  QImage sheet(size, QImage::Format_ARGB32_Premultiplied);
  sheet.fill(Qt::transparent);
  const Sheet pixels(sheet);
  Tops tops(size.width(), size.height(), cell);
  for (const PreparedLayer::Spot* spot : spots) {
    const QPointF at = (view.toPaper(spot->at) - view.frame.topLeft()) * pixels_per_unit;
    const double px = std::floor(at.x()), py = std::floor(at.y());
    const bool inside = px >= 0 && py >= 0 && px < size.width() && py < size.height();
    if (inside && !tops.lay(at.x(), at.y(), spot->sign)) continue;
    const Stamps& of = stamps[static_cast<std::size_t>(spot->sign)];
    const int phase = static_cast<int>((at.y() - py) * kPhases) * kPhases + static_cast<int>((at.x() - px) * kPhases);
    stamp(pixels, of.at[static_cast<std::size_t>(phase)], static_cast<int>(px), static_cast<int>(py));
  }
  painter.drawImage(view.frame, sheet, QRectF(sheet.rect()));
}

/// Pixels a painter unit for stamping so many points; 0 where each is a path: few points, or a painter that turns or stretches.
double pixelsPerUnit(const QPainter& painter, std::size_t spots) {
  const bool on_picture = painter.paintEngine() != nullptr && painter.paintEngine()->type() == QPaintEngine::Raster;
  if (!on_picture) return spots >= kManyOnPaper ? kPaperPixelsPerUnit : 0;
  const QTransform& device = painter.deviceTransform();
  return spots >= kManySpots && device.type() <= QTransform::TxScale && device.m11() == device.m22() ? device.m11() : 0;
}

}  // namespace

QPen penOf(const Stroke& stroke, double unit) {
  QPen pen(stroke.colour, stroke.width_pt * unit, Qt::SolidLine, stroke.dashed ? Qt::FlatCap : Qt::RoundCap, Qt::RoundJoin);
  if (stroke.dashed) pen.setDashPattern({4, 2.5});
  return pen;
}

void paintSymbol(QPainter& painter, QPointF at, const Sign& sign, double unit) {
  const QPainterPath path = symbolPath(sign.symbol, at, sign.size_pt * unit);
  if (sign.symbol != Symbol::Ring && sign.symbol != Symbol::Cross && sign.fill.colour.alpha() > 0)
    painter.fillPath(path, sign.fill.colour);
  if (sign.edge.isVisible()) painter.strokePath(path, penOf(sign.edge, unit));
}

void paintSpots(QPainter& painter, const PreparedLayer& layer, const MapView& view, double unit) {
  const Bbox visible = view.visible().grownBy(10 * unit * view.metres_per_unit);
  std::vector<const PreparedLayer::Spot*> shown;
  for (const PreparedLayer::Spot& spot : layer.spots) {
    if (visible.contains(spot.at)) shown.push_back(&spot);
  }
  const double pixels_per_unit = pixelsPerUnit(painter, shown.size());
  if (pixels_per_unit > 0) return paintStamped(painter, shown, layer.plan.signs, view, unit, pixels_per_unit);
  for (const PreparedLayer::Spot* spot : shown) {
    paintSymbol(painter, view.toPaper(spot->at), layer.plan.signs[static_cast<std::size_t>(spot->sign)], unit);
  }
}

}  // namespace leeward::draw
