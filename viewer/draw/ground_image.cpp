#include "viewer/draw/ground_image.h"

#include "viewer/draw/resample.h"

namespace leeward::draw {
namespace {

constexpr int kLongestPx = 2400, kStepPx = 32;
constexpr int kLightenedPercent = 40;  ///< how far grey goes towards white
constexpr double kShowsThrough = 0.4;  ///< of the ground, through a fill

}  // namespace

void putGroundBeneath(MapTheme& theme, const study::Findings& findings) {
  if (!findings.ground || !theme.picture.image.image.isNull() || theme.picture.extent.isEmpty()) return;
  const GroundPicture& ground = *findings.ground;
  // Beyond the first view too: a map is moved.
  const Bbox extent = theme.picture.extent.grownBy(0.25 * std::max(theme.picture.extent.width(), theme.picture.extent.height()));
  const QImage image = resampled(ground, findings.crs, extent, kLongestPx, kStepPx, [&](std::size_t row, std::size_t column) -> QRgb {
    const QRgb colour = ground.argb[row * ground.columns + column];
    const int grey = qGray(colour) + (255 - qGray(colour)) * kLightenedPercent / 100;
    return qRgba(grey, grey, grey, qAlpha(colour));
  });
  if (image.isNull()) return;
  theme.picture.image = {image, extent};
  theme.picture.image_after = 0;
  for (MapLayer& layer : theme.picture.layers) {
    for (Sign& sign : layer.signs) {
      if (sign.symbol == Symbol::None) sign.fill.colour.setAlphaF(static_cast<float>(sign.fill.colour.alphaF() * (1 - kShowsThrough)));
    }
  }
}

}  // namespace leeward::draw
