#include "viewer/draw/type.h"

#include <QFontDatabase>
#include <QFontMetricsF>
#include <QGuiApplication>
#include <cstdio>
#include <QHashSeed>
#include <QPainterPath>
#include <QTextLayout>

namespace leeward::draw {
namespace {

constexpr const char* kFamily = "Open Sans";

QFont::Weight weightOf(Face face) {
  switch (face) {
    case Face::Regular:
    case Face::Italic:
      return QFont::Normal;
    case Face::Semibold:
      return QFont::DemiBold;
    case Face::Bold:
      return QFont::Bold;
  }
  return QFont::Normal;
}

/// Breaks the text into lines; returns the height in layout units.
double layOut(QTextLayout& layout, double width, double leading, Align align) {
  QTextOption option;
  option.setWrapMode(QTextOption::WordWrap);
  option.setAlignment(align == Align::Right ? Qt::AlignRight : align == Align::Center ? Qt::AlignHCenter : Qt::AlignLeft);
  layout.setTextOption(option);
  layout.beginLayout();
  double y = 0;
  for (QTextLine line = layout.createLine(); line.isValid(); line = layout.createLine()) {
    line.setLineWidth(width);
    line.setPosition(QPointF(0, y));
    y += line.height() * leading;
  }
  layout.endLayout();
  return y;
}

}  // namespace

void quietQt() {
  qInstallMessageHandler([](QtMsgType type, const QMessageLogContext&, const QString& message) {
    if (type == QtCriticalMsg || type == QtFatalMsg) std::fprintf(stderr, "%s\n", qPrintable(message));
  });
}

PaintingApplication::PaintingApplication() {
  QHashSeed::setDeterministicGlobalSeed();
  if (QCoreApplication::instance() != nullptr) return;
  quietQt();
  static char name[] = "leeward", option[] = "-platform", platform[] = "offscreen";
  static char* arguments[] = {name, option, platform, nullptr};
  static int count = 3;
  own_ = new QGuiApplication(count, arguments);
}

PaintingApplication::~PaintingApplication() { delete own_; }

Result<void> checkTypeface() {
  if (!QFontDatabase::hasFamily(QLatin1String(kFamily))) {
    return Problem{ProblemCode::NotFound, "The typeface Open Sans is not installed, so sheets would not look the same everywhere",
                   "", "Install the package fonts-open-sans and run again"};
  }
  const double zero = textWidth(QStringLiteral("0"), kBody);
  for (char figure = '1'; figure <= '9'; ++figure) {
    if (std::abs(textWidth(QString(QLatin1Char(figure)), kBody) - zero) > 0.05) {
      return Problem{ProblemCode::Unsupported, "The installed Open Sans has figures of unequal width, so tables would not align",
                     "", "Install the package fonts-open-sans of your system"};
    }
  }
  return {};
}

QFont layoutFont(const Style& style) {
  QFont font{QLatin1String(kFamily)};
  font.setPixelSize(static_cast<int>(std::lround(style.size_pt / kLayoutScale)));
  font.setWeight(weightOf(style.face));
  font.setItalic(style.face == Face::Italic);
  font.setHintingPreference(QFont::PreferNoHinting);
  font.setKerning(true);
  // Qt makes no ligatures where letters are spaced: a PDF is then searchable for "effect". A fiftieth of a layout pixel is
  // unseen.
  font.setLetterSpacing(QFont::AbsoluteSpacing, 0.02);
  return font;
}

double textWidth(const QString& text, const Style& style) {
  return QFontMetricsF(layoutFont(style)).horizontalAdvance(text) * kLayoutScale;
}
double lineHeight(const Style& style) { return QFontMetricsF(layoutFont(style)).height() * kLayoutScale; }
double ascent(const Style& style) { return QFontMetricsF(layoutFont(style)).ascent() * kLayoutScale; }
double capHeight(const Style& style) { return QFontMetricsF(layoutFont(style)).capHeight() * kLayoutScale; }

void drawLine(QPainter& painter, QPointF at, const QString& text, const Style& style, const QColor& ink, double unit) {
  if (text.isEmpty()) return;
  painter.save();
  painter.translate(at);
  painter.scale(kLayoutScale * unit, kLayoutScale * unit);
  painter.setFont(layoutFont(style));
  painter.setPen(ink);
  painter.drawText(QPointF(0, 0), text);
  painter.restore();
}

void drawHaloLine(QPainter& painter, QPointF at, const QString& text, const Style& style, const QColor& ink, const QColor& halo,
                  double width_pt, double unit) {
  QPainterPath outline;
  outline.addText(QPointF(0, 0), layoutFont(style), text);
  painter.save();
  painter.translate(at);
  painter.scale(kLayoutScale * unit, kLayoutScale * unit);
  painter.strokePath(outline, QPen(halo, 2 * width_pt / kLayoutScale, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
  painter.restore();
  drawLine(painter, at, text, style, ink, unit);
}

double paragraphHeight(const QString& text, const Style& style, double width_pt, double leading) {
  double height = 0;
  for (const QString& piece : text.split(QLatin1Char('\n'))) {
    QTextLayout layout(piece, layoutFont(style));
    height += layOut(layout, width_pt / kLayoutScale, leading, Align::Left) * kLayoutScale;
  }
  return height;
}

double drawParagraph(QPainter& painter, QPointF at, const QString& text, const Style& style, const QColor& ink, double width_pt,
                     Align align, double leading) {
  double height = 0;
  for (const QString& piece : text.split(QLatin1Char('\n'))) {
    QTextLayout layout(piece, layoutFont(style));
    const double used = layOut(layout, width_pt / kLayoutScale, leading, align) * kLayoutScale;
    painter.save();
    painter.translate(at.x(), at.y() + height);
    painter.scale(kLayoutScale, kLayoutScale);
    painter.setPen(ink);
    layout.draw(&painter, QPointF(0, 0));
    painter.restore();
    height += used;
  }
  return height;
}

}  // namespace leeward::draw
