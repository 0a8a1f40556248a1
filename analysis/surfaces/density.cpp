#include "analysis/surfaces/density.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "analysis/overlay/coverage.h"
#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kMostCells = 100'000'000;
constexpr std::size_t kRowsPerBatch = 32;

Point centreOf(const Raster& raster, std::size_t row, std::size_t column) {
  return {raster.left + (static_cast<double>(column) + 0.5) * raster.cell_x, raster.top - (static_cast<double>(row) + 0.5) * raster.cell_y};
}

/// Fractions of cells that the areas cover; overlapping areas count once.
Result<std::vector<float>> coveredBy(const Geometries& areas, const Raster& raster, Progress& progress) {
  std::vector<float> covered(raster.rows * raster.columns, 0);
  for (std::size_t area = 0; area < areas.size(); ++area) {
    LEEWARD_TRY(progress.checkStop());
    if (areas.kind(area) != GeometryKind::Areas) continue;
    const CellCoverage coverage(areas, area, raster);
    const auto& window = coverage.window();
    constexpr std::size_t kRows = 256;
    for (std::size_t first = 0; first < window.rows; first += kRows) {
      const auto rows = std::min(kRows, window.rows - first);
      const auto fractions = coverage.rowsFrom(first, rows);
      for (std::size_t row = 0; row < rows; ++row) {
        float* to = covered.data() + (window.first_row + first + row) * raster.columns + window.first_column;
        for (std::size_t column = 0; column < window.columns; ++column) to[column] = std::min(1.0F, to[column] + static_cast<float>(fractions[row * window.columns + column]));
      }
    }
  }
  return covered;
}

/// Weights of cells by their offset: the kernel's volume over each.
std::vector<double> axisWeights(double bandwidth, double cell, double reach) {
  const auto most = static_cast<int>(std::ceil(reach / cell));
  std::vector<double> weights;
  for (int i = -most; i <= most; ++i) weights.push_back(normalMass((i - 0.5) * cell / bandwidth, (i + 0.5) * cell / bandwidth));
  const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
  for (auto& weight : weights) weight /= sum;
  return weights;
}

Result<std::vector<float>> gaussianMass(const Kernel& kernel, const std::vector<float>& covered, const Raster& raster, Progress& progress) {
  const auto across = axisWeights(kernel.bandwidth(), raster.cell_x, kernel.reach()), down = axisWeights(kernel.bandwidth(), raster.cell_y, kernel.reach());
  const auto columns = static_cast<std::ptrdiff_t>(raster.columns), rows = static_cast<std::ptrdiff_t>(raster.rows);
  std::vector<float> half(covered.size()), mass(covered.size());
  const auto rx = static_cast<std::ptrdiff_t>(across.size() / 2), ry = static_cast<std::ptrdiff_t>(down.size() / 2);
  LEEWARD_TRY(progress.parallelFor(raster.rows, kRowsPerBatch, [&](std::size_t begin, std::size_t end) {
    for (auto row = static_cast<std::ptrdiff_t>(begin); row < static_cast<std::ptrdiff_t>(end); ++row) {
      for (std::ptrdiff_t x = 0; x < columns; ++x) {
        double sum = 0;
        for (auto i = std::max(-rx, -x); i <= std::min(rx, columns - 1 - x); ++i) sum += across[static_cast<std::size_t>(i + rx)] * covered[static_cast<std::size_t>(row * columns + x + i)];
        half[static_cast<std::size_t>(row * columns + x)] = static_cast<float>(sum);
      }
    }
  }));
  LEEWARD_TRY(progress.parallelFor(raster.rows, kRowsPerBatch, [&](std::size_t begin, std::size_t end) {
    std::vector<double> sums(raster.columns);
    for (auto row = static_cast<std::ptrdiff_t>(begin); row < static_cast<std::ptrdiff_t>(end); ++row) {
      std::ranges::fill(sums, 0);
      for (auto i = std::max(-ry, -row); i <= std::min(ry, rows - 1 - row); ++i) {
        const float* from = half.data() + (row + i) * columns;
        for (std::size_t x = 0; x < sums.size(); ++x) sums[x] += down[static_cast<std::size_t>(i + ry)] * from[x];
      }
      for (std::size_t x = 0; x < sums.size(); ++x) mass[static_cast<std::size_t>(row * columns) + x] = static_cast<float>(sums[x]);
    }
  }));
  return mass;
}

