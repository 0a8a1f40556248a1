#pragma once
/// Running text, tables and figures on pages: for briefs and door sheets.
///
/// Everything stands on an 8-point grid. A heading never stands alone at the foot of a page, a table row is never split, a
/// table's head is repeated on the next page; every page carries the stamp, the running foot and "page n of m".
#include <QString>
#include <functional>
#include <memory>
#include <vector>

#include "viewer/draw/type.h"
#include "viewer/sheets/paper.h"

namespace leeward::sheets {

struct TableColumn {
  QString heading;
  double width_pt = 0;  ///< 0: shares what the others leave
  draw::Align align = draw::Align::Left;
};

struct TextTable {
  std::vector<TableColumn> columns;
  std::vector<std::vector<QString>> rows;  ///< cells are wrapped to their column
  bool strong_last_row = false;            ///< a total
};

class Flow {
 public:
  /// `foot`: left words of the running foot.
  Flow(Page page, QString foot);

  void newPage();
  void title(const QString& words);
  void heading(const QString& words);
  void paragraph(const QString& words);
  void small(const QString& words);
  void bullets(const std::vector<QString>& items, bool small = false);
  void table(const TextTable& table);
  /// A figure over the full width; moved to the next page if it doesn't fit.
  void figure(double height_pt, std::function<void(QPainter& painter, const QRectF& box, bool clips)> paint);
  void gap(double points);

  double width() const;  ///< of the text, points
  double left() const;   ///< height that is left on this page, points
  std::size_t pageCount() const { return pages_.size(); }
  /// The painters read from this flow: it must outlive them.
  std::vector<PagePainter> pages() const;

 private:
  using Piece = std::function<void(QPainter& painter, bool clips)>;
  void place(double height, const std::function<Piece(double top)>& piece);
  void text(const QString& words, const draw::Style& style, double pitch, const QColor& ink, double indent = 0);
  double rowHeight(const TextTable& table, const std::vector<QString>& cells, const draw::Style& style) const;
  double columnWidth(const TextTable& table, std::size_t column) const;
  void tableHead(const TextTable& table);
  bool isStrong(const TextTable& table, std::size_t row) const { return table.strong_last_row && row + 1 == table.rows.size(); }
  void tableRow(const TextTable& table, std::size_t row);

  Page page_;
  QString foot_;
  double y_ = 0;
  std::vector<std::vector<Piece>> pages_;
};

}  // namespace leeward::sheets
