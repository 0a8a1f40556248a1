#include "viewer/draw/scale_bar.h"

#include "shared/base/text.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

constexpr double kFootM = 0.3048, kMileM = 1609.344;

/// The largest 1, 2 or 5 x 10^n that is not above `limit`.
double roundBelow(double limit) {
  if (!(limit > 0)) return 0;
  const double power = std::pow(10.0, std::floor(std::log10(limit) + 1e-12));
  for (const double digit : {5.0, 2.0, 1.0}) {
    if (digit * power <= limit * (1 + 1e-12)) return digit * power;
  }
  return power / 2;
}

QString plain(double value, const char* unit) {
  const QString number = value >= 1 ? QString::fromStdString(formatCount(std::llround(value))) : QString::number(value);
  return number + QLatin1Char(' ') + QLatin1String(unit);
}

}  // namespace

RoundLength roundMetric(double longest_m) {
  const double metres = roundBelow(longest_m);
  return {metres, metres >= 1000 ? plain(metres / 1000, "km") : plain(metres, "m")};
}

RoundLength roundFeetOrMiles(double longest_m) {
  if (longest_m < kMileM / 2) {
    const double feet = roundBelow(longest_m / kFootM);
    return {feet * kFootM, plain(feet, "ft")};
  }
  if (longest_m < kMileM) return {kMileM / 2, QStringLiteral("1/2 mi")};
  const double miles = roundBelow(longest_m / kMileM);
  return {miles * kMileM, plain(miles, "mi")};
}

double drawScaleBar(QPainter& painter, QPointF at, double metres_per_pt, double longest_pt) {
  const double line = lineHeight(kSmall), bar = at.y() + line + 1;
  const RoundLength metric = roundMetric(longest_pt * metres_per_pt), feet = roundFeetOrMiles(longest_pt * metres_per_pt);
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setPen(QPen(ground::kInk, 0.9, Qt::SolidLine, Qt::FlatCap));
  const double metric_pt = metric.metres / metres_per_pt, feet_pt = feet.metres / metres_per_pt;
  painter.drawLine(QPointF(at.x(), bar), QPointF(at.x() + std::max(metric_pt, feet_pt), bar));
  painter.drawLine(QPointF(at.x() + 0.45, bar - 4), QPointF(at.x() + 0.45, bar + 4));
  painter.drawLine(QPointF(at.x() + metric_pt - 0.45, bar - 4), QPointF(at.x() + metric_pt - 0.45, bar));
  painter.drawLine(QPointF(at.x() + metric_pt / 2, bar - 2.5), QPointF(at.x() + metric_pt / 2, bar));
  painter.drawLine(QPointF(at.x() + feet_pt - 0.45, bar), QPointF(at.x() + feet_pt - 0.45, bar + 4));
  painter.drawLine(QPointF(at.x() + feet_pt / 2, bar), QPointF(at.x() + feet_pt / 2, bar + 2.5));
  const double above = at.y() + ascent(kSmall) - 3, below = bar + 5 + ascent(kSmall);
  drawLine(painter, {at.x() + 3, above}, QStringLiteral("0"), kSmall, ground::kInk);
  drawLine(painter, {at.x() + metric_pt - textWidth(metric.words, kSmall), above}, metric.words, kSmall, ground::kInk);
  drawLine(painter, {at.x() + feet_pt - textWidth(feet.words, kSmall), below}, feet.words, kSmall, ground::kInk);
  painter.restore();
  return 2 * line + 8;
}

}  // namespace leeward::draw
