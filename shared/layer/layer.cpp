#include "shared/layer/layer.h"

namespace leeward {

Result<Layer> reprojected(Layer layer, const Crs& to, std::size_t* lost) {
  if (lost != nullptr) *lost = 0;
  if (layer.crs == to && !to.isUnknown()) return layer;
  auto transform = Transform::between(layer.crs, to);
  if (!transform) return std::move(transform).problem().at(layer.name);
  const std::size_t count = transform->apply(layer.geometry.vertices());
  if (lost != nullptr) *lost = count;
  layer.crs = to;
  return layer;
}

}  // namespace leeward
