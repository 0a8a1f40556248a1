#include "viewer/sheets/flow.h"

#include <QPainter>

#include "viewer/draw/palette.h"

namespace leeward::sheets {
namespace {

constexpr double kGrid = 8, kSide = 56, kTop = 64, kBottom = 56;
constexpr draw::Style kText{10, draw::Face::Regular};
constexpr draw::Style kTextHeading{12.5, draw::Face::Semibold};
constexpr draw::Style kTextTitle{20, draw::Face::Bold};
constexpr draw::Style kCell{8.2, draw::Face::Regular};
constexpr draw::Style kCellStrong{8.2, draw::Face::Semibold};
constexpr double kCellPad = 4;

double snapped(double y) { return std::ceil(y / kGrid - 1e-6) * kGrid; }
/// The factor that brings the style's own line height to `pitch` points.
double leadingFor(const draw::Style& style, double pitch) { return pitch / draw::lineHeight(style); }

}  // namespace

Flow::Flow(Page page, QString foot) : page_(page), foot_(std::move(foot)) { newPage(); }

double Flow::width() const { return page_.width_pt - 2 * kSide; }
double Flow::left() const { return page_.height_pt - kBottom - y_; }

void Flow::newPage() {
  pages_.emplace_back();
  y_ = kTop;
}

void Flow::gap(double points) { y_ = snapped(y_ + points); }

void Flow::place(double height, const std::function<Piece(double top)>& piece) {
  if (height > left() && y_ > kTop) newPage();
  pages_.back().push_back(piece(y_));
  y_ = snapped(y_ + height);
}

void Flow::text(const QString& words, const draw::Style& style, double pitch, const QColor& ink, double indent) {
  const double wide = width() - indent, leading = leadingFor(style, pitch);
  place(draw::paragraphHeight(words, style, wide, leading), [=](double top) -> Piece {
    return [=](QPainter& painter, bool) {
      draw::drawParagraph(painter, {kSide + indent, top}, words, style, ink, wide, draw::Align::Left, leading);
    };
  });
}

void Flow::title(const QString& words) {
  text(words, kTextTitle, 32, draw::ground::kInk);
  gap(0);
}

void Flow::heading(const QString& words) {
  constexpr double kWithNext = 72;  // a heading keeps at least a few lines of what follows beside it
  if (left() < kWithNext) newPage();
  if (y_ > kTop) gap(kGrid);
  text(words, kTextHeading, 24, draw::ground::kInk);
}

void Flow::paragraph(const QString& words) {
  text(words, kText, 16, draw::ground::kInk);
  gap(kGrid);
}

void Flow::small(const QString& words) {
  text(words, kCell, 12, draw::ground::kQuietInk);
  gap(0);
}

void Flow::bullets(const std::vector<QString>& items, bool small) {
  const draw::Style style = small ? kCell : kText;
  for (const QString& item : items) {
    const double pitch = small ? 12 : 16;
    const std::size_t page = pages_.size();
    const double before = y_;
    text(item, style, pitch, draw::ground::kInk, 14);
    const double top = pages_.size() == page ? before : kTop;
    pages_.back().push_back([=](QPainter& painter, bool) {
      painter.setPen(QPen(draw::kAccent, 1.4));
      painter.drawLine(QPointF(kSide, top + pitch / 2 + 0.5), QPointF(kSide + 6, top + pitch / 2 + 0.5));
    });
  }
  gap(kGrid);
}

double Flow::columnWidth(const TextTable& table, std::size_t column) const {
  double fixed = 0;
  std::size_t sharing = 0;
  for (const TableColumn& c : table.columns) {
    fixed += c.width_pt;
    sharing += c.width_pt == 0 ? 1 : 0;
  }
  const double own = table.columns[column].width_pt;
  return own > 0 ? own : (width() - fixed) / static_cast<double>(std::max<std::size_t>(1, sharing));
}

double Flow::rowHeight(const TextTable& table, const std::vector<QString>& cells, const draw::Style& style) const {
  double height = 0;
  for (std::size_t c = 0; c < cells.size(); ++c) {
    height =
        std::max(height, draw::paragraphHeight(cells[c], style, columnWidth(table, c) - 2 * kCellPad, leadingFor(style, 11)));
  }
  return snapped(height + 2);
}

void Flow::tableHead(const TextTable& table) {
  std::vector<QString> cells;
  for (const TableColumn& column : table.columns) cells.push_back(column.heading);
  const double height = rowHeight(table, cells, kCellStrong);
  place(height, [=, this](double top) -> Piece {
    return [=, this](QPainter& painter, bool) {
      double x = kSide;
      for (std::size_t c = 0; c < cells.size(); ++c) {
        const double wide = columnWidth(table, c),
                     used = draw::paragraphHeight(cells[c], kCellStrong, wide - 2 * kCellPad, leadingFor(kCell, 11));
        draw::drawParagraph(painter, {x + kCellPad, top + height - used - 2}, cells[c], kCellStrong, draw::ground::kInk,
                            wide - 2 * kCellPad, table.columns[c].align, leadingFor(kCell, 11));
        x += wide;
      }
      painter.setPen(QPen(draw::ground::kInk, 0.9));
      painter.drawLine(QPointF(kSide, top + height), QPointF(kSide + width(), top + height));
    };
  });
}

void Flow::tableRow(const TextTable& table, std::size_t row) {
  const std::vector<QString> cells = table.rows[row];
  const draw::Style style = isStrong(table, row) ? kCellStrong : kCell;
  const double height = rowHeight(table, cells, style);
  place(height, [=, this](double top) -> Piece {
    return [=, this](QPainter& painter, bool) {
      double x = kSide;
      for (std::size_t c = 0; c < cells.size(); ++c) {
        const double wide = columnWidth(table, c);
        draw::drawParagraph(painter, {x + kCellPad, top + 2}, cells[c], style, draw::ground::kInk, wide - 2 * kCellPad,
                            table.columns[c].align, leadingFor(style, 11));
        x += wide;
      }
      painter.setPen(QPen(draw::ground::kRule, 0.5));
      painter.drawLine(QPointF(kSide, top + height), QPointF(kSide + width(), top + height));
    };
  });
}

void Flow::table(const TextTable& table) {
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double height = rowHeight(table, table.rows[row], isStrong(table, row) ? kCellStrong : kCell);
    if (row == 0) {
      if (left() < height + 40 && y_ > kTop) newPage();
      tableHead(table);
    } else if (height > left()) {
      newPage();
      tableHead(table);
    }
    tableRow(table, row);
  }
  gap(kGrid);
}

