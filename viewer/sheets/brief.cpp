#include "viewer/sheets/brief.h"

#include <QPainter>
#include <algorithm>

#include "shared/base/text.h"
#include "viewer/draw/chart.h"
#include "viewer/draw/map_painter.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/scale_bar.h"
#include "viewer/draw/themes.h"
#include "viewer/sheets/changes.h"
#include "viewer/sheets/flow.h"
#include "viewer/sheets/sheet.h"
#include "viewer/study/hours_ahead.h"
#include "viewer/study/looks_against_need.h"

namespace leeward::sheets {
namespace {

constexpr std::size_t kBlocksShown = 4;  // what a page holds, with their reasons and what their intervals claim

QString words(const std::string& text) { return QString::fromStdString(text); }
QString count(std::int64_t n) { return words(formatCount(n)); }
QString number(const Table& table, std::size_t row, const char* column, int decimals) {
  const Column* found = table.find(column);
  const std::optional<double> value = found != nullptr ? found->asReal(row) : std::nullopt;
  return value ? QString::number(*value, 'f', decimals) : QStringLiteral("\u2013");
}
QString textCell(const Table& table, std::size_t row, const char* column) {
  const Column* found = table.find(column);
  return found != nullptr ? words(found->asText(row)) : QString();
}
QString range(const Table& table, std::size_t row, const char* low, const char* high) {
  return QStringLiteral("%1 to %2").arg(number(table, row, low, 0), number(table, row, high, 0));
}
QString levelWords(const study::Findings& f) { return QStringLiteral("%1\u00A0%").arg(QString::number(100 * f.level, 'f', 0)); }

constexpr double kLegend = 150, kLegendGap = 14, kScaleRoom = 46;

/// The theme's map with its legend at the right, as high as the map is at this width but with room for the legend.
void mapFigure(Flow& flow, const study::Findings& findings, draw::Question question, double highest, bool finds = false) {
  auto theme = std::make_shared<draw::MapTheme>(draw::forQuestion(question, findings, {.street_names = false, .finds = finds}));
  const Bbox& extent = theme->picture.extent;
  const double shape = extent.width() > 0 ? extent.height() / extent.width() : 0.7;
  const double height = std::max(std::min(highest, (flow.width() - kLegend - kLegendGap) * shape + 16),
                                 draw::legendHeight(theme->legend, kLegend) + kScaleRoom);
  auto map = std::make_shared<draw::PreparedMap>(theme->picture);
  flow.figure(height, [theme, map](QPainter& painter, const QRectF& box, bool clips) {
    const QRectF frame(box.left(), box.top(), box.width() - kLegend - kLegendGap, box.height());
    const draw::MapView view = draw::MapView::fit(theme->picture.extent, frame, 6);
    map->paint(painter, view, {0.9, true, clips});
    painter.setPen(QPen(draw::ground::kRule, 0.6));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(frame);
    draw::drawLegend(painter, {frame.right() + kLegendGap, frame.top()}, kLegend, theme->legend);
    draw::drawScaleBar(painter, {frame.right() + kLegendGap, frame.bottom() - 34}, view.metres_per_unit, kLegend - 10);
  });
}

/// What is known of blocks where nobody looked at a door: of some people told us, some were passed by.
QString neverWords(const study::Findings::Totals& t) {
  const std::int64_t passed = t.blocks_never - t.blocks_told - t.blocks_unknown;
  QStringList known;
  if (t.blocks_told > 0) known << QStringLiteral("in %1 of them dogs are known from sightings alone").arg(count(t.blocks_told));
  if (passed > 0) known << QStringLiteral("%1 %2 passed by without a dog being seen").arg(count(passed), passed == 1 ? QStringLiteral("was") : QStringLiteral("were"));
  if (known.isEmpty()) return QStringLiteral("About the dogs there we know nothing yet");
  if (t.blocks_unknown > 0) known << QStringLiteral("about the dogs in the other %1 we know nothing yet").arg(count(t.blocks_unknown));
  QString words = known.join(QStringLiteral("; "));
  return words.replace(0, 1, words.at(0).toUpper());
}

void findingPage(Flow& flow, const study::Findings& f) {
  const study::Findings::Totals& t = f.totals;
  flow.title(words(f.name) + QStringLiteral(": where we stand"));
  flow.small(QStringLiteral("Figures of %1. Intervals are %2 intervals.").arg(words(toWords(f.as_of)), levelWords(f)));
  flow.heading(QStringLiteral("Where have we been, and where has nobody looked?"));
  flow.paragraph(
      QStringLiteral(
          "The area has %1 blocks with %2 doors. The crews have looked %3 times, and have seen %4 doors (%5\u00A0%) at least "
          "once. In %6 blocks nobody has ever looked at a single door. %7; "
          "a blank on the map is not a place without dogs.")
          .arg(count(t.blocks), count(t.doors), count(t.looks), count(t.doors_looked),
               QString::number(t.doors > 0 ? 100.0 * static_cast<double>(t.doors_looked) / static_cast<double>(t.doors) : 0.0,
                               'f', 0),
               count(t.blocks_never), neverWords(t)));
  flow.paragraph(
      QStringLiteral(
          "We know of %1 dogs kept outdoors. From what planned looks found, some %2 have not been met by any crew, known ones that "
          "were only seen among them; the interval runs from %3 to %4.")
          .arg(count(t.dogs_known), count(std::llround(t.unmet)), count(std::llround(t.unmet_low)),
               count(std::llround(t.unmet_high))));
  mapFigure(flow, f, draw::Question::BeenAndNotBeen, 336);
  flow.heading(QStringLiteral("The other pages in short"));
  std::vector<QString> short_words = {draw::forQuestion(draw::Question::WhereNext, f).finding, draw::forQuestion(draw::Question::WhatChanged, f).finding};
  if (const std::string against_need = study::looksAgainstNeed(f); !against_need.empty()) short_words.push_back(words(against_need));
  short_words.push_back(QStringLiteral("Everything expected is uncertain; the last page says how much, and how these pages must not be used."));
  flow.bullets(short_words);
}

void nextPage(Flow& flow, const study::Findings& f) {
  flow.newPage();
  flow.heading(QStringLiteral("Where next?"));
  const draw::MapTheme theme = draw::forQuestion(draw::Question::WhereNext, f);
  flow.paragraph(theme.finding +
                 QStringLiteral(" Blocks are ranked by what an hour of a crew is expected to be worth: dogs in need that nobody "
                                "has met yet, per crew-hour. ") + words(study::hoursAheadInWords(f.blocks.table)));
  mapFigure(flow, f, draw::Question::WhereNext, 180);
  TextTable table;
  table.columns = {
      {QStringLiteral("Rank"), 30, draw::Align::Right},     {QStringLiteral("could be"), 50, draw::Align::Right},
      {QStringLiteral("Dogs not yet met"), 52, draw::Align::Right}, {QStringLiteral("interval"), 44, draw::Align::Right},
      {QStringLiteral("Where and why"), 0, draw::Align::Left}};
  for (std::size_t row = 0; row < std::min(kBlocksShown, f.next.rows()); ++row) {
    table.rows.push_back({number(f.next, row, "rank", 0), range(f.next, row, "rank_low", "rank_high"),
                          number(f.next, row, "unmet", 1), range(f.next, row, "low", "high"),
                          textCell(f.next, row, "because")});
  }
  flow.table(table);
  if (const QString claimed = claimedWords(f, kBlocksShown); !claimed.isEmpty()) flow.small(claimed);
}

/// What the statistics say of where finds gather, each with what can't be concluded from it; the map only where something stands out, since a smooth
/// surface has hills by chance.
void findsSection(Flow& flow, const study::Findings& f) {
  const Table& told = f.patterns.told;
  if (told.rows() == 0) return;
  flow.newPage();
  flow.heading(QStringLiteral("Where do finds gather, for the looking that was done?"));
  const Table& blocks = f.patterns.blocks;
  bool any = false;
  for (std::size_t row = 0; row < blocks.rows(); ++row) any = any || !blocks.find("circle")->isMissing(row) || !blocks.find("stands_out")->isMissing(row);
  if (any) mapFigure(flow, f, draw::Question::WhereNeedIs, 208, true);
  TextTable table;
  table.columns = {{QStringLiteral("What was found"), 0, draw::Align::Left}, {QStringLiteral("What can\u2019t be concluded from it"), 0, draw::Align::Left}};
  for (std::size_t row = 0; row < told.rows(); ++row) table.rows.push_back({textCell(told, row, "finding"), textCell(told, row, "caution")});
  flow.table(table);
}

void changedPage(Flow& flow, const study::Findings& f) {
  flow.newPage();
  flow.heading(QStringLiteral("What changed?"));
  const draw::MapTheme theme = draw::forQuestion(draw::Question::WhatChanged, f);
  flow.paragraph(theme.finding);
  const std::vector<draw::Chart> charts = changeCharts(f);
  if (!charts.empty() && !charts.front().values.empty()) {
    flow.figure(184, [charts](QPainter& painter, const QRectF& box, bool) {
      constexpr double kGap = 20;
      const double wide = (box.width() - kGap) / 2, high = (box.height() - kGap) / 2;
      for (std::size_t i = 0; i < std::min<std::size_t>(4, charts.size()); ++i) {
        const double x = box.left() + static_cast<double>(i % 2) * (wide + kGap),
                     y = box.top() + static_cast<double>(i / 2) * (high + kGap);
        draw::drawColumns(painter, QRectF(x, y, wide, high), charts[i]);
      }
    });
  }
  flow.table(changeTable(f));
  if (!f.improved_rule.empty()) flow.small(words(f.improved_rule));
  std::string costs;
  for (const auto& line : f.cost_words) costs += (costs.empty() ? "" : " ") + line;
  if (!costs.empty()) flow.small(words(costs));
}

/// Goes on below what the statistics say, where they say something.
void sureSection(Flow& flow, const study::Findings& f) {
  if (f.patterns.told.rows() == 0) flow.newPage();
  else flow.gap(8);
  flow.heading(QStringLiteral("How sure are we?"));
  const study::Findings::Totals& t = f.totals;
  std::vector<QString> sure = {
      QStringLiteral(
          "Every expected number stands with its %1 interval. For small counts such an interval holds more often than it says.")
          .arg(levelWords(f)),
      QStringLiteral("%1 of %2 doors were never looked at; what is said about them comes from blocks that are like theirs.")
          .arg(count(t.doors - t.doors_looked), count(t.doors)),
      QStringLiteral("%1 addresses in the crews' log could not be placed for certain, and %2 rows could not be used.")
          .arg(count(t.undecided), count(t.refused_rows))};
  const QString share = improvedShare(f);
  if (!share.isEmpty()) sure.push_back(share);
  flow.bullets(sure);
  std::vector<QString> remarks;
  for (const std::string& remark : f.remarks) remarks.push_back(words(remark));
  flow.bullets(remarks, true);
  flow.heading(QStringLiteral("How it was worked out"));
  std::vector<QString> methods;
  for (const std::string& method : f.methods) methods.push_back(words(method));
  for (std::size_t row = 0; row < f.patterns.told.rows(); ++row) {
    const QString method = textCell(f.patterns.told, row, "method");
    if (std::find(methods.begin(), methods.end(), method) == methods.end()) methods.push_back(method);
  }
  if (methods.empty()) methods.push_back(QStringLiteral("No model was run: the figures are plain counts."));
  flow.bullets(methods, true);
  flow.heading(QStringLiteral("Sources"));
  flow.small(sourceLine(f));
  flow.gap(8);
  flow.heading(QStringLiteral("How these pages must not be used"));
  flow.bullets(
      {QStringLiteral("The maps are no list for enforcement. Nothing about single dogs or households goes to an authority except "
                      "a case's own file."),
       QStringLiteral("Need says where keeping a dog outdoors is likely hard. It says nothing about any one household."),
       QStringLiteral(
           "Nothing here says that a day, a place or a temperature does a dog no harm. Watch the dog, not the figure."),
       QStringLiteral("What changed is change, not effect: these figures can't say what would have happened without the team. Dogs "
                      "given up to the team are reported, never a target."),
       QStringLiteral("These pages hold client data and stay with the team.")});
}

}  // namespace

const std::vector<BriefKind>& briefKinds() {
  static const std::vector<BriefKind> kKinds = {
      {"board", "what was found, where next, what changed and how sure it is, in plain words"}};
  return kKinds;
}

Result<BriefDone> writeBrief(const study::Findings& findings, const BriefRequest& request, Progress& progress) {
  if (request.kind != "board") {
    return Problem{ProblemCode::InvalidArgument, "There is no brief \"" + request.kind + "\"", "", "Kinds: board"};
  }
  if (lowerAscii(request.file.extension().string()) != ".pdf") {
    return Problem{ProblemCode::InvalidArgument, "A brief is written as .pdf", request.file.string(),
                   "Give the file the ending .pdf"};
  }
  LEEWARD_TRY(draw::checkTypeface());
  Flow flow(portrait(request.paper),
            words(findings.name) + QStringLiteral(" \u00B7 board brief \u00B7 figures of ") + words(toWords(findings.as_of)));
  findingPage(flow, findings);
  nextPage(flow, findings);
  changedPage(flow, findings);
  findsSection(flow, findings);
  sureSection(flow, findings);
  progress.report(0.4, "laying out the brief");
  Progress writing = progress.part(0.4, 1);
  LEEWARD_TRY(writePages(request.file, portrait(request.paper),
                         {words(findings.name) + QStringLiteral(": board brief"), findings.as_of, 300}, flow.pages(), writing));
  return BriefDone{flow.pageCount()};
}

}  // namespace leeward::sheets
