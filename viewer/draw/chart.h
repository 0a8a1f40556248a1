#pragma once
/// Small charts for paper: columns over time and intervals by name; zero line, direct labels, no grid.
#include <QRectF>
#include <QString>
#include <optional>
#include <vector>

class QPainter;

namespace leeward::draw {

struct ChartValue {
  QString label;  ///< "2025 Q1", "Block 1017"
  double value = 0;
  std::optional<double> low, high;  ///< of the interval; both or neither
  bool partial = false;             ///< a period that isn't over: drawn open
};

struct Chart {
  QString heading;  ///< what is counted
  QString unit;     ///< "dogs a quarter"
  QString counted;  ///< "n = 214 dogs met"
  std::vector<ChartValue> values;
  int decimals = 0;  ///< of the direct labels
  double top = 0;    ///< end of the scale; 0 = the highest value or limit (small multiples share one)
};

/// As charts write a number: thousands apart where it is a whole one.
QString chartNumber(double value, int decimals);

/// The highest value or upper limit: the common scale of several charts.
double chartTop(const std::vector<Chart>& charts);

/// Columns from a zero line (open ones for values that are partial), an interval as a thin line with feet, the value above. Labels of periods beneath; where they
/// don't fit side by side only every second (third, ...) is written.
void drawColumns(QPainter& painter, const QRectF& box, const Chart& chart);

/// One line a value: name at the left, a zero line, the interval as a bar with the value as a dot, both written at the right.
void drawIntervals(QPainter& painter, const QRectF& box, const Chart& chart);
double intervalsHeight(const Chart& chart, double width);

}  // namespace leeward::draw
