#pragma once
/// Lists that read like a page: a mark (rank, day), a headline, up to two quiet lines. Rows are told when they come into sight, so a list of
/// any length opens at once.
#include <QAbstractListModel>
#include <QListView>
#include <QStyledItemDelegate>
#include <functional>
#include <vector>

namespace leeward::window {

struct Row {
  QString mark;      ///< short, right-aligned: "1", "12 Mar"
  QString headline;
  QString detail;
  bool strong = false;  ///< the mark in the accent: what a reader must not miss
};

class RowModel : public QAbstractListModel {
  Q_OBJECT

 public:
  enum Role { Mark = Qt::UserRole, Headline, Detail, Strong, Block };
  explicit RowModel(QObject* parent = nullptr) : QAbstractListModel(parent) {}

  /// blocks: of each row, the row of Findings::blocks that it belongs to, -1 = none.
  void setRows(std::vector<qint64> blocks, std::function<Row(std::size_t)> tell);
  int rowCount(const QModelIndex& parent = {}) const override;
  QVariant data(const QModelIndex& index, int role) const override;
  /// The first row of a block; -1 if there is none.
  int rowOf(qint64 block) const;

 private:
  std::vector<qint64> blocks_;
  std::function<Row(std::size_t)> tell_;
};

class RowDelegate : public QStyledItemDelegate {
  Q_OBJECT

 public:
  using QStyledItemDelegate::QStyledItemDelegate;
  void setMarkWidth(int pixels) { mark_width_ = pixels; }
  void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override;
  QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;

 private:
  int mark_width_ = 0;
};

class RowList : public QListView {
  Q_OBJECT

 public:
  explicit RowList(const QString& accessible_name, QWidget* parent = nullptr);
  /// mark_words: the widest mark, for the column's width.
  void setRows(std::vector<qint64> blocks, std::function<Row(std::size_t)> tell, const QString& mark_words);
  /// Marks the first row of a block without telling of it; nothing for a block that has none.
  void showBlock(qint64 block);

 signals:
  void chosen(int row, qint64 block);
  void opened(int row, qint64 block);  ///< by Return or a double click: the records behind it

 private:
  RowModel* rows_;
  RowDelegate* delegate_;
};

}  // namespace leeward::window
