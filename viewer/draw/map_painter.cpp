#include "viewer/draw/map_painter.h"

#include <QPainter>

#include "viewer/draw/label_placer.h"
#include "viewer/draw/patterns.h"
#include "viewer/draw/prepared_layer.h"
#include "viewer/draw/symbols.h"

namespace leeward::draw {

struct PreparedMap::Parts {
  QColor ground;
  MapImage image;
  std::size_t image_after = 0;
  Bbox extent;
  Point origin;  ///< paths are relative to it, so that single steps stay exact however far the frame's zero lies
  std::vector<PreparedLayer> layers;

  const PreparedLayer* find(std::string_view name) const {
    const auto it =
        std::find_if(layers.begin(), layers.end(), [&](const PreparedLayer& layer) { return layer.plan.name == name; });
    return it == layers.end() ? nullptr : &*it;
  }
};

namespace {

/// Below this an area has no edge of its own: on a city's map that would cost most of the time and hide the fills.
constexpr double kEdgeFromPt = 9;

void paintAreas(QPainter& painter, const PreparedLayer& layer, const MapView& view, double unit, Point origin) {
  const Bbox visible = view.visible();
  const QTransform to_paper = view.transform(origin);
  const QPointF anchor = view.toPaper(origin);
  const QRectF within = view.frame.adjusted(-unit, -unit, unit, unit);
  const double edge_from_m = kEdgeFromPt * unit * view.metres_per_unit;
  const std::vector<Sign>& signs = layer.plan.signs;
  std::vector<std::pair<const PreparedRow*, QPainterPath>> shown;
  for (const PreparedRow& row : layer.rows) {
    if (row.box.meets(visible)) shown.emplace_back(&row, to_paper.map(row.path));
  }
  for (const auto& [row, path] : shown) {
    paintFill(painter, path, signs[static_cast<std::size_t>(row->sign)].fill, anchor, within, unit);
  }
  // Edges come after all fills, class by class, so that a neighbour's fill never eats half of an edge.
  for (std::size_t s = 0; s < signs.size(); ++s) {
    if (!signs[s].edge.isVisible()) continue;
    const QPen pen = penOf(signs[s].edge, unit);
    for (const auto& [row, path] : shown) {
      const bool large = std::max(row->box.width(), row->box.height()) >= edge_from_m;
      if (static_cast<std::size_t>(row->sign) == s && large) painter.strokePath(path, pen);
    }
  }
}

void paintLines(QPainter& painter, const PreparedLayer& layer, const MapView& view, double unit, Point origin) {
  const Bbox visible = view.visible();
  std::vector<QPainterPath> by_sign(layer.plan.signs.size());
  for (const PreparedRow& row : layer.rows) {
    if (row.box.meets(visible)) by_sign[static_cast<std::size_t>(row.sign)].addPath(row.path);
  }
  const QTransform to_paper = view.transform(origin);
  for (QPainterPath& path : by_sign) path = to_paper.map(path);
  for (const bool casing : {true, false}) {
    for (std::size_t s = 0; s < by_sign.size(); ++s) {
      const Stroke& stroke = casing ? layer.plan.signs[s].casing : layer.plan.signs[s].edge;
      if (stroke.isVisible() && !by_sign[s].isEmpty()) painter.strokePath(by_sign[s], penOf(stroke, unit));
    }
  }
}

void paintLayer(QPainter& painter, const PreparedLayer& layer, const MapView& view, double unit, Point origin) {
  if (view.metres_per_unit * unit > layer.plan.coarsest_m_per_pt || layer.plan.signs.empty()) return;
  if (layer.is_area)
    paintAreas(painter, layer, view, unit, origin);
  else
    paintLines(painter, layer, view, unit, origin);
  paintSpots(painter, layer, view, unit);
}

void paintImage(QPainter& painter, const MapImage& image, const MapView& view) {
  if (image.image.isNull()) return;
  const QRectF box(view.toPaper({image.extent.min_x, image.extent.max_y}),
                   view.toPaper({image.extent.max_x, image.extent.min_y}));
  painter.drawImage(box, image.image);
}

}  // namespace

PreparedMap::PreparedMap(const MapPicture& picture) : parts_(std::make_unique<Parts>()) {
  parts_->ground = picture.ground;
  parts_->image = picture.image;
  parts_->image_after = picture.image_after;
  parts_->extent = picture.extent;
  if (!picture.extent.isEmpty()) parts_->origin = picture.extent.center();
  for (const MapLayer& layer : picture.layers) parts_->layers.push_back(prepareLayer(layer, parts_->origin));
}

PreparedMap::~PreparedMap() = default;
PreparedMap::PreparedMap(PreparedMap&&) noexcept = default;
PreparedMap& PreparedMap::operator=(PreparedMap&&) noexcept = default;

Painted PreparedMap::paint(QPainter& painter, const MapView& view, const PaintOptions& options) const {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setRenderHint(QPainter::SmoothPixmapTransform, false);
  if (options.clip) painter.setClipRect(view.frame, Qt::IntersectClip);
  painter.fillRect(view.frame, parts_->ground);
  for (std::size_t i = 0; i <= parts_->layers.size(); ++i) {
    if (i == parts_->image_after) paintImage(painter, parts_->image, view);
    if (i < parts_->layers.size()) paintLayer(painter, parts_->layers[i], view, options.unit, parts_->origin);
  }
  Painted painted;
  if (options.labels) {
    LabelPlacer placer(painter, view, options.unit, parts_->origin);
    for (const LabelKind kind :
         {LabelKind::Note, LabelKind::Badge, LabelKind::District, LabelKind::Place, LabelKind::Water, LabelKind::Street}) {
      for (const PreparedLayer& layer : parts_->layers) {
        if (layer.plan.label_kind == kind) placer.place(layer);
      }
    }
    painted = std::move(placer).done();
  }
  painter.restore();
  return painted;
}

void PreparedMap::paintOutline(QPainter& painter, const MapView& view, std::string_view name, std::size_t row,
                               const Stroke& stroke, const PaintOptions& options) const {
  const PreparedLayer* layer = parts_->find(name);
  if (layer == nullptr || row >= layer->place_of_row.size()) return;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  if (options.clip) painter.setClipRect(view.frame, Qt::IntersectClip);
  const std::size_t place = layer->place_of_row[row];
  if (place != std::string::npos) {
    painter.strokePath(view.transform(parts_->origin).map(layer->rows[place].path), penOf(stroke, options.unit));
  }
  for (const PreparedLayer::Spot& spot : layer->spots) {
    if (spot.row != row) continue;
    painter.setPen(penOf(stroke, options.unit));
    painter.setBrush(Qt::NoBrush);
    painter.drawEllipse(view.toPaper(spot.at), 5 * options.unit, 5 * options.unit);
  }
  painter.restore();
}

std::optional<std::size_t> PreparedMap::rowAt(std::string_view name, Point world, double reach_m) const {
  const PreparedLayer* layer = parts_->find(name);
  if (layer == nullptr) return std::nullopt;
  const QPointF local(world.x - parts_->origin.x, world.y - parts_->origin.y);
  for (auto it = layer->rows.rbegin(); layer->is_area && it != layer->rows.rend(); ++it) {
    if (it->box.contains(world) && it->path.contains(local)) return it->row;
  }
  std::optional<std::size_t> nearest;
  double least = reach_m;
  for (const PreparedLayer::Spot& spot : layer->spots) {
    const double distance = std::hypot(spot.at.x - world.x, spot.at.y - world.y);
    if (distance > least || (nearest && distance == least)) continue;
    least = distance;
    nearest = spot.row;
  }
  return nearest;
}

Bbox PreparedMap::extent() const { return parts_->extent; }

Bbox PreparedMap::rowExtent(std::string_view name, std::size_t row) const {
  const PreparedLayer* layer = parts_->find(name);
  if (layer == nullptr || row >= layer->place_of_row.size()) return {};
  if (layer->place_of_row[row] != std::string::npos) return layer->rows[layer->place_of_row[row]].box;
  Bbox box;
  for (const PreparedLayer::Spot& spot : layer->spots) {
    if (spot.row == row) box.add(spot.at);
  }
  return box;
}

void paintSwatch(QPainter& painter, const QRectF& box, const Sign& sign, double unit) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  if (sign.symbol != Symbol::None) {
    paintSymbol(painter, box.center(), sign, unit);
  } else if (sign.fill.isVisible()) {
    QPainterPath path;
    path.addRect(box);
    paintFill(painter, path, sign.fill, box.topLeft(), box, unit);
    const bool pale = sign.edge.colour.lightness() > 235;
    painter.strokePath(path, QPen(pale || !sign.edge.isVisible() ? QColor(0x8A, 0x8A, 0x82) : sign.edge.colour,
                                  (pale ? 0.5 : std::max(0.5, sign.edge.width_pt)) * unit));
  } else {
    for (const Stroke& stroke : {sign.casing, sign.edge}) {
      if (!stroke.isVisible()) continue;
      painter.setPen(penOf(stroke, unit));
      painter.drawLine(QPointF(box.left(), box.center().y()), QPointF(box.right(), box.center().y()));
    }
  }
  painter.restore();
}

}  // namespace leeward::draw
