#include "viewer/draw/heat_image.h"

#include "viewer/draw/palette.h"
#include "viewer/draw/resample.h"

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
  const double span = heat.high > heat.low ? heat.high - heat.low : 1;
  const QImage image = resampled(raster, frame, extent, longest_px, 1, [&](std::size_t row, std::size_t column) -> QRgb {
    const float value = raster.at(row, column);
    return std::isnan(value) ? 0 : cividis((value - heat.low) / span).rgba();
  });
  if (image.isNull()) return heat;
  heat.image = {image, extent};
  return heat;
}

}  // namespace leeward::draw
