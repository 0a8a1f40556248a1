#pragma once
/// The ranked blocks as a list that reads like a page: rank, what an hour there is worth, what is known.
#include <vector>

#include <QAbstractListModel>
#include <QStyledItemDelegate>

#include "viewer/study/findings.h"

namespace leeward::window {

class BlockListModel : public QAbstractListModel {
  Q_OBJECT

 public:
  enum Role { Rank = Qt::UserRole, Headline, Detail, BlockRow };
  explicit BlockListModel(QObject* parent = nullptr) : QAbstractListModel(parent) {}

  void setFindings(study::Snapshot findings);
  int rowCount(const QModelIndex& parent = {}) const override;
  QVariant data(const QModelIndex& index, int role) const override;
  /// The list's row of a block (row of Findings::blocks); -1 if it isn't ranked.
  int listRowOf(std::size_t block_row) const;

 private:
  study::Snapshot findings_;
  std::vector<std::size_t> block_rows_;   ///< of each list row
  std::vector<int> list_rows_;            ///< of each block row, -1 = none
};

class BlockDelegate : public QStyledItemDelegate {
  Q_OBJECT

 public:
  using QStyledItemDelegate::QStyledItemDelegate;
  void paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const override;
  QSize sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const override;
};

}  // namespace leeward::window
