#pragma once
/// The legend of what is on the map, painted as on paper, as a strip of columns beneath the map: nothing lies over the town.
#include <QWidget>
#include <vector>

#include "viewer/draw/legend.h"

namespace leeward::window {

class LegendView : public QWidget {
  Q_OBJECT

 public:
  explicit LegendView(QWidget* parent = nullptr);
  void setLegend(draw::Legend legend);
  bool isEmpty() const { return legend_.groups.empty() && legend_.ramps.empty(); }
  int heightFor(int width) const;

 protected:
  void paintEvent(QPaintEvent* event) override;

 private:
  struct Strip {
    struct Column {
      draw::Legend legend;
      double down_pt = 0;  ///< to the line of the entries where the heading stands over an earlier column
    };
    std::vector<Column> columns;
    double width_pt = 0;  ///< of one column
  };
  /// The legend's groups cut into columns of at most so many entries.
  std::vector<draw::Legend> cut(std::size_t rows) const;
  Strip stripFor(int width) const;

  draw::Legend legend_;
};

}  // namespace leeward::window