void Flow::figure(double height_pt, std::function<void(QPainter& painter, const QRectF& box, bool clips)> paint) {
  place(height_pt, [&](double top) -> Piece {
    return [box = QRectF(kSide, top, width(), height_pt), paint](QPainter& painter, bool clips) { paint(painter, box, clips); };
  });
  gap(kGrid);
}

std::vector<PagePainter> Flow::pages() const {
  std::vector<PagePainter> painters;
  for (std::size_t i = 0; i < pages_.size(); ++i) {
    const QString number = QStringLiteral("page %1 of %2").arg(i + 1).arg(pages_.size());
    painters.push_back([this, i, number](QPainter& painter, bool clips) {
      for (const Piece& piece : pages_[i]) piece(painter, clips);
      drawStamp(painter, page_.width_pt - kSide, 26);
      const double base = page_.height_pt - 30;
      painter.setPen(QPen(draw::ground::kRule, 0.6));
      painter.drawLine(QPointF(kSide, base - 12), QPointF(page_.width_pt - kSide, base - 12));
      draw::drawLine(painter, {kSide, base}, foot_, draw::kFoot, draw::ground::kQuietInk);
      draw::drawLine(painter, {page_.width_pt - kSide - draw::textWidth(number, draw::kFoot), base}, number, draw::kFoot,
                     draw::ground::kQuietInk);
    });
  }
  return painters;
}

}  // namespace leeward::sheets
