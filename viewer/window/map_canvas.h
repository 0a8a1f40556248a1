#pragma once
/// The one map: drag to move, wheel or + and - to come nearer, arrows to walk, Home for the whole.
///
/// Pictures are painted on worker threads; until the new one is there the last is moved and scaled. The canvas knows rows of
/// the layer "blocks", not what they mean.
#include <QImage>
#include <QWidget>
#include <atomic>
#include <memory>
#include <optional>
#include <vector>

#include "viewer/draw/map_painter.h"
#include "viewer/window/map_readout.h"

namespace leeward::window {

class MapCanvas : public QWidget {
  Q_OBJECT

 public:
  explicit MapCanvas(QWidget* parent = nullptr);
  ~MapCanvas() override;  ///< waits for pictures under way: they need the fonts of the application

  /// A new picture; the view stays unless this is the first one or `whole` is asked for.
  void showMap(std::shared_ptr<const draw::PreparedMap> map, bool whole);
  /// Outlines a block; comes there if it is out of sight, unless one wants to stay.
  void select(std::optional<std::size_t> row, bool come = true);
  void showWhole();
  /// Numbered marks over the picture, in the map's frame; the first of them comes into sight. None takes them off.
  void showMarks(std::vector<Point> marks);
  /// While set, a click says where it was instead of which block it hit.
  void pickPlaces(bool pick) { picks_places_ = pick; }
  const draw::MapView& view() const { return view_; }
  MapReadout& readout() { return readout_; }
  /// Shows this place at this scale, as it was once.
  void goTo(Point centre, double metres_per_pixel);
  bool isPainted() const { return painted_generation_ == *wanted_generation_; }  ///< no newer picture is on its way
  bool hasPicture() const { return !picture_.isNull(); }  ///< of some view at least

 signals:
  void blockClicked(qint64 row);                        ///< -1: no block there
  void blockHovered(qint64 row, const QPoint& global);  ///< -1: none
  void placeClicked(leeward::Point at);                 ///< in the map's frame, while pickPlaces is set
  void viewChanged();

 protected:
  void paintEvent(QPaintEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void leaveEvent(QEvent* event) override;

 private:
  void setView(const draw::MapView& view);
  void repaintLater();
  void paintFurniture(QPainter& painter) const;
  void paintMarks(QPainter& painter) const;
  qint64 blockAt(QPointF at) const;

  std::shared_ptr<const draw::PreparedMap> map_;
  draw::MapView view_;
  bool has_view_ = false;
  std::optional<std::size_t> selected_;
  QImage picture_;             ///< the last one painted, with the view it was painted for
  draw::MapView picture_view_;
  /// Shared with the painting threads, which skip a picture that a later one has overtaken.
  std::shared_ptr<std::atomic<quint64>> wanted_generation_ = std::make_shared<std::atomic<quint64>>(0);
  quint64 painted_generation_ = 0;
  std::vector<Point> marks_;
  MapReadout readout_;
  bool picks_places_ = false;
  QPointF pressed_at_, dragged_from_;
  bool dragging_ = false;
};

}  // namespace leeward::window
