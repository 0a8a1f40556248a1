#include "viewer/window/map_canvas.h"

#include <cmath>
#include <utility>

#include <QApplication>
#include <QKeyEvent>
#include <QPainter>
#include <QPointer>
#include <QThreadPool>

#include "viewer/draw/north_arrow.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/scale_bar.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr double kStepFactor = 1.25;  ///< of one wheel notch or key
constexpr double kWalkShare = 0.15;   ///< of the canvas, one arrow key

draw::PaintOptions screenOptions() { return {.unit = unit(), .labels = true, .clip = true}; }

/// A painting thread wears the window's shade while it paints, and paper's again afterwards.
class WindowShade {
 public:
  explicit WindowShade(draw::Shade shade) { draw::useShade(shade); }
  ~WindowShade() { draw::useShade(draw::Shade::Light); }
  WindowShade(const WindowShade&) = delete;
  WindowShade& operator=(const WindowShade&) = delete;
};

}  // namespace

MapCanvas::MapCanvas(QWidget* parent) : QWidget(parent) {
  setMinimumSize(320, 240);
  setMouseTracking(true);
  setFocusPolicy(Qt::StrongFocus);
  setCursor(Qt::OpenHandCursor);
  setAccessibleName(tr("Map"));
  setAccessibleDescription(tr("Arrow keys walk, plus and minus come nearer or go farther, Home shows the whole study; P tells positions, M measures, Space sets a corner"));
}

MapCanvas::~MapCanvas() {
  ++*wanted_generation_;
  QThreadPool::globalInstance()->waitForDone();
}

void MapCanvas::showMap(std::shared_ptr<const draw::PreparedMap> map, bool whole) {
  map_ = std::move(map);
  if (whole || !has_view_) showWhole();
  else repaintLater();
}

void MapCanvas::showWhole() {
  if (!map_) return;
  has_view_ = true;
  setView(draw::MapView::fit(map_->extent(), QRectF(rect()), 3 * kGrid));
}

void MapCanvas::select(std::optional<std::size_t> row, bool come) {
  selected_ = row;
  if (map_ && row && come) {
    const Bbox box = map_->rowExtent("blocks", *row);
    if (!box.isEmpty() && !view_.visible().contains(box.center())) {
      draw::MapView there = view_;
      there.center = box.center();
      setView(there);
    }
  }
  update();
}

void MapCanvas::showMarks(std::vector<Point> marks) {
  marks_ = std::move(marks);
  if (map_ && !marks_.empty()) {
    constexpr double kStreetsAround = 600;  ///< metres: enough to know the place by its streets
    Bbox box;
    for (const Point mark : marks_) box.add(mark);
    const Point middle = box.center();
    box.add(Point{middle.x - kStreetsAround / 2, middle.y - kStreetsAround / 2});
    box.add(Point{middle.x + kStreetsAround / 2, middle.y + kStreetsAround / 2});
    setView(draw::MapView::fit(box, QRectF(rect()), 6 * kGrid));
  }
  update();
}

void MapCanvas::paintMarks(QPainter& painter) const {
  constexpr double kRadius = 11;
  painter.setFont(fontFor(Text::Body));
  for (std::size_t i = marks_.size(); i-- > 0;) {  // the likeliest on top
    const QPointF at = view_.toPaper(marks_[i]);
    // Dark squares: ranks are round.
    painter.setPen(QPen(draw::ground::kPaper, 2));
    painter.setBrush(draw::ground::kInk);
    painter.drawRect(QRectF(at.x() - kRadius, at.y() - kRadius, 2 * kRadius, 2 * kRadius));
    painter.drawText(QRectF(at.x() - kRadius, at.y() - kRadius, 2 * kRadius, 2 * kRadius), Qt::AlignCenter, QString::number(i + 1));
  }
}

void MapCanvas::goTo(Point centre, double metres_per_pixel) {
  if (!(metres_per_pixel > 0)) return;
  draw::MapView there = view_;
  there.frame = QRectF(rect());
  there.center = centre;
  there.metres_per_unit = metres_per_pixel;
  has_view_ = true;
  setView(there);
}

void MapCanvas::setView(const draw::MapView& view) {
  view_ = view;
  emit viewChanged();
  repaintLater();
  update();
}

void MapCanvas::repaintLater() {
  if (!map_ || size().isEmpty()) return;
  const quint64 generation = ++*wanted_generation_;
  const double ratio = devicePixelRatioF();
  QThreadPool::globalInstance()->start([canvas = QPointer<MapCanvas>(this), wanted = wanted_generation_, map = map_, view = view_, size = size(), ratio, generation, shade = look().shade, options = screenOptions()] {
    if (*wanted != generation) return;  // a later view is wanted already
    const WindowShade worn(shade);
    QImage image(size * ratio, QImage::Format_ARGB32_Premultiplied);
    image.setDevicePixelRatio(ratio);
    image.fill(draw::ground::kLand);
    QPainter painter(&image);
    painter.setRenderHint(QPainter::Antialiasing);
    map->paint(painter, view, options);
    painter.end();
    QMetaObject::invokeMethod(
        qApp,
        [canvas, image = std::move(image), view, generation] {
          if (!canvas || generation < canvas->painted_generation_) return;
          canvas->picture_ = image;
          canvas->picture_view_ = view;
          canvas->painted_generation_ = generation;
          canvas->update();
        },
        Qt::QueuedConnection);
  });
}

