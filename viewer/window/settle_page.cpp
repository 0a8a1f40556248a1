#include "viewer/window/settle_page.h"

#include <algorithm>
#include <initializer_list>
#include <utility>

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QVBoxLayout>

#include "viewer/draw/palette.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

using study::SettleRequest;

QString gradeInWords(const std::string& placed_by) {
  if (placed_by == "point") return SettlePage::tr("a door of the list");
  if (placed_by == "between") return SettlePage::tr("between two known doors");
  if (placed_by == "range") return SettlePage::tr("by the street's numbers");
  if (placed_by == "crossing") return SettlePage::tr("a crossing");
  if (placed_by == "block") return SettlePage::tr("a block of the street");
  if (placed_by == "street") return SettlePage::tr("somewhere on the street");
  return SettlePage::tr("somewhere in the postcode");
}

QString inWords(const study::Choice& choice, std::size_t number) {
  const QString within = choice.uncertainty_m < 1000 ? SettlePage::tr("%1 m").arg(choice.uncertainty_m, 0, 'f', 0) : SettlePage::tr("%1 km").arg(choice.uncertainty_m / 1000, 0, 'f', 1);
  const QString sure = choice.score < 0.01 ? SettlePage::tr("hardly likely") : SettlePage::tr("%1 % sure").arg(choice.score * 100, 0, 'f', 0);
  return SettlePage::tr("%1   %2\n      %3, within %4, %5").arg(number).arg(QString::fromStdString(choice.address), gradeInWords(choice.placed_by), within, sure);
}

/// "12 Oak St | Fairford | " as a person would write it.
QString asTyped(const std::string& typed) {
  QStringList parts;
  for (const auto& part : QString::fromStdString(typed).split(QLatin1Char('|'))) {
    if (!part.trimmed().isEmpty()) parts.push_back(part.trimmed());
  }
  return parts.join(QStringLiteral(", "));
}

}  // namespace

SettlePage::SettlePage(QWidget* parent)
    : QWidget(parent),
      finding_(makeWords(Text::Finding, "settle_finding")),
      typed_(makeWords(Text::Title, "settle_typed")),
      why_(makeWords(Text::Body, "settle_why")),
      said_(makeWords(Text::Body, "settle_said")),
      choices_(new QListWidget),
      reads_(new QLineEdit),
      none_(makeButton(tr("&0  None of these: leave it unplaced"), "settle_none")),
      undo_(makeButton(tr("&Undo the last decision"), "settle_undo")) {
  setObjectName("settle_page");
  setFocusPolicy(Qt::StrongFocus);
  auto* page = new QVBoxLayout(this);
  page->setContentsMargins(2 * kGrid, 2 * kGrid, 2 * kGrid, kGrid);
  page->setSpacing(kGrid);
  auto* title = makeWords(Text::Title, "settle_title");
  title->setText(tr("Which place did the crew mean?"));
  choices_->setObjectName("settle_choices");
  choices_->setFont(fontFor(Text::Body));
  choices_->setAccessibleName(tr("Places that the words may mean"));
  choices_->setFocusPolicy(Qt::NoFocus);  // the keys belong to the page
  reads_->setObjectName("settle_reads");
  reads_->setPlaceholderText(tr("The crew always means … (whole address; Enter)"));
  reads_->setAccessibleName(tr("What these words always mean"));
  auto* keys = makeWords(Text::Small, "settle_keys");
  keys->setText(tr("1 to 9 take a place, a click on the map sets another, 0 none. Right and left: next and back. U: undo. Esc: done."));
  auto* done = makeButton(tr("&Done"), "settle_done");
  for (QPushButton* button : {none_, undo_, done}) button->setFocusPolicy(Qt::NoFocus);
  for (QWidget* widget : std::initializer_list<QWidget*>{title, finding_, typed_, why_}) page->addWidget(widget);
  page->addWidget(choices_, 1);
  page->addWidget(none_);
  page->addWidget(reads_);
  page->addWidget(said_);
  page->addWidget(keys);
  auto* row = new QHBoxLayout;
  row->addWidget(undo_);
  row->addStretch(1);
  row->addWidget(done);
  page->addLayout(row);
  connect(choices_, &QListWidget::itemClicked, this, [this](QListWidgetItem* item) { take(static_cast<std::size_t>(choices_->row(item))); });
  connect(none_, &QPushButton::clicked, this, [this] { decide({.action = SettleRequest::Action::Refuse}); });
  connect(undo_, &QPushButton::clicked, this, [this] { decide({.action = SettleRequest::Action::Undo}); });
  connect(done, &QPushButton::clicked, this, &SettlePage::finished);
  connect(reads_, &QLineEdit::returnPressed, this, [this] {
    const study::OpenAddress* open = current();
    if (open == nullptr || reads_->text().trimmed().isEmpty()) return;
    const std::string words = open->typed.substr(0, open->typed.find('|'));
    decide({.action = SettleRequest::Action::Teach, .typed = QString::fromStdString(words).trimmed().toStdString(), .meant = reads_->text().trimmed().toStdString()});
    reads_->clear();
    setFocus();
  });
}

