#pragma once
/// Paints a MapPicture into any QPainter: vector output for PDF and SVG, raster for pictures and the window.
#include <QPolygonF>
#include <memory>
#include <optional>
#include <string_view>

#include "viewer/draw/map_picture.h"
#include "viewer/draw/map_view.h"

class QPainter;

namespace leeward::draw {

struct PaintOptions {
  double unit = 1;  ///< painter units a point: 1 on paper; a window uses some 1.25 so that text reads on screen
  bool labels = true;
  bool clip = true;  ///< to the frame; a device that can't clip (SVG) must cover what lies outside afterwards
};

/// What the painter did, for tests and for a reader's "3 labels had no room".
struct Painted {
  std::vector<QPolygonF> label_boxes;  ///< painter units, none meets another
  std::size_t labels_left_out = 0;     ///< badges and notes without room (streets and places may go unnamed)
};

/// A picture made ready: paths are built once, painting culls by the frame. Immutable; paint() may run in any thread
/// (on a QImage), one painter each. 25,600 blocks of 20 corners: prepared in 0.14 s, the whole painted at 1920 x 1080 in 0.13 s
/// (tests/bench/FIGURES.md).
class PreparedMap {
 public:
  explicit PreparedMap(const MapPicture& picture);
  ~PreparedMap();
  PreparedMap(PreparedMap&&) noexcept;
  PreparedMap& operator=(PreparedMap&&) noexcept;

  Painted paint(QPainter& painter, const MapView& view, const PaintOptions& options = {}) const;
  /// The outline of one row in `stroke`, over what was painted: the chosen block.
  void paintOutline(QPainter& painter, const MapView& view, std::string_view layer, std::size_t row, const Stroke& stroke,
                    const PaintOptions& options = {}) const;
  /// The area of `layer` that holds `world`, or the point within `reach_m` that is nearest. Nothing for a layer not there.
  std::optional<std::size_t> rowAt(std::string_view layer, Point world, double reach_m = 0) const;
  Bbox extent() const;
  /// Of one row; empty for a layer or row that is not there.
  Bbox rowExtent(std::string_view layer, std::size_t row) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

/// Paints a sign in a box as a legend shows it (an area swatch, a line or a symbol).
void paintSwatch(QPainter& painter, const QRectF& box, const Sign& sign, double unit = 1);

}  // namespace leeward::draw
