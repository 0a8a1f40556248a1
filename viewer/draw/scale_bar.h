#pragma once
/// A scale bar in metric and feet or miles, of round lengths.
#include <QPointF>
#include <QString>

class QPainter;

namespace leeward::draw {

struct RoundLength {
  double metres = 0;
  QString words;  ///< "500 m", "2 km", "1/2 mi", "1,000 ft"
};

/// The longest 1, 2 or 5 x 10^n metres within `longest_m`: metres below 1 km, kilometres from there.
RoundLength roundMetric(double longest_m);
/// The longest 1, 2 or 5 x 10^n feet below half a mile; 1/2, 1, 2, 5, 10 ... miles from there (international foot and mile).
RoundLength roundFeetOrMiles(double longest_m);

/// Two bars with one zero, metric above, at most `longest_pt` long, from the top left `at`. Returns the height used.
double drawScaleBar(QPainter& painter, QPointF at, double metres_per_pt, double longest_pt);

}  // namespace leeward::draw
