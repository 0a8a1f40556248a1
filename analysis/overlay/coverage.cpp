#include "analysis/overlay/coverage.h"

#include <algorithm>
#include <cmath>

namespace leeward::analysis {
namespace {

/// Sums for some rows of cells. Each row has two cells more than the window, for what edges on its right side add.
class Sums {
 public:
  Sums(std::size_t rows, std::size_t columns)
      : rows_(rows), columns_(columns), stride_(columns + 2), sums_(rows * stride_, 0.0) {}

  /// An edge in cells, y from the first of these rows; any part of it may lie outside.
  void addEdge(double x0, double y0, double x1, double y1, double sign) {
    if (y0 == y1) return;
    const double low = std::max(0.0, std::min(y0, y1));
    const double high = std::min(static_cast<double>(rows_), std::max(y0, y1));
    if (!(low < high)) return;
    const double slope = (x1 - x0) / (y1 - y0);
    const double direction = y1 > y0 ? sign : -sign;
    const auto xAt = [&](double y) { return std::clamp(x0 + (y - y0) * slope, std::min(x0, x1), std::max(x0, x1)); };
    double y = low;
    double x = xAt(low);
    for (auto row = static_cast<std::size_t>(low); row < rows_ && y < high; ++row) {
      const double next_y = std::min(high, static_cast<double>(row + 1));
      const double next_x = xAt(next_y);
      addPiece(row, direction * (next_y - y), x, next_x);
      y = next_y;
      x = next_x;
    }
  }

  /// Running totals along each row.
  std::vector<double> fractions(double least) const {
    std::vector<double> covered(rows_ * columns_);
    for (std::size_t row = 0; row < rows_; ++row) {
      double total = 0;
      for (std::size_t column = 0; column < columns_; ++column) {
        total += sums_[row * stride_ + column];
        covered[row * columns_ + column] = total <= least ? 0 : std::min(total, 1.0);
      }
    }
    return covered;
  }

 private:
  /// A piece within one row of cells that rises by `dy` (signed) between two x.
  void addPiece(std::size_t row, double dy, double xa, double xb) {
    const double low = std::min(xa, xb);
    const double high = std::max(xa, xb);
    const double right = static_cast<double>(columns_);
    if (low == high) {
      if (low < right) addInCell(row, dy, std::max(low, 0.0));
      return;
    }
    const double per_x = dy / (high - low);
    // What lies left of the window covers its rows from the first column on; what lies right of it covers nothing here.
    if (low < 0) addInCell(row, per_x * (std::min(high, 0.0) - low), 0);
    const double end = std::min(high, right);
    for (double x = std::max(low, 0.0); x < end;) {
      const double next = std::min(end, std::floor(x) + 1);
      addInCell(row, per_x * (next - x), (x + next) / 2);
      x = next;
    }
  }

  void addInCell(std::size_t row, double dy, double middle) {
    const auto column = static_cast<std::size_t>(middle);
    const double beside = middle - static_cast<double>(column);
    sums_[row * stride_ + column] += dy * (1 - beside);
    sums_[row * stride_ + column + 1] += dy * beside;
  }

  std::size_t rows_, columns_, stride_;
  std::vector<double> sums_;
};

CellWindow windowOf(const Bbox& box, const Raster& raster) {
  if (box.isEmpty()) return {};
  const auto clampTo = [](double value, std::size_t count) {
    return static_cast<std::size_t>(std::clamp(value, 0.0, static_cast<double>(count)));
  };
  const auto left = clampTo(std::floor((box.min_x - raster.left) / raster.cell_x), raster.columns);
  const auto right = clampTo(std::ceil((box.max_x - raster.left) / raster.cell_x), raster.columns);
  const auto top = clampTo(std::floor((raster.top - box.max_y) / raster.cell_y), raster.rows);
  const auto bottom = clampTo(std::ceil((raster.top - box.min_y) / raster.cell_y), raster.rows);
  if (left >= right || top >= bottom) return {};
  return {top, left, bottom - top, right - left};
}

}  // namespace

CellCoverage::CellCoverage(const Geometries& areas, std::size_t row, const Raster& raster) {
  if (areas.kind(row) != GeometryKind::Areas) return;
  window_ = windowOf(areas.bbox(row), raster);
  if (window_.rows == 0) return;
  const double left = raster.left + raster.cell_x * static_cast<double>(window_.first_column);
  const double top = raster.top - raster.cell_y * static_cast<double>(window_.first_row);
  const auto toCells = [&](Point p) { return Point{(p.x - left) / raster.cell_x, (top - p.y) / raster.cell_y}; };
  double cells = 0;
  for (std::size_t path = 0; path < areas.paths(row); ++path) {
    const auto ring = areas.path(row, path);
    const auto first_edge = edges_.size();
    double twice_area = 0;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
      const auto a = toCells(ring[i]);
      const auto b = toCells(ring[i + 1]);
      const auto origin = toCells(ring[0]);
      twice_area += (a.x - origin.x) * (b.y - origin.y) - (b.x - origin.x) * (a.y - origin.y);
      edges_.push_back({a.x, a.y, b.x, b.y, 0});
    }
    // The sums of a ring come out as minus its signed area; outer rings must add and holes take off, however they run.
    const bool adds = !areas.isHole(row, path);
    const double sign = (twice_area < 0) == adds ? 1 : -1;
    for (auto edge = first_edge; edge < edges_.size(); ++edge) edges_[edge].sign = sign;
    cells += (adds ? 0.5 : -0.5) * std::abs(twice_area);
  }
  least_ = std::min(1e-9, std::max(0.0, cells) * 1e-4);
}

std::vector<double> CellCoverage::rowsFrom(std::size_t first, std::size_t rows) const {
  Sums sums(rows, window_.columns);
  const auto shift = static_cast<double>(first);
  for (const auto& edge : edges_) sums.addEdge(edge.x0, edge.y0 - shift, edge.x1, edge.y1 - shift, edge.sign);
  return sums.fractions(least_);
}

}  // namespace leeward::analysis
