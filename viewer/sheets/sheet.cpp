#include "viewer/sheets/sheet.h"

#include <QPainter>

#include "shared/base/text.h"
#include "viewer/draw/map_painter.h"
#include "viewer/draw/north_arrow.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/scale_bar.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/changes.h"

namespace leeward::sheets {
namespace {

using draw::ascent;
using draw::drawLine;
using draw::drawParagraph;
using draw::kFinding;
using draw::kFoot;
using draw::kSmall;
using draw::kTitle;
using draw::lineHeight;
using draw::MapTheme;
using draw::MapView;
using draw::paragraphHeight;
using draw::textWidth;
namespace ground = draw::ground;

constexpr double kMargin = 32, kColumn = 184, kGutter = 16, kScaleHeight = 40;

/// The parts of one sheet and where they go. Heights are measured first, so that the map takes whatever is left.
class SheetLayout {
 public:
  SheetLayout(const study::Findings& findings, const MapTheme& theme, Page page, bool stamped)
      : findings_(findings), theme_(theme), page_(page), stamped_(stamped), map_(theme.picture) {
    const double width = page.width_pt - 2 * kMargin;
    finding_top_ = kMargin + lineHeight(kTitle) + 2;
    const double head = finding_top_ + paragraphHeight(theme.finding, kFinding, width);
    foot_height_ =
        std::max(paragraphHeight(methodWords(), kFoot, footWidth()), paragraphHeight(sourceWords(), kFoot, footWidth()));
    const double foot_top = page.height_pt - kMargin - foot_height_ - lineHeight(kFoot) - 14;
    const double bottom = foot_top - 10;
    frame_ = QRectF(kMargin, head + 10, width - kColumn - kGutter, bottom - head - 10);
    foot_top_ = foot_top;
  }

  void paint(QPainter& painter, bool clips, SheetDone& done) const {
    done.labels_left_out = paintMap(painter, clips);
    paintHead(painter);
    paintColumn(painter);
    paintFoot(painter);
  }

  MapView view() const { return MapView::fit(theme_.picture.extent, frame_, 10); }

 private:
  double footWidth() const { return (page_.width_pt - 2 * kMargin - kGutter) / 2; }
  QString methodWords() const { return QStringLiteral("How it was made: ") + theme_.method; }
  QString sourceWords() const { return QStringLiteral("Sources: ") + sourceLine(findings_); }

  std::size_t paintMap(QPainter& painter, bool clips) const {
    const draw::Painted painted = map_.paint(painter, view(), {1, true, clips});
    if (!clips) {  // what spills over the frame is covered by the page
      QPainterPath outside;
      outside.addRect(QRectF(-2000, -2000, page_.width_pt + 4000, page_.height_pt + 4000));
      outside.addRect(frame_);
      painter.fillPath(outside, ground::kPaper);
    }
    painter.setPen(QPen(ground::kRule, 0.6));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(frame_);
    return painted.labels_left_out;
  }

  void paintHead(QPainter& painter) const {
    drawLine(painter, {kMargin, kMargin + ascent(kTitle) - 4}, theme_.title, kTitle, ground::kInk);
    if (stamped_) drawStamp(painter, page_.width_pt - kMargin, kMargin);
    drawParagraph(painter, {kMargin, finding_top_}, theme_.finding, kFinding, ground::kInk, page_.width_pt - 2 * kMargin);
  }

  void paintColumn(QPainter& painter) const {
    const double left = frame_.right() + kGutter;
    double y = frame_.top();
    y += draw::drawLegend(painter, {left, y}, kColumn, theme_.legend) + 12;
    y += drawParagraph(painter, {left, y}, theme_.counted, kSmall, ground::kInk, kColumn);
    y += drawParagraph(painter, {left, y}, QStringLiteral("Figures of ") + QString::fromStdString(toWords(findings_.as_of)),
                       kSmall, ground::kInk, kColumn);
    const QString crs =
        findings_.crs.isUnknown() ? QStringLiteral("coordinate system not stated") : QString::fromStdString(findings_.crs.name());
    const double crs_height = paragraphHeight(crs, kFoot, kColumn);
    const double scale_top = frame_.bottom() - kScaleHeight - crs_height - 4;
    paintDetail(painter, QRectF(left, y + 14, kColumn, scale_top - 14 - y - 14));
    draw::drawScaleBar(painter, {left, scale_top + 6}, view().metres_per_unit, kColumn - 40);
    draw::drawNorthArrow(painter, QRectF(left + kColumn - 22, scale_top, 22, kScaleHeight - 4));
    drawParagraph(painter, {left, frame_.bottom() - crs_height}, crs, kFoot, ground::kQuietInk, kColumn);
  }

  /// What the rest of the column holds: the first blocks with their intervals, or the outcomes by period.
  void paintDetail(QPainter& painter, const QRectF& room) const {
    if (theme_.question == draw::Question::WhereNext) {
      draw::Chart first = firstBlocks(findings_, 10);
      const double claim_room = 4 + draw::paragraphHeight(claimedWords(findings_, first.values.size()), kFoot, room.width());
      while (!first.values.empty() && draw::intervalsHeight(first, room.width()) + claim_room > room.height()) first.values.pop_back();
      if (first.values.empty()) return;
      draw::drawIntervals(painter, room, first);
      const double used = draw::intervalsHeight(first, room.width()) + 4;
      draw::drawParagraph(painter, room.topLeft() + QPointF(0, used), claimedWords(findings_, first.values.size()), kFoot, ground::kQuietInk, room.width());
    } else if (theme_.question == draw::Question::WhatChanged && stamped_) {
      const std::vector<draw::Chart> charts = changeCharts(findings_);
      constexpr double kGap = 10;
      const double height = std::min(90.0, room.height() / 4 - kGap);
      if (height < 50 || charts.front().values.empty()) return;
      for (std::size_t i = 0; i < charts.size(); ++i) {
        draw::drawColumns(
            painter, QRectF(room.left(), room.top() + static_cast<double>(i) * (height + kGap), room.width(), height), charts[i]);
      }
    }
  }

