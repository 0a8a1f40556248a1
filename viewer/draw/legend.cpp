#include "viewer/draw/legend.h"

#include "viewer/draw/map_painter.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"

namespace leeward::draw {
namespace {

constexpr double kRow = 15, kSwatchWidth = 22, kSwatchHeight = 10, kGap = 8, kRampHeight = 9;

/// Two significant digits, upwards.
double roundedUp(double value) {
  if (!(value > 0)) return value;
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1);
  return std::ceil(value / step - 1e-9) * step;
}

QString shortNumber(double value) {
  const double size = std::abs(value);
  const int decimals = size == 0 || size >= 10 ? 0 : size >= 1 ? 1 : size >= 0.1 ? 2 : 3;
  QString text = QString::number(value, 'f', decimals);
  if (text.contains(QLatin1Char('.'))) {
    while (text.endsWith(QLatin1Char('0'))) text.chop(1);
    if (text.endsWith(QLatin1Char('.'))) text.chop(1);
  }
  return text;
}

/// Lays the legend out; paints when `painter` is given. One function, so that height and drawing can't differ.
class Layout {
 public:
  Layout(QPainter* painter, QPointF at, double width) : painter_(painter), at_(at), width_(width) {}

  double run(const Legend& legend) {
    for (const LegendGroup& group : legend.groups) {
      heading(group.heading, group.unit);
      for (const LegendEntry& entry : group.entries) row(entry);
    }
    for (const LegendRamp& shown : legend.ramps) ramp(shown);
    return y_;
  }

 private:
  void heading(const QString& words, const QString& unit) {
    if (y_ > 0) y_ += kGap;
    y_ += paragraph(words, kBodyStrong, ground::kInk, 0, width_);
    if (!unit.isEmpty()) y_ += paragraph(unit, kSmall, ground::kQuietInk, 0, width_);
    y_ += 3;
  }

  void row(const LegendEntry& entry) {
    const double text_left = kSwatchWidth + 7;
    const double amount_width = entry.amount.isEmpty() ? 0 : textWidth(entry.amount, kSmall) + 6;
    const double width = width_ - text_left - amount_width;
    const double text_height = paragraphHeight(entry.words, kSmall, width);
    const double height = std::max(kRow, text_height + 3);
    if (painter_ != nullptr) {
      const QRectF swatch(at_.x(), at_.y() + y_ + (kRow - kSwatchHeight) / 2, kSwatchWidth, kSwatchHeight);
      if (entry.badge.isEmpty())
        paintSwatch(*painter_, swatch, entry.sign);
      else
        badge(swatch.center(), entry);
      const double middle = at_.y() + y_ + kRow / 2 + capHeight(kSmall) / 2;
      if (!entry.amount.isEmpty()) {
        drawLine(*painter_, {at_.x() + width_ - amount_width + 6, middle}, entry.amount, kSmall, ground::kQuietInk);
      }
    }
    paragraph(entry.words, kSmall, ground::kInk, text_left, width, kRow / 2 + capHeight(kSmall) / 2 - ascent(kSmall));
    y_ += height;
  }

  void badge(QPointF middle, const LegendEntry& entry) {
    constexpr Style kNumber{7.2, Face::Bold};
    const QColor paper = ground::kPaper;
    painter_->setPen(QPen(entry.badge_filled ? paper : kAccent, 1.1));
    painter_->setBrush(entry.badge_filled ? kAccent : paper);
    painter_->drawEllipse(middle, 5.4, 5.4);
    drawLine(*painter_, middle + QPointF(-textWidth(entry.badge, kNumber) / 2, capHeight(kNumber) / 2), entry.badge, kNumber,
             entry.badge_filled ? paper : kAccent);
  }

  void ramp(const LegendRamp& shown) {
    heading(shown.heading, shown.unit);
    if (painter_ != nullptr && !shown.colours.empty()) {
      const double step = width_ / static_cast<double>(shown.colours.size());
      for (std::size_t i = 0; i < shown.colours.size(); ++i) {
        painter_->fillRect(QRectF(at_.x() + static_cast<double>(i) * step, at_.y() + y_, step + 0.2, kRampHeight),
                           shown.colours[i]);
      }
      const double baseline = at_.y() + y_ + kRampHeight + 2 + ascent(kSmall);
      const QString high = shortNumber(shown.high);
      drawLine(*painter_, {at_.x(), baseline}, shortNumber(shown.low), kSmall, ground::kInk);
      drawLine(*painter_, {at_.x() + width_ - textWidth(high, kSmall), baseline}, high, kSmall, ground::kInk);
    }
    y_ += kRampHeight + 2 + lineHeight(kSmall);
  }

  double paragraph(const QString& text, const Style& style, const QColor& ink, double left, double width, double down = 0) {
    if (painter_ == nullptr) return paragraphHeight(text, style, width);
    return drawParagraph(*painter_, {at_.x() + left, at_.y() + y_ + down}, text, style, ink, width);
  }

  QPainter* painter_;
  QPointF at_;
  double width_;
  double y_ = 0;
};

}  // namespace

int ClassLimits::classOf(double value) const {
  if (std::isnan(value) || upper.empty()) return -1;
  for (std::size_t i = 0; i < upper.size(); ++i) {
    if (value <= upper[i]) return static_cast<int>(i);
  }
  return static_cast<int>(upper.size()) - 1;
}

ClassLimits roundQuantileClasses(std::vector<double> values, int classes) {
  ClassLimits limits;
  std::erase_if(values, [](double v) { return std::isnan(v); });
  if (values.empty() || classes < 1) return limits;
  std::sort(values.begin(), values.end());
  for (int k = 1; k <= classes; ++k) {
    const std::size_t last = static_cast<std::size_t>(std::lround(static_cast<double>(values.size()) * k / classes));
    const double limit = roundedUp(values[std::max<std::size_t>(1, last) - 1]);
    if (limits.upper.empty() || limit > limits.upper.back()) limits.upper.push_back(limit);
  }
  for (std::size_t i = 0; i < limits.upper.size(); ++i) {
    const QString high = shortNumber(limits.upper[i]);
    limits.words.push_back(i == 0 ? QStringLiteral("up to ") + high
                                  : QStringLiteral("over %1 to %2").arg(shortNumber(limits.upper[i - 1]), high));
  }
  return limits;
}

double legendHeight(const Legend& legend, double width_pt) { return Layout(nullptr, {}, width_pt).run(legend); }

double drawLegend(QPainter& painter, QPointF at, double width_pt, const Legend& legend) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const double height = Layout(&painter, at, width_pt).run(legend);
  painter.restore();
  return height;
}

}  // namespace leeward::draw
