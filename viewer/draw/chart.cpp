#include "viewer/draw/chart.h"

#include <cmath>

#include "shared/base/text.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

constexpr double kHeadRoom = 2, kIntervalRow = 14;
const QColor kColumn = okabe_ito::kSkyBlue;

QString unitWords(const Chart& chart) {
  return chart.counted.isEmpty() ? chart.unit : chart.unit + QStringLiteral("; ") + chart.counted;
}

/// Whether heading and unit stand side by side.
bool inOneLine(const Chart& chart, double width) {
  return textWidth(chart.heading, kSmallStrong) + textWidth(unitWords(chart), kFoot) + 12 <= width;
}

double headHeight(const Chart& chart, double width) {
  const bool second = !unitWords(chart).isEmpty() && !inOneLine(chart, width);
  return lineHeight(kSmallStrong) + (second ? lineHeight(kFoot) : 0) + kHeadRoom;
}

void drawHead(QPainter& painter, const QRectF& box, const Chart& chart) {
  const double first = box.top() + ascent(kSmallStrong);
  drawLine(painter, {box.left(), first}, chart.heading, kSmallStrong, ground::kInk);
  const QString unit = unitWords(chart);
  const bool beside = inOneLine(chart, box.width());
  drawLine(painter,
           {beside ? box.right() - textWidth(unit, kFoot) : box.left(),
            beside ? first : box.top() + lineHeight(kSmallStrong) + ascent(kFoot)},
           unit, kFoot, ground::kQuietInk);
}

double topOf(const Chart& chart) {
  double top = chart.top;
  if (top > 0) return top;
  for (const ChartValue& v : chart.values) top = std::max({top, v.value, v.high.value_or(0)});
  return top > 0 ? top : 1;
}

}  // namespace

QString chartNumber(double value, int decimals) {
  return decimals > 0 ? QString::number(value, 'f', decimals) : QString::fromStdString(formatCount(std::llround(value)));
}

double chartTop(const std::vector<Chart>& charts) {
  double top = 0;
  for (const Chart& chart : charts) top = std::max(top, topOf(chart));
  return top;
}

void drawColumns(QPainter& painter, const QRectF& box, const Chart& chart) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  drawHead(painter, box, chart);
  const double label = lineHeight(kFoot);
  const double zero = box.bottom() - label - 2, high = box.top() + headHeight(chart, box.width()) + label;
  const double per_unit = (zero - high) / topOf(chart),
               step = box.width() / std::max(1.0, static_cast<double>(chart.values.size()));
  double widest = 0;
  for (const ChartValue& v : chart.values) widest = std::max(widest, textWidth(v.label, kFoot) + 4);
  const std::size_t every = std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(widest / step)));
  for (std::size_t i = 0; i < chart.values.size(); ++i) {
    const ChartValue& v = chart.values[i];
    const double middle = box.left() + (static_cast<double>(i) + 0.5) * step, top = zero - v.value * per_unit;
    const QRectF column(middle - 0.32 * step, top, 0.64 * step, zero - top);
    if (v.partial) {
      painter.setPen(QPen(kColumn, 1, Qt::DashLine));
      painter.setBrush(Qt::NoBrush);
      painter.drawRect(column.adjusted(0.5, 0.5, -0.5, 0));
    } else {
      painter.fillRect(column, kColumn);
    }
    double above = top;
    if (v.low && v.high) {
      above = std::min(top, zero - *v.high * per_unit);
      painter.setPen(QPen(ground::kInk, 0.7));
      for (const double limit : {*v.low, *v.high}) {
        painter.drawLine(QPointF(middle - 2, zero - limit * per_unit), QPointF(middle + 2, zero - limit * per_unit));
      }
      painter.drawLine(QPointF(middle, zero - *v.low * per_unit), QPointF(middle, zero - *v.high * per_unit));
    }
    const QString number = chartNumber(v.value, chart.decimals);
    drawLine(painter, {middle - textWidth(number, kFoot) / 2, above - 2}, number, kFoot, ground::kInk);
    if ((chart.values.size() - 1 - i) % every == 0) {  // the latest is always named
      const double wide = textWidth(v.label, kFoot), at = std::min(middle - wide / 2, box.right() - wide);
      drawLine(painter, {at, box.bottom() - label + ascent(kFoot)}, v.label, kFoot, ground::kQuietInk);
    }
  }
  painter.setPen(QPen(ground::kInk, 0.9));
  painter.drawLine(QPointF(box.left(), zero), QPointF(box.right(), zero));
  painter.restore();
}

double intervalsHeight(const Chart& chart, double width) {
  return headHeight(chart, width) + 4 + kIntervalRow * static_cast<double>(chart.values.size());
}

void drawIntervals(QPainter& painter, const QRectF& box, const Chart& chart) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  drawHead(painter, box, chart);
  const auto words = [&](const ChartValue& v) {
    const QString value = chartNumber(v.value, chart.decimals);
    return v.low && v.high
               ? QStringLiteral("%1  (%2 to %3)").arg(value, chartNumber(*v.low, 0), chartNumber(*v.high, 0))
               : value;
  };
  double names = 0, numbers = 0;
  for (const ChartValue& v : chart.values) {
    names = std::max(names, textWidth(v.label, kSmall));
    numbers = std::max(numbers, textWidth(words(v), kSmall));
  }
  const double zero = box.left() + names + 10, per_unit = (box.right() - numbers - 10 - zero) / topOf(chart);
  const double first = box.top() + headHeight(chart, box.width()) + 4;
  for (std::size_t i = 0; i < chart.values.size(); ++i) {
    const ChartValue& v = chart.values[i];
    const double middle = first + (static_cast<double>(i) + 0.5) * kIntervalRow, baseline = middle + capHeight(kSmall) / 2;
    drawLine(painter, {box.left(), baseline}, v.label, kSmall, ground::kInk);
    if (v.low && v.high)
      painter.fillRect(QRectF(zero + *v.low * per_unit, middle - 2, (*v.high - *v.low) * per_unit, 4), kColumn);
    painter.setPen(Qt::NoPen);
    painter.setBrush(ground::kInk);
    painter.drawEllipse(QPointF(zero + v.value * per_unit, middle), 2.2, 2.2);
    drawLine(painter, {box.right() - textWidth(words(v), kSmall), baseline}, words(v), kSmall, ground::kInk);
  }
  painter.setPen(QPen(ground::kInk, 0.9));
  painter.drawLine(QPointF(zero, first), QPointF(zero, first + kIntervalRow * static_cast<double>(chart.values.size())));
  painter.restore();
}

}  // namespace leeward::draw
