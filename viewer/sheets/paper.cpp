#include "viewer/sheets/paper.h"

#include <QBuffer>
#include <QImageWriter>
#include <QPageLayout>
#include <QPageSize>
#include <QPdfWriter>
#include <QSvgGenerator>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"

namespace leeward::sheets {
namespace {

/// Offsets in the table at a PDF's end (ISO 32000-1, 7.5.4: ten digits an object in use) after something of another length was put in at `at`.
void moveOffsets(QByteArray& pdf, qsizetype at, qsizetype longer) {
  const qsizetype start = pdf.lastIndexOf("startxref\n");
  const qsizetype table = pdf.lastIndexOf("\nxref\n", start) + 1;
  if (start < 0 || table < 1) return;
  constexpr qsizetype kEntry = 20, kDigits = 10;
  for (qsizetype entry = pdf.indexOf('\n', table + 5) + 1; entry + kEntry <= start && pdf[entry + kEntry - 3] != 'r'; entry += kEntry) {
    const qlonglong offset = pdf.mid(entry, kDigits).toLongLong();
    if (pdf[entry + 17] == 'n' && offset > at) pdf.replace(entry, kDigits, QByteArray::number(offset + longer).rightJustified(kDigits, '0'));
  }
  const qsizetype number = start + 10;
  qsizetype end = number;
  while (end < pdf.size() && isDigit(pdf[end])) ++end;  // a blank follows it
  pdf.replace(number, end - number, QByteArray::number(table));
}

/// The clock's date in a PDF gives way to the figures' date: neither the hour nor the machine's time zone leaves with the file.
void fixDate(QByteArray& pdf, Date date) {
  const qsizetype at = pdf.indexOf("/CreationDate (D:");
  if (at < 0) return;
  const qsizetype open = pdf.indexOf('(', at), close = pdf.indexOf(')', open);
  if (close < 0) return;
  const QByteArray fixed = "(D:" + QByteArray::fromStdString(toIso(date)).replace("-", "") + "000000Z)";
  const qsizetype longer = fixed.size() - (close - open + 1);
  pdf.replace(open, close - open + 1, fixed);
  if (longer != 0) moveOffsets(pdf, at, longer);
}

Result<QByteArray> toPdf(Page page, const PaperFacts& facts, const std::vector<PagePainter>& pages, Progress& progress) {
  QByteArray bytes;
  QBuffer buffer(&bytes);
  buffer.open(QIODevice::WriteOnly);
  QPdfWriter writer(&buffer);
  writer.setResolution(1200);
  writer.setTitle(facts.title);
  writer.setCreator(QStringLiteral("Leeward"));
  writer.setPageLayout(QPageLayout(QPageSize(QSizeF(page.width_pt, page.height_pt), QPageSize::Point, {}, QPageSize::ExactMatch),
                                   QPageLayout::Portrait, QMarginsF(0, 0, 0, 0)));
  QPainter painter(&writer);
  for (std::size_t i = 0; i < pages.size(); ++i) {
    LEEWARD_TRY(progress.checkStop());
    if (i > 0) writer.newPage();
    painter.save();
    painter.scale(1200 / 72.0, 1200 / 72.0);
    pages[i](painter, true);
    painter.restore();
    progress.report(static_cast<double>(i + 1) / static_cast<double>(pages.size()), "drawing");
  }
  painter.end();
  fixDate(bytes, facts.date);
  return bytes;
}

Result<QByteArray> toSvg(Page page, const PaperFacts& facts, const PagePainter& paint) {
  QByteArray bytes;
  QBuffer buffer(&bytes);
  buffer.open(QIODevice::WriteOnly);
  QSvgGenerator svg;
  svg.setOutputDevice(&buffer);
  svg.setResolution(72);
  svg.setSize(QSize(static_cast<int>(std::lround(page.width_pt)), static_cast<int>(std::lround(page.height_pt))));
  svg.setViewBox(QRectF(0, 0, page.width_pt, page.height_pt));
  svg.setTitle(facts.title);
  svg.setDescription(QString::fromUtf8(facts.stamp));
  QPainter painter(&svg);
  paint(painter, false);
  painter.end();
  return bytes;
}

Result<QByteArray> toPng(Page page, const PaperFacts& facts, const PagePainter& paint) {
  const double scale = facts.dpi / 72.0;
  QImage image(static_cast<int>(std::lround(page.width_pt * scale)), static_cast<int>(std::lround(page.height_pt * scale)),
               QImage::Format_RGB32);
  if (image.isNull()) {
    return Problem{ProblemCode::ResourceExhausted, "A picture of this size does not fit into memory", "",
                   "Ask for fewer dots per inch"};
  }
  image.setDotsPerMeterX(static_cast<int>(std::lround(facts.dpi / 0.0254)));
  image.setDotsPerMeterY(image.dotsPerMeterX());
  image.fill(draw::ground::kPaper);
  QPainter painter(&image);
  painter.setRenderHints(QPainter::Antialiasing | QPainter::TextAntialiasing);
  painter.scale(scale, scale);
  paint(painter, true);
  painter.end();
  QByteArray bytes;
  QBuffer buffer(&bytes);
  buffer.open(QIODevice::WriteOnly);
  QImageWriter writer(&buffer, "png");
  writer.setText(QStringLiteral("Title"), facts.title);
  if (*facts.stamp != '\0') writer.setText(QStringLiteral("Description"), QString::fromUtf8(facts.stamp));
  if (!writer.write(image)) return Problem{ProblemCode::Io, "The picture could not be encoded", "", ""};
  return bytes;
}

Page sized(PaperSize size) { return size == PaperSize::A4 ? Page{595.28, 841.89} : Page{612, 792}; }

}  // namespace

Page portrait(PaperSize size) { return sized(size); }

Page landscape(PaperSize size) {
  const Page page = sized(size);
  return {page.height_pt, page.width_pt};
}

Result<void> writePages(const std::filesystem::path& file, Page page, const PaperFacts& facts,
                        const std::vector<PagePainter>& pages, Progress& progress) {
  LEEWARD_TRY(draw::checkTypeface());
  LEEWARD_TRY(progress.checkStop());
  const std::string extension = lowerAscii(file.extension().string());
  if (extension != ".pdf" && extension != ".svg" && extension != ".png") {
    return Problem{ProblemCode::InvalidArgument, "Sheets are written as .pdf, .svg or .png, not as \"" + extension + "\"",
                   file.string(), "Give the file one of these endings"};
  }
  if (extension != ".pdf" && pages.size() != 1) {
    return Problem{ProblemCode::InvalidArgument, "Several pages need a .pdf", file.string(), "Give the file the ending .pdf"};
  }
  LEEWARD_ASSIGN(bytes, extension == ".pdf"   ? toPdf(page, facts, pages, progress)
                        : extension == ".svg" ? toSvg(page, facts, pages.front())
                                              : toPng(page, facts, pages.front()));
  return writeFile(file, std::string_view(bytes.constData(), static_cast<std::size_t>(bytes.size())), true);
}

double drawStamp(QPainter& painter, double right, double top) {
  const QString words = QString::fromUtf8(kCrewStamp);
  const double width = draw::textWidth(words, draw::kBodyStrong) + 16, height = 20;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setPen(QPen(draw::kAccent, 1.2));
  painter.setBrush(Qt::NoBrush);
  painter.drawRect(QRectF(right - width, top, width, height));
  draw::drawLine(painter, {right - width + 8, top + height / 2 + draw::capHeight(draw::kBodyStrong) / 2}, words,
                 draw::kBodyStrong, draw::kAccent);
  painter.restore();
  return width;
}

}  // namespace leeward::sheets
