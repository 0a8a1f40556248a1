#include "viewer/window/workbench.h"

#include <initializer_list>
#include <optional>
#include <utility>

#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QMenuBar>
#include <QProgressBar>
#include <QPushButton>
#include <QShortcut>
#include <QStackedWidget>
#include <QToolTip>
#include <QVBoxLayout>

#include "viewer/window/answer_page.h"
#include "shared/geo/crs.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/settle_desk.h"
#include "viewer/window/settle_page.h"
#include "viewer/window/study_loader.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

/// Between the map's frame and the ledger's positions (longitude and latitude, or plane metres in a study without a place).
std::optional<Transform> positionsOf(const study::Findings& findings, bool to_ledger) {
  const Crs ledger = findings.crs.isLocal() ? findings.crs : Crs::wgs84();
  auto way = to_ledger ? Transform::between(findings.crs, ledger) : Transform::between(ledger, findings.crs);
  if (!way) return std::nullopt;
  return *std::move(way);
}

}  // namespace

Workbench::Workbench(QWidget* parent) : QMainWindow(parent), loader_(new StudyLoader(this)), pages_(new QStackedWidget) {
  setWindowTitle(tr("Leeward"));
  resize(1280, 800);
  pages_->addWidget(buildStart());
  pages_->addWidget(buildWork());
  setCentralWidget(pages_);
  auto* open = new QShortcut(QKeySequence::Open, this);
  connect(open, &QShortcut::activated, this, &Workbench::askForStudy);
  connect(loader_, &StudyLoader::progressed, this, [this](double fraction, const QString& message) {
    bar_->setValue(static_cast<int>(fraction * 1000));
    if (!message.isEmpty()) message_->setText(message + QStringLiteral(" …"));
  });
  connect(loader_, &StudyLoader::done, this, &Workbench::showFindings);
  connect(loader_, &StudyLoader::failed, this, [this](const QString& problem, bool stopped) {
    message_->setText(stopped ? tr("Stopped. What was finished by then is kept.") : problem);
    bar_->hide();
    stop_->hide();
    open_->show();
    pages_->setCurrentIndex(findings_ && stopped ? 1 : 0);
  });
}

QWidget* Workbench::buildStart() {
  auto* page = new QWidget;
  auto* column = new QVBoxLayout(page);
  column->setSpacing(2 * kGrid);
  auto* title = new QLabel(tr("Where next?"));
  title->setFont(fontFor(Text::Title));
  message_ = new QLabel(tr("Open the folder of a study. The sample town is made by: bash sample-data/run-demo"));
  message_->setObjectName("message");
  message_->setWordWrap(true);
  message_->setFont(fontFor(Text::Finding));
  message_->setTextInteractionFlags(Qt::TextSelectableByMouse);
  bar_ = new QProgressBar;
  bar_->setRange(0, 1000);
  bar_->setTextVisible(false);
  bar_->setAccessibleName(tr("Progress"));
  bar_->hide();
  open_ = new QPushButton(tr("&Open a study …"));
  open_->setObjectName("plain");
  stop_ = new QPushButton(tr("&Stop"));
  stop_->setObjectName("plain");
  stop_->hide();
  connect(open_, &QPushButton::clicked, this, &Workbench::askForStudy);
  connect(stop_, &QPushButton::clicked, loader_, &StudyLoader::stop);
  column->addStretch(2);
  for (QWidget* widget : std::initializer_list<QWidget*>{title, message_, bar_}) {
    widget->setFixedWidth(70 * kGrid);
    column->addWidget(widget, 0, Qt::AlignHCenter);
  }
  auto* row = new QHBoxLayout;
  row->addStretch(1);
  row->addWidget(open_);
  row->addWidget(stop_);
  row->addStretch(1);
  column->addLayout(row);
  column->addStretch(3);
  return page;
}

