#pragma once
/// The map with its legend beneath it, as on a sheet. F7 folds the legend away.
#include <QWidget>

#include "viewer/draw/legend.h"

namespace leeward::window {

class LegendView;
class MapCanvas;

class MapFrame : public QWidget {
  Q_OBJECT

 public:
  explicit MapFrame(QWidget* parent = nullptr);
  MapCanvas& canvas() { return *canvas_; }
  void setLegend(draw::Legend legend);
  void toggleLegend();

 protected:
  void resizeEvent(QResizeEvent* event) override;

 private:
  void layLegend();

  MapCanvas* canvas_;
  LegendView* legend_;
  bool is_folded_ = false;
};

}  // namespace leeward::window
