#pragma once
/// Legends: what the signs mean, in units.
#include <QRectF>
#include <QString>
#include <vector>

#include "viewer/draw/sign.h"

class QPainter;

namespace leeward::draw {

struct LegendEntry {
  Sign sign;
  QString words;   ///< "never looked at", "0.5 to 1.2"
  QString amount;  ///< right-aligned: "41 blocks"; "" = none
  QString badge;   ///< a rank in a disc instead of the sign; "" = none
  bool badge_filled = true;
};

struct LegendGroup {
  QString heading;  ///< what the classes are of
  QString unit;     ///< "dogs in need not yet met, per crew-hour"; "" = none
  std::vector<LegendEntry> entries;
};

/// A ramp for a raster: colours evenly spaced from low to high.
struct LegendRamp {
  QString heading;
  QString unit;
  std::vector<QColor> colours;
  double low = 0, high = 1;
};

struct Legend {
  std::vector<LegendGroup> groups;
  std::vector<LegendRamp> ramps;
};

/// Class limits for people: quantile limits of the values (missing left out) rounded to two significant digits, at most
/// `classes` of them, strictly rising. `upper` has one limit a class, the last is the largest value rounded up.
struct ClassLimits {
  std::vector<double> upper;
  std::vector<QString> words;       ///< "up to 0.4", "0.4 to 0.9", ..., "2.1 to 3.6"
  int classOf(double value) const;  ///< -1 for nan
};
ClassLimits roundQuantileClasses(std::vector<double> values, int classes);

double legendHeight(const Legend& legend, double width_pt);
/// From the top left corner of `box`, points; returns the height used.
double drawLegend(QPainter& painter, QPointF at, double width_pt, const Legend& legend);

}  // namespace leeward::draw
