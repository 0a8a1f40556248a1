#include "viewer/window/block_list.h"

#include <QPainter>
#include <algorithm>
#include <cmath>
#include <string>
#include <unordered_map>
#include <utility>

#include "viewer/draw/palette.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

QString number(const Table& table, const char* column, std::size_t row, int decimals) {
  const auto value = table.find(column)->asReal(row);
  return value ? QString::number(*value, 'f', decimals) : QStringLiteral("–");
}

}  // namespace

void BlockListModel::setFindings(study::Snapshot findings) {
  beginResetModel();
  findings_ = std::move(findings);
  block_rows_.clear();
  list_rows_.clear();
  if (findings_) {
    const Table& blocks = findings_->blocks.table;
    const Table& next = findings_->next;
    std::unordered_map<std::string, std::size_t> row_of;
    const Column& ids = *blocks.find("block_id");
    for (std::size_t row = 0; row < blocks.rows(); ++row) row_of.emplace(ids.asText(row), row);
    list_rows_.assign(blocks.rows(), -1);
    for (std::size_t row = 0; row < next.rows(); ++row) {
      const std::size_t block = row_of.at(next.find("block_id")->asText(row));
      list_rows_[block] = static_cast<int>(row);
      block_rows_.push_back(block);
    }
  }
  endResetModel();
}

int BlockListModel::rowCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : static_cast<int>(block_rows_.size()); }

int BlockListModel::listRowOf(std::size_t block_row) const { return block_row < list_rows_.size() ? list_rows_[block_row] : -1; }

QVariant BlockListModel::data(const QModelIndex& index, int role) const {
  if (!findings_ || !index.isValid()) return {};
  const std::size_t row = static_cast<std::size_t>(index.row());
  const Table& next = findings_->next;
  const auto headline = [&] {
    const QString streets = QString::fromStdString(findings_->blocks.table.find("streets")->asText(block_rows_[row]));
    return streets.isEmpty() ? tr("Block %1").arg(QString::fromStdString(next.find("block_id")->asText(row))) : streets;
  };
  const auto detail = [&] {
    const auto chance = next.find("chance_rank_k")->asReal(row).value_or(0);
    return tr("%1 dogs in need an hour · about %2 (%3 to %4) not yet met · %5 of %6 doors looked at · among the best %7: %8 %")
        .arg(number(next, "per_crew_hour", row, 2), number(next, "unmet", row, 1), number(next, "low", row, 0), number(next, "high", row, 0), number(next, "doors_looked", row, 0),
             number(next, "doors", row, 0), QString::number(findings_->top_k), QString::number(std::round(chance * 100)));
  };
  switch (role) {
    case Rank:
      return number(next, "rank", row, 0);
    case Headline:
      return headline();
    case Detail:
      return detail();
    case BlockRow:
      return QVariant::fromValue(static_cast<qint64>(block_rows_[row]));
    case Qt::DisplayRole:
    case Qt::AccessibleTextRole:
      return tr("Rank %1: %2; %3").arg(number(next, "rank", row, 0), headline(), detail());
    default:
      return {};
  }
}

void BlockDelegate::paint(QPainter* painter, const QStyleOptionViewItem& option, const QModelIndex& index) const {
  const QRect box = option.rect;
  const bool chosen = option.state.testFlag(QStyle::State_Selected);
  painter->save();
  painter->fillRect(box, chosen ? draw::ground::kLand : draw::ground::kPaper);
  if (chosen) painter->fillRect(QRect(box.left(), box.top(), 3, box.height()), draw::kAccent);
  painter->setPen(draw::ground::kRule);
  painter->drawLine(box.left() + 2 * kGrid, box.bottom(), box.right(), box.bottom());
  const QRect rank(box.left() + kGrid, box.top(), 4 * kGrid, box.height());
  painter->setFont(fontFor(Text::Finding));
  painter->setPen(chosen ? draw::kAccent : draw::ground::kInk);
  painter->drawText(rank, Qt::AlignRight | Qt::AlignVCenter, index.data(BlockListModel::Rank).toString());
  QRect text = box.adjusted(7 * kGrid, kGrid - 1, -kGrid, -kGrid + 1);
  QFont strong = fontFor(Text::Body);
  strong.setWeight(QFont::DemiBold);
  painter->setFont(strong);
  painter->setPen(draw::ground::kInk);
  const QString headline = index.data(BlockListModel::Headline).toString();
  painter->drawText(text, Qt::AlignLeft | Qt::AlignTop, QFontMetrics(strong).elidedText(headline, Qt::ElideRight, text.width()));
  text.setTop(text.top() + QFontMetrics(strong).height());
  painter->setFont(fontFor(Text::Small));
  painter->setPen(draw::ground::kQuietInk);
  painter->drawText(text, Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap, index.data(BlockListModel::Detail).toString());
  painter->restore();
}

QSize BlockDelegate::sizeHint(const QStyleOptionViewItem& option, const QModelIndex& index) const {
  const int width = std::max(option.rect.width(), 200) - 8 * kGrid;
  const int detail = QFontMetrics(fontFor(Text::Small)).boundingRect(0, 0, width, 1000, Qt::TextWordWrap, index.data(BlockListModel::Detail).toString()).height();
  return {option.rect.width(), 2 * kGrid - 2 + QFontMetrics(fontFor(Text::Body)).height() + detail};
}

}  // namespace leeward::window
