#include "viewer/window/map_frame.h"

#include <algorithm>
#include <utility>

#include "viewer/window/legend_view.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/style.h"

namespace leeward::window {

MapFrame::MapFrame(QWidget* parent) : QWidget(parent), canvas_(new MapCanvas(this)), legend_(new LegendView(this)) {
  canvas_->setObjectName("map");
  legend_->setObjectName("legend");
  legend_->hide();
}

void MapFrame::setLegend(draw::Legend legend) {
  legend_->setLegend(std::move(legend));
  layLegend();
}

void MapFrame::toggleLegend() {
  is_folded_ = !is_folded_;
  layLegend();
}

void MapFrame::layLegend() {
  const int tall = legend_->heightFor(width());
  // Where it would take more than two fifths it stays folded: the map is what one came for.
  const bool shown = !is_folded_ && !legend_->isEmpty() && tall < 2 * height() / 5;
  legend_->setVisible(shown);
  legend_->setGeometry(0, height() - tall, width(), tall);
  canvas_->setGeometry(0, 0, width(), height() - (shown ? tall : 0));
}

void MapFrame::resizeEvent(QResizeEvent*) { layLegend(); }

}  // namespace leeward::window
