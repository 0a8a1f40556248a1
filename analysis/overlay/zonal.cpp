#include "analysis/overlay/zonal.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/overlay/coverage.h"
#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kCellsPerStrip = 1'000'000;

struct Weighted {
  float value;
  double weight;
};

/// Mean and squares by West 1979 (Communications of the ACM 22, 532-535), which stays exact for values far from zero.
class Accumulator {
 public:
  explicit Accumulator(const ZonalRequest& request) : request_(request), above_(request.share_above.size(), 0.0) {
    keeps_cells_ = request.median || !request.quantiles.empty();
  }

  void add(float value, double weight) {
    covered_ += weight;
    if (std::isnan(value)) return;
    const double v = value;
    weights_ += weight;
    const double off = v - mean_;
    mean_ += off * weight / weights_;
    squares_ += weight * off * (v - mean_);
    min_ = std::min(min_, v);
    max_ = std::max(max_, v);
    for (std::size_t i = 0; i < above_.size(); ++i) {
      if (v > request_.share_above[i]) above_[i] += weight;
    }
    if (keeps_cells_) cells_.push_back({value, weight});
  }

  void write(std::size_t row, ZonalStatistics& out) {
    out.covered_cells[row] = weights_;
    out.missing_share[row] = covered_ > 0 ? std::max(0.0, 1 - weights_ / covered_) : kNan;
    if (!(weights_ > 0)) return;
    out.mean[row] = mean_;
    out.min[row] = min_;
    out.max[row] = max_;
    out.sd[row] = std::sqrt(squares_ / weights_);
    for (std::size_t i = 0; i < above_.size(); ++i) out.share_above[i][row] = std::min(1.0, above_[i] / weights_);
    if (!keeps_cells_) return;
    std::sort(cells_.begin(), cells_.end(), [](const Weighted& a, const Weighted& b) { return a.value < b.value; });
    if (request_.median) out.median[row] = quantile(0.5);
    for (std::size_t i = 0; i < request_.quantiles.size(); ++i) out.quantiles[i][row] = quantile(request_.quantiles[i]);
  }

 private:
  double quantile(double share) const {
    double sum = 0;
    for (const auto& cell : cells_) sum += cell.weight;
    const double wanted = share * sum;
    const double rounding = 1e-12 * sum;
    double reached = 0;
    for (std::size_t i = 0; i < cells_.size(); ++i) {
      reached += cells_[i].weight;
      if (reached < wanted - rounding) continue;
      const bool exactly = reached <= wanted + rounding && i + 1 < cells_.size() && share > 0;
      return exactly ? (static_cast<double>(cells_[i].value) + static_cast<double>(cells_[i + 1].value)) / 2 : cells_[i].value;
    }
    return cells_.back().value;
  }

  const ZonalRequest& request_;
  std::vector<double> above_;
  bool keeps_cells_ = false;
  double covered_ = 0, weights_ = 0, mean_ = 0, squares_ = 0;
  double min_ = std::numeric_limits<double>::infinity();
  double max_ = -std::numeric_limits<double>::infinity();
  std::vector<Weighted> cells_;
};

void measureArea(const Geometries& areas, std::size_t row, const Raster& raster, const ZonalRequest& request,
                 const Progress& progress, ZonalStatistics& out) {
  const CellCoverage coverage(areas, row, raster);
  const auto& window = coverage.window();
  Accumulator accumulator(request);
  const auto strip = window.rows == 0 ? 1 : std::max<std::size_t>(1, kCellsPerStrip / window.columns);
  for (std::size_t first = 0; first < window.rows && !progress.stopRequested(); first += strip) {
    const auto rows = std::min(strip, window.rows - first);
    const auto covered = coverage.rowsFrom(first, rows);
    for (std::size_t r = 0; r < rows; ++r) {
      const float* values = &raster.values[(window.first_row + first + r) * raster.columns + window.first_column];
      for (std::size_t c = 0; c < window.columns; ++c) {
        const double weight = covered[r * window.columns + c];
        if (weight > 0) accumulator.add(values[c], weight);
      }
    }
  }
  accumulator.write(row, out);
}

Result<void> validate(const Raster& raster, const ZonalRequest& request) {
  if (raster.columns == 0 || raster.rows == 0 || raster.values.size() != raster.columns * raster.rows || !(raster.cell_x > 0) ||
      !(raster.cell_y > 0)) {
    return Problem{ProblemCode::InvalidArgument, "the raster has no cells", "", "Give a raster with at least one cell"};
  }
  for (const double share : request.quantiles) {
    if (!(share >= 0 && share <= 1)) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("{} is no quantile", share), "", "Quantiles lie between 0 and 1"};
    }
  }
  return {};
}

}  // namespace

Result<ZonalStatistics> zonalStatistics(const Geometries& areas, const Raster& raster, const ZonalRequest& request,
                                        Progress& progress) {
  LEEWARD_TRY(validate(raster, request));
  const std::vector<double> unknown(areas.size(), kNan);
  ZonalStatistics out;
  for (auto* column : {&out.mean, &out.min, &out.max, &out.sd, &out.median, &out.missing_share}) *column = unknown;
  out.covered_cells.assign(areas.size(), 0);
  out.quantiles.assign(request.quantiles.size(), unknown);
  out.share_above.assign(request.share_above.size(), unknown);
  LEEWARD_TRY(progress.parallelFor(areas.size(), 8, [&](std::size_t begin, std::size_t end) {
    for (std::size_t row = begin; row < end; ++row) measureArea(areas, row, raster, request, progress, out);
  }));
  LEEWARD_TRY(progress.checkStop());
  return out;
}

}  // namespace leeward::analysis
