#include "viewer/window/workbench.h"

#include <algorithm>
#include <memory>
#include <utility>

#include <QApplication>
#include <QHBoxLayout>
#include <QPointer>
#include <QPushButton>
#include <QScrollArea>
#include <QStackedWidget>
#include <QToolTip>
#include <QVBoxLayout>

#include "viewer/draw/map_painter.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/job_strip.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/map_frame.h"
#include "viewer/window/new_study_page.h"
#include "viewer/window/pages.h"
#include "viewer/window/passphrase_box.h"
#include "viewer/window/question_line.h"
#include "viewer/window/settle_page.h"
#include "viewer/window/start_page.h"

namespace leeward::window {
namespace {

constexpr int kKeepAfter_ms = 800;

struct MadeMap {
  draw::MapTheme theme;
  std::shared_ptr<const draw::PreparedMap> map;
};

MadeMap makeMap(const AnswerPage::MapMaker& maker, draw::Shade shade) {
  draw::useShade(shade);
  MadeMap made;
  made.theme = maker();
  made.map = std::make_shared<const draw::PreparedMap>(made.theme.picture);
  draw::useShade(draw::Shade::Light);
  return made;
}

/// A page in a scroll area of its own, so that large text is reached and not cut.
QScrollArea* scrolled(QWidget* page) {
  auto* area = new QScrollArea;
  area->setWidget(page);
  area->setWidgetResizable(true);
  area->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  area->setFocusPolicy(Qt::NoFocus);
  return area;
}

}  // namespace

Workbench::Workbench(QWidget* parent) : QMainWindow(parent) {
  setWindowTitle(tr("Leeward"));
  askPassphrasesInWindow();
  resize(1280, 800);
  const auto& kinds = pageKinds();
  answer_ = static_cast<std::size_t>(std::ranges::find_if(kinds, [](const PageKind& kind) { return QLatin1String(kind.key) == QLatin1String("next"); }) - kinds.begin());
  keeping_.setSingleShot(true);
  connect(&keeping_, &QTimer::timeout, this, &Workbench::keepMemory);
  connect(&room_, &Workroom::opened, this, &Workbench::showOpened);
  connect(&room_, &Workroom::typingAsked, this, &Workbench::startTyping);
  connect(&room_, &Workroom::cardAsked, this, &Workbench::showCard);
  connect(&room_, &Workroom::looksAsked, this, &Workbench::showLooks);
  connect(&room_, &Workroom::addressesAsked, this, &Workbench::startSettling);
  connect(&room_, &Workroom::blockSelected, this, [this] {
    refreshRest();  // before they hear of it
    map_->select(room_.block());
    keeping_.start(kKeepAfter_ms);
  });
  addShortcuts();
  build();
}

Workbench::~Workbench() = default;

void Workbench::build() {
  const bool has_study = hasStudy();
  answers_.clear();
  is_stale_.clear();
  sides_ = new QStackedWidget;
  start_ = new StartPage(room_);
  connect(start_, &StartPage::openAsked, this, &Workbench::askForStudy);
  connect(start_, &StartPage::sampleAsked, this, &Workbench::makeSample);
  sides_->addWidget(start_);
  sides_->addWidget(buildWork());
  new_ = new NewStudyPage(room_);
  sides_->addWidget(scrolled(new_));
  connect(start_, &StartPage::newAsked, this, [this] {
    sides_->setCurrentIndex(2);
    new_->begin();
  });
  connect(new_, &NewStudyPage::left, this, [this] { sides_->setCurrentIndex(hasStudy() ? 1 : 0); });
  sides_->setCurrentIndex(has_study ? 1 : 0);
  delete takeCentralWidget();
  setCentralWidget(sides_);
  line_->setChosen(static_cast<int>(answer_));
  if (!has_study) return;
  is_stale_.assign(answers_.size(), true);
  showPage(static_cast<int>(answer_));
}

QWidget* Workbench::buildWork() {
  auto* work = new QWidget;
  auto* row = new QHBoxLayout(work);
  row->setContentsMargins(0, 0, 0, 0);
  row->setSpacing(0);
  frame_ = new MapFrame;
  map_ = &frame_->canvas();
  line_ = new QuestionLine;
  line_->addLast(static_cast<QPushButton*>(buildLookButton()));
  beside_ = new QStackedWidget;
  for (const PageKind& kind : pageKinds()) {
    AnswerPage* page = kind.make(room_);
    page->setObjectName(QString::fromLatin1(kind.key));
    page->setAccessibleName(kind.name);
    answers_.push_back(page);
    beside_->addWidget(scrolled(page));
    connect(page, &AnswerPage::mapChanged, this, [this, page] {
      if (answers_[answer_] == page) showMap(false);
    });
  }
  buildSettling();
  buildDesks();
  column_ = new QWidget;
  auto* column = new QVBoxLayout(column_);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(0);
  column->addWidget(line_);
  column->addWidget(beside_, 1);
  column->addWidget(new JobStrip(room_));
  column_->setFixedWidth(pageWidth(width()));
  row->addWidget(frame_, 1);
  row->addWidget(column_);
  connect(line_, &QuestionLine::chosen, this, &Workbench::showPage);
  connect(map_, &MapCanvas::blockClicked, &room_, &Workroom::selectBlock);
  connect(map_, &MapCanvas::blockHovered, this, &Workbench::showHint);
  connect(map_, &MapCanvas::viewChanged, this, [this] { keeping_.start(kKeepAfter_ms); });
  return work;
}

void Workbench::showOpened() {
  const study::Findings& findings = *room_.findings();
  setWindowTitle(tr("%1, as of %2 – Leeward").arg(QString::fromStdString(findings.name), QString::fromStdString(toWords(findings.as_of))));
  // The page that is looked at first; the others while its map is being painted.
  is_stale_.assign(answers_.size(), true);
  const bool first = sides_->currentIndex() != 1;
  sides_->setCurrentIndex(1);
  if (first) goWhereOneWas();
  showPage(static_cast<int>(answer_));
}

void Workbench::refreshPage(std::size_t index) {
  if (index >= is_stale_.size() || !is_stale_[index]) return;
  is_stale_[index] = false;
  answers_[index]->refresh();
  answers_[index]->putFootLast();
}

void Workbench::refreshRest() {
  for (std::size_t i = 0; i < is_stale_.size(); ++i) refreshPage(i);
}

void Workbench::refreshNext() {
  const auto stale = std::ranges::find(is_stale_, true);
  if (stale == is_stale_.end()) return;
  refreshPage(static_cast<std::size_t>(stale - is_stale_.begin()));
  QTimer::singleShot(0, this, &Workbench::refreshNext);
}

void Workbench::showPage(int index) {
  leaveDesks();
  if (hasStudy()) refreshPage(static_cast<std::size_t>(index));
  answer_ = static_cast<std::size_t>(index);
  line_->setChosen(index);
  beside_->setCurrentIndex(index);
  if (!hasStudy()) return;
  showMap(false);
  keeping_.start(kKeepAfter_ms);
  QTimer::singleShot(0, this, &Workbench::refreshNext);
}

void Workbench::showMap(bool whole) {
  AnswerPage* page = answers_[answer_];
  const auto maker = page->map();
  if (!maker) return;
  room_.jobs().look<MadeMap>(
      page, QStringLiteral("map"), [maker, shade = look().shade](Progress&) { return Result<MadeMap>(makeMap(maker, shade)); },
      [this, page, whole](MadeMap made) {
        page->themed(made.theme);
        frame_->setLegend(made.theme.legend);
        map_->readout().setFrame(room_.findings()->crs);
        map_->showMap(std::move(made.map), whole);
        map_->select(room_.block(), false);  // another question is no reason to walk
      },
      [this](const Problem& problem) { room_.say(QString::fromStdString(problem.text())); });
}

void Workbench::showHint(qint64 row, const QPoint& global) {
  if (row < 0 || !hasStudy()) return QToolTip::hideText();
  const QString words = answers_[answer_]->hint(static_cast<std::size_t>(row));
  if (words.isEmpty()) return QToolTip::hideText();
  QToolTip::showText(global, QStringLiteral("<p>%1</p>").arg(words.toHtmlEscaped()), map_);
}

bool Workbench::isSettled() const { return std::ranges::find(is_stale_, true) == is_stale_.end() && !room_.jobs().isBusy() && !room_.jobs().isLooking() && (!hasStudy() || map_->isPainted()); }

void Workbench::chooseQuestion(const QString& key) {
  for (std::size_t i = 0; i < pageKinds().size(); ++i) {
    if (key == QLatin1String(pageKinds()[i].key)) showPage(static_cast<int>(i));
  }
}

QString Workbench::question() const { return QString::fromLatin1(pageKinds()[answer_].key); }

void Workbench::resizeEvent(QResizeEvent* event) {
  QMainWindow::resizeEvent(event);
  if (column_ != nullptr) column_->setFixedWidth(pageWidth(width()));
}

}  // namespace leeward::window
