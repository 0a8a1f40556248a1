#pragma once
/// A raster brought into a box of the frame. For viewer/draw/*.cpp only.
#include <QImage>
#include <algorithm>
#include <optional>
#include <vector>

#include "shared/geo/crs.h"
#include "shared/geo/geometry.h"

namespace leeward::draw {

/// Where a box of the frame lies in another reference system: known at the nodes of a grid `step` pixels apart, in between on straight lines.
class Nodes {
 public:
  Nodes(const std::optional<Transform>& way, const Bbox& extent, int width, int height, int step) : step_(step), columns_(width / step + 2) {
    for (int row = 0; row < height / step + 2; ++row) {
      for (int column = 0; column < columns_; ++column) {
        at_.push_back({extent.min_x + (column * step + 0.5) * extent.width() / width, extent.max_y - (row * step + 0.5) * extent.height() / height});
      }
    }
    if (way) way->apply(at_);
  }
  Point operator()(int x, int y) const {
    const double right = static_cast<double>(x % step_) / step_, down = static_cast<double>(y % step_) / step_;
    const Point* node = &at_[static_cast<std::size_t>((y / step_) * columns_ + x / step_)];
    const auto between = [&](double Point::*axis) {
      return (1 - down) * ((1 - right) * node[0].*axis + right * node[1].*axis) + down * ((1 - right) * node[columns_].*axis + right * node[columns_ + 1].*axis);
    };
    return {between(&Point::x), between(&Point::y)};
  }

 private:
  int step_, columns_;
  std::vector<Point> at_;
};

/// Nearest cells, at most `longest_px` pixels along the longer side; `colour(row, column)` of what lies in the raster, else clear. A null image
/// where the raster can't be brought into the frame. `Grid` has columns, rows, left, top, cell_x, cell_y, crs. `step`: Nodes.
template <class Grid, class Colour>
QImage resampled(const Grid& grid, const Crs& frame, const Bbox& extent, int longest_px, int step, const Colour& colour) {
  std::optional<Transform> way;
  if (!(grid.crs == frame)) {
    Result<Transform> found = Transform::between(frame, grid.crs);
    if (!found) return {};
    way.emplace(std::move(found).value());
  }
  const double cell = std::max(extent.width(), extent.height()) / longest_px;
  const int width = std::max(1, static_cast<int>(extent.width() / cell)), height = std::max(1, static_cast<int>(extent.height() / cell));
  QImage image(width, height, QImage::Format_ARGB32);
  image.fill(Qt::transparent);
  const Nodes nodes(way, extent, width, height, step);
  for (int y = 0; y < height; ++y) {
    auto* pixels = reinterpret_cast<QRgb*>(image.scanLine(y));
    for (int x = 0; x < width; ++x) {
      const Point there = nodes(x, y);
      const double column = (there.x - grid.left) / grid.cell_x, row = (grid.top - there.y) / grid.cell_y;
      if (column >= 0 && row >= 0 && column < static_cast<double>(grid.columns) && row < static_cast<double>(grid.rows)) pixels[x] = colour(static_cast<std::size_t>(row), static_cast<std::size_t>(column));
    }
  }
  return image;
}

}  // namespace leeward::draw
