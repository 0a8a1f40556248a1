#pragma once
/// A chart on a page: intervals by name, or columns over time (a month strip) of which a stretch can be chosen.
#include <QWidget>

#include "viewer/draw/chart.h"

namespace leeward::window {

class ChartView : public QWidget {
  Q_OBJECT

 public:
  enum class Kind { Intervals, Columns };
  explicit ChartView(Kind kind, QWidget* parent = nullptr);

  void setChart(draw::Chart chart);
  const draw::Chart& chart() const { return chart_; }
  /// The value in hand, -1 = none: outlined.
  void setChosen(int index);
  int chosen() const { return chosen_; }

 signals:
  void picked(int index);  ///< by a click, or by arrow keys and Return; the same again: -1

 protected:
  void resizeEvent(QResizeEvent* event) override;
  void paintEvent(QPaintEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  QSize sizeHint() const override;
  bool hasHeightForWidth() const override { return true; }
  int heightForWidth(int width) const override;

 private:
  QRectF boxOf(int index) const;  ///< pixels
  void pick(int index);

  Kind kind_;
  draw::Chart chart_;
  int chosen_ = -1;
};

}  // namespace leeward::window