Result<std::vector<float>> quarticMass(const Kernel& kernel, const std::vector<float>& covered, const Raster& raster, Progress& progress) {
  const auto columns = static_cast<std::ptrdiff_t>(raster.columns), rows = static_cast<std::ptrdiff_t>(raster.rows);
  const auto rx = static_cast<std::ptrdiff_t>(kernel.bandwidth() / raster.cell_x), ry = static_cast<std::ptrdiff_t>(kernel.bandwidth() / raster.cell_y);
  std::vector<double> weights;
  for (auto y = -ry; y <= ry; ++y) {
    for (auto x = -rx; x <= rx; ++x) {
      const double dx = static_cast<double>(x) * raster.cell_x, dy = static_cast<double>(y) * raster.cell_y;
      weights.push_back(kernel.at(dx * dx + dy * dy));
    }
  }
  const double all = std::accumulate(weights.begin(), weights.end(), 0.0);
  std::vector<float> mass(covered.size());
  LEEWARD_TRY(progress.parallelFor(raster.rows, kRowsPerBatch, [&](std::size_t begin, std::size_t end) {
    for (auto row = static_cast<std::ptrdiff_t>(begin); row < static_cast<std::ptrdiff_t>(end); ++row) {
      for (std::ptrdiff_t x = 0; x < columns; ++x) {
        double sum = 0;
        for (auto i = std::max(-ry, -row); i <= std::min(ry, rows - 1 - row); ++i) {
          const double* weight = weights.data() + (i + ry) * (2 * rx + 1) + rx;
          const float* from = covered.data() + (row + i) * columns + x;
          for (auto j = std::max(-rx, -x); j <= std::min(rx, columns - 1 - x); ++j) sum += weight[j] * from[j];
        }
        mass[static_cast<std::size_t>(row * columns + x)] = static_cast<float>(sum / all);
      }
    }
  }));
  return mass;
}

/// The kernel's volume in the window, at places.
class MassInWindow {
 public:
  MassInWindow(const Kernel& kernel, const Bbox& box, const Raster& raster) : kernel_(kernel), box_(box), raster_(raster) {}
  std::vector<float> covered, of_cell;  ///< empty for a rectangle

  double at(Point p) const {
    if (of_cell.empty()) return kernel_.massOver(box_, p);
    // Between the four nearest centres; beyond the outermost ones their slope goes on.
    const double x = (p.x - raster_.left) / raster_.cell_x - 0.5, y = (raster_.top - p.y) / raster_.cell_y - 0.5;
    const auto lower = [](double at, std::size_t count) { return count < 2 ? std::size_t{0} : static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(count - 2))); };
    const auto column = lower(x, raster_.columns), row = lower(y, raster_.rows);
    const auto right = std::min(column + 1, raster_.columns - 1), below = std::min(row + 1, raster_.rows - 1);
    const double u = x - static_cast<double>(column), v = y - static_cast<double>(row);
    const auto value = [&](std::size_t r, std::size_t c) { return static_cast<double>(of_cell[r * raster_.columns + c]); };
    return (1 - v) * ((1 - u) * value(row, column) + u * value(row, right)) + v * ((1 - u) * value(below, column) + u * value(below, right));
  }
  double atCell(std::size_t row, std::size_t column) const { return of_cell.empty() ? kernel_.massOver(box_, centreOf(raster_, row, column)) : of_cell[row * raster_.columns + column]; }
  bool holds(std::size_t row, std::size_t column) const {
    if (!covered.empty()) return covered[row * raster_.columns + column] >= 0.5F;
    return box_.contains(centreOf(raster_, row, column));
  }

 private:
  Kernel kernel_;
  Bbox box_;
  const Raster& raster_;
};

struct Weighted {
  Point p;
  double weight;
};

/// The hills of all points that reach the rows [begin, end).
void addHills(const std::vector<Weighted>& points, const Kernel& kernel, const Raster& raster, std::size_t begin, std::size_t end, std::vector<double>& sums) {
  const double reach = kernel.reach(), h2 = kernel.bandwidth() * kernel.bandwidth();
  const double north = raster.top - static_cast<double>(begin) * raster.cell_y + reach, south = raster.top - static_cast<double>(end) * raster.cell_y - reach;
  const bool is_gaussian = kernel.form() == KernelForm::Gaussian;
  std::vector<double> across;
  auto one = std::ranges::lower_bound(points, south, {}, [](const Weighted& w) { return w.p.y; });
  for (; one != points.end() && one->p.y <= north; ++one) {
    const double from = std::ceil((one->p.x - reach - raster.left) / raster.cell_x - 0.5), to = std::floor((one->p.x + reach - raster.left) / raster.cell_x - 0.5);
    const auto first = static_cast<std::size_t>(std::max(0.0, from));
    if (to < 0 || from > static_cast<double>(raster.columns - 1)) continue;
    const auto last = std::min(raster.columns - 1, static_cast<std::size_t>(to));
    across.clear();
    for (auto column = first; column <= last; ++column) {
      const double dx = centreOf(raster, 0, column).x - one->p.x;
      across.push_back(is_gaussian ? std::exp(-dx * dx / (2 * h2)) : dx * dx);
    }
    const double peak = one->weight * kernel.at(0);
    for (auto row = begin; row < end; ++row) {
      const double dy = centreOf(raster, row, 0).y - one->p.y;
      if (std::abs(dy) > reach) continue;
      double* to_cells = sums.data() + (row - begin) * raster.columns + first;
      if (is_gaussian) {
        const double down = peak * std::exp(-dy * dy / (2 * h2));
        for (std::size_t i = 0; i < across.size(); ++i) to_cells[i] += down * across[i];
        continue;
      }
      for (std::size_t i = 0; i < across.size(); ++i) {
        const double rest = std::max(0.0, 1 - (across[i] + dy * dy) / h2);
        to_cells[i] += peak * rest * rest;
      }
    }
  }
}

}  // namespace

