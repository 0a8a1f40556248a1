#include "viewer/window/row_list.h"

#include <QItemSelectionModel>
#include <QPainter>
#include <QSignalBlocker>
#include <algorithm>
#include <utility>

#include "viewer/window/style.h"

namespace leeward::window {
namespace {

QFont strongFont() {
  QFont font = fontFor(Text::Body);
  font.setWeight(QFont::DemiBold);
  return font;
}

}  // namespace

void RowModel::setRows(std::vector<qint64> blocks, std::function<Row(std::size_t)> tell) {
  beginResetModel();
  blocks_ = std::move(blocks);
  tell_ = std::move(tell);
  endResetModel();
}

int RowModel::rowCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : static_cast<int>(blocks_.size()); }

int RowModel::rowOf(qint64 block) const {
  const auto found = std::ranges::find(blocks_, block);
  return block < 0 || found == blocks_.end() ? -1 : static_cast<int>(found - blocks_.begin());
}

QVariant RowModel::data(const QModelIndex& index, int role) const {
  if (!index.isValid() || !tell_) return {};
  const auto at = static_cast<std::size_t>(index.row());
  if (role == Block) return blocks_[at];
  if (role != Mark && role != Headline && role != Detail && role != Strong && role != Qt::DisplayRole && role != Qt::AccessibleTextRole) return {};
  const Row row = tell_(at);
  switch (role) {
    case Mark: return row.mark;
    case Headline: return row.headline;
    case Detail: return row.detail;
    case Strong: return row.strong;
    default: return QStringList({row.mark, row.headline, row.detail}).join(QStringLiteral("; "));
  }
}

void RowDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const {
  namespace ground = draw::ground;
  const QRect box = option.rect;
  const bool chosen = option.state.testFlag(QStyle::State_Selected);
  painter->save();
  painter->fillRect(box, chosen ? ground::kLand : ground::kPaper);
  if (chosen) painter->fillRect(QRect(box.left(), box.top(), 4, box.height()), draw::kAccent);
  painter->setPen(ground::kRule);
  painter->drawLine(box.left() + kGrid, box.bottom(), box.right(), box.bottom());
  const QRect mark(box.left() + kGrid, box.top() + kGrid / 2, mark_width_, box.height());
  painter->setFont(strongFont());
  painter->setPen(chosen || index.data(RowModel::Strong).toBool() ? draw::kAccent : ground::kInk);
  painter->drawText(mark, Qt::AlignRight | Qt::AlignTop, index.data(RowModel::Mark).toString());
  QRect text = box.adjusted(mark_width_ + 3 * kGrid, kGrid / 2, -kGrid, -kGrid / 2);
  painter->setPen(ground::kInk);
  const QFontMetrics strong(strongFont());
  painter->drawText(text, Qt::AlignLeft | Qt::AlignTop, strong.elidedText(index.data(RowModel::Headline).toString(), Qt::ElideRight, text.width()));
  text.setTop(text.top() + strong.height());
  painter->setFont(fontFor(Text::Small));
  painter->setPen(ground::kQuietInk);
  painter->drawText(text, Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap, index.data(RowModel::Detail).toString());
  painter->restore();
}

QSize RowDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex&) const {
  return {option.rect.width(), kGrid + QFontMetrics(strongFont()).height() + 2 * QFontMetrics(fontFor(Text::Small)).lineSpacing() + 2};
}

RowList::RowList(const QString& accessible_name, QWidget* parent) : QListView(parent), rows_(new RowModel(this)), delegate_(new RowDelegate(this)) {
  setObjectName("rows");
  setModel(rows_);
  setItemDelegate(delegate_);
  setAccessibleName(accessible_name);
  setUniformItemSizes(true);
  setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
  setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  setResizeMode(QListView::Adjust);
  setMinimumHeight(grown(20 * kGrid));
  connect(this, &QListView::activated, this, [this](const QModelIndex& row) { emit opened(row.row(), row.data(RowModel::Block).toLongLong()); });
  connect(selectionModel(), &QItemSelectionModel::currentChanged, this, [this](const QModelIndex& now) {
    if (now.isValid()) emit chosen(now.row(), now.data(RowModel::Block).toLongLong());
  });
}

void RowList::setRows(std::vector<qint64> blocks, std::function<Row(std::size_t)> tell, const QString& mark_words) {
  const QSignalBlocker quiet(selectionModel());
  delegate_->setMarkWidth(QFontMetrics(strongFont()).horizontalAdvance(mark_words));
  rows_->setRows(std::move(blocks), std::move(tell));
}

void RowList::showBlock(qint64 block) {
  const QSignalBlocker quiet(selectionModel());
  const int row = rows_->rowOf(block);
  // A row of this block that was chosen by hand stays; another row of it is no better.
  if (row >= 0 && currentIndex().isValid() && currentIndex().data(RowModel::Block).toLongLong() == block) return;
  if (row < 0) {
    clearSelection();
  } else {
    selectionModel()->setCurrentIndex(rows_->index(row), QItemSelectionModel::ClearAndSelect);
    scrollTo(rows_->index(row), QAbstractItemView::EnsureVisible);
  }
  viewport()->update();
}

}  // namespace leeward::window