const study::OpenAddress* SettlePage::current() const { return index_ < list_.open.size() ? &list_.open[index_] : nullptr; }

void SettlePage::begin() {
  decisions_ = 0, index_ = 0;
  say({});
}

void SettlePage::setList(study::SettleList list) {
  const std::string before = current() != nullptr ? current()->id : "";
  list_ = std::move(list);
  const auto same = std::ranges::find(list_.open, before, &study::OpenAddress::id);
  show(same != list_.open.end() ? static_cast<std::size_t>(same - list_.open.begin()) : std::min(index_, list_.open.empty() ? 0 : list_.open.size() - 1));
}

void SettlePage::show(std::size_t index) {
  index_ = index;
  const study::OpenAddress* open = current();
  std::uint64_t rows = 0;
  for (const auto& one : list_.open) rows += one.rows;
  finding_->setText(list_.open.empty() ? tr("Every address has its place, or was settled.")
                                       : tr("Address %1 of %2 that are not clear. %3 rows of the record hang on them.").arg(index_ + 1).arg(list_.open.size()).arg(rows));
  typed_->setText(open != nullptr ? asTyped(open->typed) : QString());
  why_->setText(open != nullptr ? (open->rows == 1 ? tr("Written in one row: %1.") : tr("Written in %1 rows: %2.").arg(open->rows)).arg(QString::fromStdString(open->why)) : QString());
  choices_->clear();
  for (std::size_t i = 0; open != nullptr && i < open->choices.size(); ++i) choices_->addItem(inWords(open->choices[i], i + 1));
  none_->setEnabled(open != nullptr);
  reads_->setEnabled(open != nullptr);
  undo_->setEnabled(!list_.settled.empty());
  emit shown();
}

void SettlePage::take(std::size_t choice) {
  const study::OpenAddress* open = current();
  if (open == nullptr || choice >= open->choices.size()) return;
  decide({.action = SettleRequest::Action::Accept, .candidate = choice + 1});
}

void SettlePage::placeAt(Point position) {
  if (current() != nullptr) decide({.action = SettleRequest::Action::Move, .position = position});
}

void SettlePage::decide(SettleRequest request) {
  const bool undoes = request.action == SettleRequest::Action::Undo;
  if (!undoes && current() == nullptr) return;
  if (!undoes && request.action != SettleRequest::Action::Teach) request.address = current()->id;
  decisions_ += undoes ? -1 : 1;
  emit decided(std::move(request));
}

void SettlePage::say(const QString& words) { said_->setText(words); }

void SettlePage::keyPressEvent(QKeyEvent* event) {
  const int key = event->key();
  if (key >= Qt::Key_1 && key <= Qt::Key_9) return take(static_cast<std::size_t>(key - Qt::Key_1));
  switch (key) {
    case Qt::Key_0: return decide({.action = SettleRequest::Action::Refuse});
    case Qt::Key_U: return decide({.action = SettleRequest::Action::Undo});
    case Qt::Key_Right: return list_.open.empty() ? void() : show(std::min(index_ + 1, list_.open.size() - 1));
    case Qt::Key_Left: return show(index_ == 0 ? 0 : index_ - 1);
    case Qt::Key_Escape: emit finished(); return;
    default: QWidget::keyPressEvent(event);
  }
}

}  // namespace leeward::window