void MapCanvas::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  painter.fillRect(rect(), draw::ground::kLand);
  if (!picture_.isNull()) {
    // The last picture stands where its piece of the world now lies.
    const QSizeF size = picture_.deviceIndependentSize();
    const double scale = picture_view_.metres_per_unit / view_.metres_per_unit;
    const QPointF corner = view_.toPaper(picture_view_.toWorld(QPointF(0, 0)));
    painter.setRenderHint(QPainter::SmoothPixmapTransform, std::abs(scale - 1) > 1e-9);
    painter.drawImage(QRectF(corner, size * scale), picture_, QRectF(QPointF(0, 0), QSizeF(picture_.size())));
  }
  if (map_ && selected_) map_->paintOutline(painter, view_, "blocks", *selected_, {draw::kAccent, 2.5, false}, screenOptions());
  if (map_) paintMarks(painter);
  if (map_) paintFurniture(painter);
  if (map_) readout_.paint(painter, view_, rect());
  if (hasFocus()) {
    painter.setPen(QPen(draw::kAccent, 1));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5));
  }
}

void MapCanvas::paintFurniture(QPainter& painter) const {
  painter.save();
  painter.translate(2 * kGrid, height() - grown(7 * kGrid));
  painter.fillRect(QRectF(-kGrid, -kGrid, grown(26 * kGrid), grown(7 * kGrid)), draw::seeThrough(draw::ground::kPaper, 215));
  painter.scale(unit(), unit());
  draw::drawScaleBar(painter, QPointF(0, 0), view_.metres_per_unit * unit(), 120);
  draw::drawNorthArrow(painter, QRectF(127, -1, 14, 28));
  painter.restore();
}

qint64 MapCanvas::blockAt(QPointF at) const {
  if (!map_) return -1;
  const auto row = map_->rowAt("blocks", view_.toWorld(at));
  return row ? static_cast<qint64>(*row) : -1;
}

void MapCanvas::resizeEvent(QResizeEvent*) {
  const bool was_empty = view_.frame.isEmpty();
  view_ = view_.inFrame(QRectF(rect()));
  if (was_empty && map_) showWhole();
  else repaintLater();
}

void MapCanvas::wheelEvent(QWheelEvent* event) {
  const double notches = event->angleDelta().y() / 120.0;
  if (notches != 0) setView(view_.zoomedAt(event->position(), std::pow(kStepFactor, notches)));
  event->accept();
}

void MapCanvas::mousePressEvent(QMouseEvent* event) {
  if (event->button() != Qt::LeftButton) return;
  pressed_at_ = dragged_from_ = event->position();
  dragging_ = false;
}

void MapCanvas::mouseMoveEvent(QMouseEvent* event) {
  if (event->buttons().testFlag(Qt::LeftButton)) {
    if (!dragging_ && (event->position() - pressed_at_).manhattanLength() < QApplication::startDragDistance()) return;
    dragging_ = true;
    setCursor(Qt::ClosedHandCursor);
    setView(view_.pannedBy(event->position() - dragged_from_));
    dragged_from_ = event->position();
    return;
  }
  if (map_) readout_.setPointer(view_.toWorld(event->position()));
  if (readout_.isShown()) update();
  emit blockHovered(readout_.isMeasuring() ? -1 : blockAt(event->position()), event->globalPosition().toPoint());
}

void MapCanvas::mouseReleaseEvent(QMouseEvent* event) {
  if (event->button() != Qt::LeftButton) return;
  setCursor(Qt::OpenHandCursor);
  if (!dragging_ && readout_.isMeasuring() && map_) {
    readout_.addCorner(view_.toWorld(event->position()));
    update();
  } else if (!dragging_ && picks_places_ && map_) emit placeClicked(view_.toWorld(event->position()));
  else if (!dragging_) emit blockClicked(blockAt(event->position()));
  dragging_ = false;
}

void MapCanvas::leaveEvent(QEvent*) {
  readout_.setPointer({});
  if (readout_.isShown()) update();
  emit blockHovered(-1, {});
}

void MapCanvas::keyPressEvent(QKeyEvent* event) {
  const QPointF middle = QRectF(rect()).center();
  const double x = width() * kWalkShare, y = height() * kWalkShare;
  switch (event->key()) {
    case Qt::Key_Left:
      return setView(view_.pannedBy({x, 0}));
    case Qt::Key_Right:
      return setView(view_.pannedBy({-x, 0}));
    case Qt::Key_Up:
      return setView(view_.pannedBy({0, y}));
    case Qt::Key_Down:
      return setView(view_.pannedBy({0, -y}));
    case Qt::Key_Plus:
    case Qt::Key_Equal:
      return setView(view_.zoomedAt(middle, kStepFactor));
    case Qt::Key_Minus:
      return setView(view_.zoomedAt(middle, 1 / kStepFactor));
    case Qt::Key_Home:
      return showWhole();
    case Qt::Key_P:
      readout_.togglePosition();
      return update();
    case Qt::Key_M:
      readout_.toggleMeasuring();
      return update();
    case Qt::Key_Space:
      if (!readout_.isMeasuring()) break;
      readout_.addCorner(view_.center);
      return update();
    case Qt::Key_Escape:
      if (!readout_.isMeasuring()) break;
      readout_.toggleMeasuring();
      return update();
    default:
      break;
  }
  QWidget::keyPressEvent(event);
}

}  // namespace leeward::window
