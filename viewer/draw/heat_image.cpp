#include "viewer/draw/heat_image.h"

#include "viewer/draw/palette.h"

namespace leeward::draw {
namespace {

/// The 2 % and 98 % quantiles, from at most some 100,000 cells evenly taken.
std::pair<double, double> ends(const Raster& raster) {
  std::vector<float> sample;
  const std::size_t step = std::max<std::size_t>(1, raster.values.size() / 100'000);
  for (std::size_t i = 0; i < raster.values.size(); i += step) {
    if (!std::isnan(raster.values[i])) sample.push_back(raster.values[i]);
  }
  if (sample.empty()) return {0, 0};
  std::sort(sample.begin(), sample.end());
  return {sample[sample.size() / 50], sample[sample.size() - 1 - sample.size() / 50]};
}

}  // namespace

HeatImage heatImage(const Raster& raster, const Crs& frame, const Bbox& extent, int longest_px) {
  HeatImage heat;
  if (extent.isEmpty() || raster.values.empty()) return heat;
  std::tie(heat.low, heat.high) = ends(raster);
  std::optional<Transform> way;
  if (!(raster.crs == frame)) {
    Result<Transform> found = Transform::between(frame, raster.crs);
    if (!found) return heat;
    way.emplace(std::move(found).value());
  }
  const double cell = std::max(extent.width(), extent.height()) / longest_px;
  const int width = std::max(1, static_cast<int>(extent.width() / cell)),
            height = std::max(1, static_cast<int>(extent.height() / cell));
  QImage image(width, height, QImage::Format_ARGB32);
  image.fill(Qt::transparent);
  std::vector<Point> line(static_cast<std::size_t>(width));
  const double span = heat.high > heat.low ? heat.high - heat.low : 1;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      line[static_cast<std::size_t>(x)] = {extent.min_x + (x + 0.5) * extent.width() / width,
                                           extent.max_y - (y + 0.5) * extent.height() / height};
    }
    if (way) way->apply(line);
    for (int x = 0; x < width; ++x) {
      const double column = std::floor((line[static_cast<std::size_t>(x)].x - raster.left) / raster.cell_x);
      const double row = std::floor((raster.top - line[static_cast<std::size_t>(x)].y) / raster.cell_y);
      if (!(column >= 0 && row >= 0 && column < static_cast<double>(raster.columns) && row < static_cast<double>(raster.rows)))
        continue;
      const float value = raster.at(static_cast<std::size_t>(row), static_cast<std::size_t>(column));
      if (!std::isnan(value)) image.setPixelColor(x, y, cividis((value - heat.low) / span));
    }
  }
  heat.image = {image, extent};
  return heat;
}

}  // namespace leeward::draw
