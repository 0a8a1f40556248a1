#pragma once
/// The legend of what is on the map, painted as on paper.
#include <QWidget>

#include "viewer/draw/legend.h"

namespace leeward::window {

class LegendView : public QWidget {
  Q_OBJECT

 public:
  explicit LegendView(QWidget* parent = nullptr);
  void setLegend(draw::Legend legend);
  bool hasHeightForWidth() const override { return true; }
  int heightForWidth(int width) const override;
  QSize sizeHint() const override;

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  draw::Legend legend_;
};

}  // namespace leeward::window
