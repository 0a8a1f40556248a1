#include "viewer/window/answer_page.h"

#include <optional>
#include <utility>

#include <QButtonGroup>
#include <QGridLayout>
#include <QItemSelectionModel>
#include <QLabel>
#include <QListView>
#include <QPushButton>
#include <QVBoxLayout>

#include "viewer/draw/palette.h"
#include "viewer/window/block_list.h"
#include "viewer/window/legend_view.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

QLabel* makeLabel(Text text, const char* name, const QColor& ink = draw::ground::kInk) {
  auto* label = new QLabel;
  label->setFont(fontFor(text));
  label->setWordWrap(true);
  label->setObjectName(name);
  label->setTextInteractionFlags(Qt::TextSelectableByMouse);
  QPalette palette = label->palette();
  palette.setColor(QPalette::WindowText, ink);
  label->setPalette(palette);
  return label;
}

QString shortName(draw::Question question) {
  switch (question) {
    case draw::Question::BeenAndNotBeen:
      return AnswerPage::tr("Been and not been");
    case draw::Question::WhereNext:
      return AnswerPage::tr("Where next");
    case draw::Question::WhereNeedIs:
      return AnswerPage::tr("Where need is");
    case draw::Question::Sightings:
      return AnswerPage::tr("What was seen");
    case draw::Question::WhatChanged:
      return AnswerPage::tr("What changed");
  }
  return {};
}

}  // namespace

AnswerPage::AnswerPage(QWidget* parent)
    : QWidget(parent),
      blocks_(new BlockListModel(this)),
      questions_(new QButtonGroup(this)),
      title_(makeLabel(Text::Title, "title")),
      finding_(makeLabel(Text::Finding, "finding")),
      because_(makeLabel(Text::Body, "because")),
      counted_(makeLabel(Text::Small, "counted", draw::ground::kQuietInk)),
      legend_(new LegendView),
      list_(new QListView),
      settle_(new QPushButton) {
  setFixedWidth(kPageWidth);
  setObjectName("answer_page");
  auto* page = new QVBoxLayout(this);
  page->setContentsMargins(2 * kGrid, 2 * kGrid, 2 * kGrid, kGrid);
  page->setSpacing(kGrid);
  buildQuestions();
  page->addWidget(title_);
  page->addWidget(finding_);
  page->addWidget(legend_);
  page->addWidget(counted_);
  list_->setObjectName("blocks");
  list_->setModel(blocks_);
  list_->setItemDelegate(new BlockDelegate(list_));
  list_->setAccessibleName(tr("Blocks by the worth of an hour"));
  list_->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
  list_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  list_->setResizeMode(QListView::Adjust);
  page->addWidget(list_, 1);
  because_->setMinimumHeight(8 * kGrid);
  because_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
  page->addWidget(because_);
  settle_->setObjectName("settle");
  settle_->setFont(fontFor(Text::Body));
  page->addWidget(settle_);
  connect(settle_, &QPushButton::clicked, this, &AnswerPage::settleAsked);
  connect(list_->selectionModel(), &QItemSelectionModel::currentChanged, this, [this](const QModelIndex& now) {
    if (now.isValid()) emit blockChosen(now.data(BlockListModel::BlockRow).toLongLong());
  });
}

void AnswerPage::buildQuestions() {
  constexpr int kColumns = 3;
  auto* grid = new QGridLayout;
  grid->setHorizontalSpacing(2 * kGrid);
  grid->setVerticalSpacing(0);
  for (const auto question : draw::questions()) {
    auto* button = new QPushButton(shortName(question));
    button->setObjectName("question");
    button->setFont(fontFor(Text::Body));
    button->setCheckable(true);
    button->setAccessibleName(draw::questionTitle(question));
    button->setToolTip(draw::questionTitle(question));
    button->setChecked(question == question_);
    questions_->addButton(button, static_cast<int>(question));
    const int at = static_cast<int>(questions_->buttons().size()) - 1;
    grid->addWidget(button, at / kColumns, at % kColumns);
  }
  static_cast<QVBoxLayout*>(layout())->addLayout(grid);
  connect(questions_, &QButtonGroup::idClicked, this, [this](int id) { chooseQuestion(static_cast<draw::Question>(id)); });
}

void AnswerPage::chooseQuestion(draw::Question question) {
  question_ = question;
  questions_->button(static_cast<int>(question))->setChecked(true);
  emit questionChosen(question);
}

void AnswerPage::setFindings(study::Snapshot findings) {
  findings_ = findings;
  blocks_->setFindings(std::move(findings));
  because_->setText(tr("Choose a block in the list or on the map to see why it stands where it stands."));
  const auto open = findings_->totals.undecided;
  settle_->setVisible(open > 0);
  settle_->setText(open == 1 ? tr("&Settle one address that is not clear") : tr("&Settle %1 addresses that are not clear").arg(open));
}

void AnswerPage::showTheme(const draw::MapTheme& theme) {
  title_->setText(theme.title);
  finding_->setText(theme.finding);
  legend_->setLegend(theme.legend);
  counted_->setText(theme.counted);
}

void AnswerPage::select(std::optional<std::size_t> block_row) {
  const QSignalBlocker quiet(list_->selectionModel());
  if (!block_row || !findings_) {
    list_->clearSelection();
    list_->viewport()->update();
    because_->setText(tr("Choose a block in the list or on the map to see why it stands where it stands."));
    return;
  }
  const int row = blocks_->listRowOf(*block_row);
  const QModelIndex index = row < 0 ? QModelIndex() : blocks_->index(row);
  list_->selectionModel()->setCurrentIndex(index, QItemSelectionModel::ClearAndSelect);
  if (index.isValid()) list_->scrollTo(index, QAbstractItemView::EnsureVisible);
  list_->viewport()->update();
  because_->setText(QString::fromStdString(findings_->blocks.table.find("because")->asText(*block_row)));
}

}  // namespace leeward::window