std::vector<double> densityAt(std::span<const Point> points, std::span<const Point> places, const DensityRequest& request, const Bbox& window) {
  std::vector<double> weights(points.size(), 1);
  for (std::size_t i = 0; request.edge == EdgeCorrection::Point && i < points.size(); ++i) weights[i] = 1 / request.kernel.massOver(window, points[i]);
  std::vector<double> density;
  for (const Point u : places) {
    double sum = 0;
    for (std::size_t i = 0; i < points.size(); ++i) sum += weights[i] * request.kernel.at((u.x - points[i].x) * (u.x - points[i].x) + (u.y - points[i].y) * (u.y - points[i].y));
    density.push_back(request.edge == EdgeCorrection::Place ? sum / request.kernel.massOver(window, u) : sum);
  }
  return density;
}

Result<void> fillDensity(std::span<const Point> points, const DensityRequest& request, const DensityWindow& window, Raster& raster, Progress& progress) {
  const auto& kernel = request.kernel;
  if (!(kernel.bandwidth() > 0) || !std::isfinite(kernel.bandwidth())) return Problem{ProblemCode::InvalidArgument, "the bandwidth must be above 0", "", "Give it in metres"};
  if (raster.columns == 0 || raster.rows == 0 || raster.columns > kMostCells / raster.rows) {
    return Problem{ProblemCode::InvalidArgument, "the surface would have no cells, or more than 100 million", "", "Give larger cells"};
  }
  MassInWindow mass(kernel, window.box, raster);
  Progress quiet = progress.quiet();
  const bool has_correction = request.edge != EdgeCorrection::None;
  if (window.areas != nullptr) {
    LEEWARD_ASSIGN(covered, coveredBy(*window.areas, raster, quiet));
    mass.covered = std::move(covered);
    if (has_correction) {
      LEEWARD_ASSIGN(of_cell, kernel.form() == KernelForm::Gaussian ? gaussianMass(kernel, mass.covered, raster, quiet) : quarticMass(kernel, mass.covered, raster, quiet));
      mass.of_cell = std::move(of_cell);
    }
  }
  std::vector<Weighted> weighted;
  for (const Point p : points) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) continue;
    const double inside = request.edge == EdgeCorrection::Point ? mass.at(p) : 1;
    if (inside > 0) weighted.push_back({p, 1 / inside});
  }
  std::ranges::stable_sort(weighted, [](const Weighted& a, const Weighted& b) { return std::pair(a.p.y, a.p.x) < std::pair(b.p.y, b.p.x); });
  raster.values.assign(raster.rows * raster.columns, 0);
  const bool has_edge = has_correction || window.areas != nullptr;
  return progress.parallelFor(raster.rows, kRowsPerBatch, [&](std::size_t begin, std::size_t end) {
    std::vector<double> sums((end - begin) * raster.columns, 0);
    addHills(weighted, kernel, raster, begin, end, sums);
    for (auto row = begin; row < end; ++row) {
      for (std::size_t column = 0; column < raster.columns; ++column) {
        double value = sums[(row - begin) * raster.columns + column];
        if (has_edge && !mass.holds(row, column)) value = kNan;
        else if (request.edge == EdgeCorrection::Place) value /= mass.atCell(row, column);
        raster.values[row * raster.columns + column] = static_cast<float>(value);
      }
    }
  });
}

void divideDensity(Raster& above, const Raster& below, const Kernel& kernel, double least) {
  for (std::size_t cell = 0; cell < above.values.size(); ++cell) {
    const float under = below.values[cell];
    above.values[cell] = static_cast<double>(under) * kernel.effectiveArea() >= least ? above.values[cell] / under : static_cast<float>(kNan);
  }
}

}  // namespace leeward::analysis
