#pragma once
/// What a map says of places on request: where the pointer is, in degrees and in the study's frame, and how long a line is.
#include <QRect>
#include <QString>
#include <optional>
#include <vector>

#include "shared/geo/crs.h"
#include "viewer/draw/map_view.h"

class QPainter;

namespace leeward::window {

/// "840 m (2,756 ft)", "1.24 km (0.77 mi)": international foot and mile.
QString lengthWords(double metres);

class MapReadout {
 public:
  /// The frame of the map. Lengths are those along the ellipsoid (geodesicDistanceM), in a frame without a place on the earth those of the plane.
  void setFrame(const Crs& frame);
  void togglePosition() { shows_position_ = !shows_position_; }
  void toggleMeasuring();
  bool isMeasuring() const { return is_measuring_; }
  bool isShown() const { return shows_position_ || is_measuring_; }
  /// Where the pointer is; none: the middle of the map counts.
  void setPointer(std::optional<Point> at) { pointer_ = at; }
  /// A corner of the line that is measured, at the pointer.
  void addCorner(Point at);
  double measured_m() const;  ///< from the first corner to the pointer, or to the last corner without one
  /// What stands in the corner of the map; "" while nothing is asked.
  QString words(const draw::MapView& view) const;
  void paint(QPainter& painter, const draw::MapView& view, const QRect& map) const;

 private:
  Point at(const draw::MapView& view) const { return pointer_.value_or(view.center); }

  Crs frame_;
  std::optional<Transform> to_lon_lat_;  ///< none in a frame without a place on the earth
  bool shows_position_ = false, is_measuring_ = false;
  std::optional<Point> pointer_;
  std::vector<Point> corners_;
};

}  // namespace leeward::window
