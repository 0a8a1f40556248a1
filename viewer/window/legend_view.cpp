#include "viewer/window/legend_view.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <QPainter>

#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr int kNarrowest = 184, kWidest = 304;  ///< of a column, pixels at 100 %
constexpr std::size_t kRows = 3;  ///< entries in a column, where the width allows it

}  // namespace

LegendView::LegendView(QWidget* parent) : QWidget(parent) {
  setAccessibleName(tr("Legend"));
}

void LegendView::setLegend(draw::Legend legend) {
  legend_ = std::move(legend);
  QStringList words;
  for (const auto& group : legend_.groups) {
    words += group.heading + (group.unit.isEmpty() ? QString() : ", " + group.unit);
    for (const auto& entry : group.entries) words += entry.words + (entry.amount.isEmpty() ? QString() : ": " + entry.amount);
  }
  setAccessibleDescription(words.join(QStringLiteral("; ")));
  update();
}

std::vector<draw::Legend> LegendView::cut(std::size_t rows) const {
  std::vector<draw::Legend> all;
  for (const draw::LegendGroup& group : legend_.groups) {
    for (std::size_t from = 0; from < group.entries.size(); from += rows) {
      draw::LegendGroup part;
      if (from == 0) part.heading = group.heading, part.unit = group.unit;
      part.entries.assign(group.entries.begin() + static_cast<std::ptrdiff_t>(from), group.entries.begin() + static_cast<std::ptrdiff_t>(std::min(from + rows, group.entries.size())));
      all.push_back({{part}, {}});
    }
  }
  for (const draw::LegendRamp& ramp : legend_.ramps) all.push_back({{}, {ramp}});
  return all;
}

LegendView::Strip LegendView::stripFor(int width) const {
  const auto room = static_cast<std::size_t>(std::max(1, width / grown(kNarrowest + 2 * kGrid)));
  std::size_t rows = kRows;
  auto parts = cut(rows);
  while (parts.size() > room && rows < 8) parts = cut(++rows);
  Strip strip;
  const int each = (width - 2 * kGrid) / static_cast<int>(std::max<std::size_t>(1, parts.size())) - 2 * kGrid;
  strip.width_pt = std::clamp(each, grown(kNarrowest), grown(kWidest)) / unit();
  const auto head = [&strip](const draw::LegendGroup& group) { return draw::legendHeight({{{group.heading, group.unit, {}}}, {}}, strip.width_pt); };
  double heading = 0;
  for (auto& part : parts) {
    const bool begins = part.groups.empty() || !part.groups.front().heading.isEmpty();
    if (begins && !part.groups.empty()) heading = head(part.groups.front());
    const double down = begins ? 0 : heading - head(part.groups.front());
    strip.columns.push_back({std::move(part), down});
  }
  return strip;
}

int LegendView::heightFor(int width) const {
  const Strip strip = stripFor(width);
  double tallest = 0;
  for (const auto& column : strip.columns) tallest = std::max(tallest, column.down_pt + draw::legendHeight(column.legend, strip.width_pt));
  return static_cast<int>(std::ceil(tallest * unit())) + 2 * kGrid;
}

void LegendView::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.setRenderHint(QPainter::Antialiasing);
  painter.fillRect(rect(), draw::ground::kPaper);
  painter.setPen(draw::ground::kRule);
  painter.drawLine(0, 0, width(), 0);
  painter.translate(2 * kGrid, kGrid);
  const Strip strip = stripFor(width());
  for (const auto& column : strip.columns) {
    painter.save();
    painter.scale(unit(), unit());
    draw::drawLegend(painter, QPointF(0, column.down_pt), strip.width_pt, column.legend);
    painter.restore();
    painter.translate(strip.width_pt * unit() + 2 * kGrid, 0);
  }
}

}  // namespace leeward::window