QWidget* Workbench::buildWork() {
  auto* work = new QWidget;
  auto* row = new QHBoxLayout(work);
  row->setContentsMargins(0, 0, 0, 0);
  row->setSpacing(0);
  map_ = new MapCanvas;
  map_->setObjectName("map");
  answer_ = new AnswerPage;
  settle_ = new SettlePage;
  desk_ = new SettleDesk(this);
  beside_ = new QStackedWidget;
  beside_->setFixedWidth(kPageWidth);
  beside_->addWidget(answer_);
  beside_->addWidget(settle_);
  row->addWidget(map_, 1);
  row->addWidget(beside_);
  connect(map_, &MapCanvas::blockClicked, this, &Workbench::selectBlock);
  connect(map_, &MapCanvas::blockHovered, this, &Workbench::showHint);
  connect(answer_, &AnswerPage::blockChosen, this, &Workbench::selectBlock);
  connect(answer_, &AnswerPage::questionChosen, this, [this](draw::Question question) { showQuestion(question, false); });
  connect(answer_, &AnswerPage::settleAsked, this, &Workbench::startSettling);
  connect(settle_, &SettlePage::decided, desk_, &SettleDesk::settle);
  connect(settle_, &SettlePage::shown, this, &Workbench::showCandidates);
  connect(settle_, &SettlePage::finished, this, &Workbench::endSettling);
  connect(desk_, &SettleDesk::listed, settle_, &SettlePage::setList);
  connect(desk_, &SettleDesk::settled, settle_, &SettlePage::say);
  connect(desk_, &SettleDesk::failed, settle_, &SettlePage::say);
  connect(map_, &MapCanvas::placeClicked, this, [this](Point at) {
    const auto to_ledger = findings_ ? positionsOf(*findings_, true) : std::nullopt;
    if (to_ledger) settle_->placeAt((*to_ledger)(at));
    settle_->setFocus();
  });
  return work;
}

void Workbench::startSettling() {
  settle_->begin();
  beside_->setCurrentWidget(settle_);
  map_->pickPlaces(true);
  settle_->setFocus();
  desk_->open(folder_);
}

void Workbench::endSettling() {
  map_->pickPlaces(false);
  map_->showMarks({});
  beside_->setCurrentWidget(answer_);
  if (settle_->hasChanged()) openStudy(folder_);  // the places have changed, and with them all that hangs on them
}

void Workbench::showCandidates() {
  const study::OpenAddress* open = settle_->current();
  const auto to_map = findings_ ? positionsOf(*findings_, false) : std::nullopt;
  std::vector<Point> marks;
  for (std::size_t i = 0; open != nullptr && to_map && i < open->choices.size(); ++i) marks.push_back((*to_map)(open->choices[i].position));
  map_->showMarks(std::move(marks));
}

void Workbench::askForStudy() {
  const QString folder = QFileDialog::getExistingDirectory(this, tr("The folder of a study (study.toml lies in it)"));
  if (!folder.isEmpty()) openStudy(folder.toStdString());
}

void Workbench::openStudy(const std::filesystem::path& folder) {
  folder_ = folder;
  pages_->setCurrentIndex(0);
  message_->setText(tr("Opening %1 …").arg(QString::fromStdString(folder.filename().string())));
  bar_->setValue(0);
  bar_->show();
  stop_->show();
  open_->hide();
  loader_->start(folder);
}

void Workbench::showFindings(study::Snapshot findings) {
  findings_ = std::move(findings);
  selected_.reset();
  setWindowTitle(tr("%1, as of %2 – Leeward").arg(QString::fromStdString(findings_->name), QString::fromStdString(toWords(findings_->as_of))));
  bar_->hide();
  stop_->hide();
  open_->show();
  answer_->setFindings(findings_);
  pages_->setCurrentIndex(1);
  showQuestion(answer_->question(), true);
}

void Workbench::showQuestion(draw::Question question, bool whole) {
  if (!findings_) return;
  const draw::MapTheme theme = draw::forQuestion(question, *findings_);
  answer_->showTheme(theme);
  map_->showMap(std::make_shared<const draw::PreparedMap>(theme.picture), whole);
  map_->select(selected_);
}

void Workbench::selectBlock(qint64 row) {
  selected_ = row < 0 ? std::nullopt : std::optional<std::size_t>(static_cast<std::size_t>(row));
  map_->select(selected_);
  answer_->select(selected_);
}

void Workbench::showHint(qint64 row, const QPoint& global) {
  if (row < 0 || !findings_) return QToolTip::hideText();
  const auto& table = findings_->blocks.table;
  const auto at = static_cast<std::size_t>(row);
  QToolTip::showText(global, QStringLiteral("<p>%1</p>").arg(QString::fromStdString(table.find("because")->asText(at)).toHtmlEscaped()), map_);
}

}  // namespace leeward::window
