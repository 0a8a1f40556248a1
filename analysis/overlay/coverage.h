#pragma once
/// How much of each cell of a grid an area covers: the weights of zonal statistics.
#include <cstddef>
#include <vector>

#include "shared/geo/geometry.h"
#include "shared/layer/layer.h"

namespace leeward::analysis {

/// Rectangle of cells of a raster.
struct CellWindow {
  std::size_t first_row = 0, first_column = 0, rows = 0, columns = 0;
};

/// Exact covered fractions by adding up, for every edge, the signed area between it and the right side of each cell row
/// (accumulated trapezoids; Catmull 1978, SIGGRAPH 12(3), 6-11): no sampling, no clipping of polygons against cells.
class CellCoverage {
 public:
  /// The area in the raster's plane; the references must outlive this.
  CellCoverage(const Geometries& areas, std::size_t row, const Raster& raster);

  /// The cells of the raster that the area's box meets; no rows if there are none.
  const CellWindow& window() const { return window_; }
  /// Covered fractions (0..1) of `rows` rows of the window from `first` on, row-major, window().columns wide.
  std::vector<double> rowsFrom(std::size_t first, std::size_t rows) const;

 private:
  struct Edge {
    double x0, y0, x1, y1;  ///< in cells from the window's top left, y downwards
    double sign;            ///< makes outer rings add and holes take off
  };
  std::vector<Edge> edges_;
  CellWindow window_;
  double least_ = 0;  ///< fractions up to this are rounding
};

}  // namespace leeward::analysis