  void paintFoot(QPainter& painter) const {
    painter.setPen(QPen(ground::kRule, 0.6));
    painter.drawLine(QPointF(kMargin, foot_top_), QPointF(page_.width_pt - kMargin, foot_top_));
    const double top = foot_top_ + 5;
    drawParagraph(painter, {kMargin, top}, methodWords(), kFoot, ground::kQuietInk, footWidth());
    drawParagraph(painter, {kMargin + footWidth() + kGutter, top}, sourceWords(), kFoot, ground::kQuietInk, footWidth());
    const double last = page_.height_pt - kMargin;
    drawLine(painter, {kMargin, last}, QString::fromStdString(findings_.name), kFoot, ground::kInk);
    const QString right =
        QStringLiteral("1 : %1 on this paper").arg(QString::fromStdString(formatted(view().scaleDenominator())));
    drawLine(painter, {page_.width_pt - kMargin - textWidth(right, kFoot), last}, right, kFoot, ground::kInk);
  }

  /// Three significant digits: the scale of a map fitted to its paper is no round number.
  static std::string formatted(double denominator) {
    const double step = std::pow(10.0, std::floor(std::log10(std::max(1.0, denominator))) - 2);
    return formatCount(std::llround(std::round(denominator / step) * step));
  }

  const study::Findings& findings_;
  const MapTheme& theme_;
  Page page_;
  bool stamped_;  ///< for the crew
  draw::PreparedMap map_;
  QRectF frame_;
  double finding_top_ = 0, foot_top_ = 0, foot_height_ = 0;
};

Result<SheetDone> writeLayout(const study::Findings& findings, const MapTheme& theme, const SheetRequest& request, bool stamped, Progress& progress) {
  progress.report(0.2, "laying out the sheet");
  SheetDone done{theme.title.toStdString(), theme.finding.toStdString(), 0, {}};
  const SheetLayout layout(findings, theme, landscape(request.paper), stamped);
  done.view = layout.view();
  Progress writing = progress.part(0.3, 1);
  PaperFacts facts{theme.title, findings.as_of, request.dpi};
  if (!stamped) facts.stamp = "";
  LEEWARD_TRY(writePages(request.file, landscape(request.paper), facts, {[&](QPainter& painter, bool clips) { layout.paint(painter, clips, done); }}, writing));
  return done;
}

}  // namespace

const std::vector<SheetKind>& sheetKinds() {
  static const std::vector<SheetKind> kKinds = {
      {"coverage", "where the team has been, and where nobody has looked", draw::Question::BeenAndNotBeen},
      {"next", "the blocks most worth a crew-hour, ranked, with the certainty of the rank", draw::Question::WhereNext},
      {"need", "the need index by block", draw::Question::WhereNeedIs},
      {"sightings", "where dogs were seen or reported, and where reports lie close together", draw::Question::Sightings},
      {"changed", "given up, improved, neutered, referred: by area over the last four periods", draw::Question::WhatChanged}};
  return kKinds;
}

QString sourceLine(const study::Findings& findings) {
  QStringList pieces;
  for (const study::SourceNote& source : findings.sources) {
    QString piece = QString::fromStdString(source.label);
    if (!source.year.empty() && source.label.find(source.year) == std::string::npos)
      piece += QLatin1Char(' ') + QString::fromStdString(source.year);
    if (!source.licence.empty()) piece += QStringLiteral(" (%1)").arg(QString::fromStdString(source.licence));
    pieces << piece;
  }
  return pieces.isEmpty() ? QStringLiteral("the team's own records.")
                          : pieces.join(QStringLiteral("; ")) + QStringLiteral("; the team's own records.");
}

Result<SheetDone> writeSheet(const study::Findings& findings, const SheetRequest& request, Progress& progress) {
  const auto& kinds = sheetKinds();
  const auto kind = std::find_if(kinds.begin(), kinds.end(), [&](const SheetKind& k) { return request.kind == k.name; });
  if (kind == kinds.end()) {
    std::vector<std::string> names;
    for (const SheetKind& k : kinds) names.emplace_back(k.name);
    return Problem{ProblemCode::InvalidArgument, "There is no sheet \"" + request.kind + "\"", "", "Kinds: " + join(names, ", ")};
  }
  if (request.dpi < 72 || request.dpi > 600) {
    return Problem{ProblemCode::InvalidArgument, "Pictures have 72 to 600 dots per inch", "", "Ask for 200 or 300"};
  }
  LEEWARD_TRY(draw::checkTypeface());
  const MapTheme theme = draw::forQuestion(kind->question, findings, {.heat_beneath = request.heat_beneath, .looks_over = request.looks_over});
  return writeLayout(findings, theme, request, true, progress);
}

Result<SheetDone> writeOutsideSheet(const study::Findings& findings, const draw::MapTheme& theme, const SheetRequest& request, Progress& progress) {
  LEEWARD_TRY(draw::checkTypeface());
  return writeLayout(findings, theme, request, false, progress);
}

}  // namespace leeward::sheets
