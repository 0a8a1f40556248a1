#include "viewer/window/new_study_page.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QStandardPaths>
#include <QVBoxLayout>
#include <initializer_list>

#include "viewer/study/new_study.h"
#include "viewer/study/study_file.h"
#include "viewer/window/file_tray.h"
#include "viewer/window/style.h"
#include "viewer/window/workroom.h"

namespace leeward::window {
namespace {

/// What is still missing for a first map, in words for a person.
QString missingWords(const study::StudyFile& study) {
  if (!study.sources.contains("blocks")) return NewStudyPage::tr("For a map the study needs the census blocks of your area: add their file, then go on.");
  return {};
}

}  // namespace

NewStudyPage::NewStudyPage(Workroom& room, QWidget* parent)
    : QWidget(parent), room_(room), name_(new QLineEdit), folder_(new QLineEdit), said_(makeWords(Text::Body, "new_said")), tray_(new FileTray(room)), make_(makeButton(tr("&Make the study"), "make")) {
  setObjectName("new_study");
  auto* outer = new QHBoxLayout(this);
  auto* column = new QVBoxLayout;
  column->setSpacing(kGrid);
  outer->addStretch(1);
  outer->addLayout(column, 4);
  outer->addStretch(1);
  auto* title = makeWords(Text::Title, "new_title");
  title->setText(tr("A study from your files"));
  auto* finding = makeWords(Text::Finding, "new_finding");
  finding->setText(tr("Census blocks make the map; address points tell how many doors nobody has looked at; streets place what has no point; your log of visits tells where you have been."));
  const auto field = [&](const QString& words, QLineEdit* edit, const char* name) {
    auto* label = new QLabel(words);
    label->setBuddy(edit);
    edit->setObjectName(name);
    edit->setAccessibleName(QString(words).remove(QLatin1Char('&')));
    column->addWidget(label);
    column->addWidget(edit);
  };
  column->addSpacing(4 * kGrid);
  column->addWidget(title);
  column->addWidget(finding);
  field(tr("What is the area &called?"), name_, "new_name");
  field(tr("Where the study &lies (a new folder)"), folder_, "new_folder");
  column->addWidget(tray_);
  column->addWidget(said_);
  auto* row = new QHBoxLayout;
  auto* leave = makeButton(tr("&Leave"), "new_leave");
  row->addWidget(make_);
  row->addWidget(leave);
  row->addStretch(1);
  column->addLayout(row);
  column->addStretch(1);
  connect(name_, &QLineEdit::textEdited, this, [this](const QString& name) {
    folder_->setText(QStandardPaths::writableLocation(QStandardPaths::DocumentsLocation) + QLatin1Char('/') + QString(name).replace(QLatin1Char('/'), QLatin1Char(' ')).trimmed());
  });
  connect(make_, &QPushButton::clicked, this, &NewStudyPage::make);
  connect(leave, &QPushButton::clicked, this, &NewStudyPage::left);
  connect(&room.jobs(), &Jobs::ended, this, [this](const QString& problem, bool stopped) {
    if (isVisible() && !problem.isEmpty() && !stopped) said_->setText(problem);
  });
}

QString NewStudyPage::folder() const { return folder_->text().trimmed(); }

void NewStudyPage::begin() {
  is_made_ = false;
  said_->clear();
  make_->setText(tr("&Make the study"));
  name_->setFocus(Qt::OtherFocusReason);
}

void NewStudyPage::make() {
  if (name_->text().trimmed().isEmpty() || folder().isEmpty()) return said_->setText(tr("Say first what the area is called."));
  if (!tray_->hasOpen() && !is_made_) return said_->setText(tr("Add first the files that the study is made from."));
  const auto take = [this] { tray_->takeInto(folder().toStdString(), [this](const std::vector<TakenFile>& taken) { afterFiles(taken.size()); }); };
  if (is_made_) return tray_->hasOpen() ? take() : afterFiles(0);
  room_.jobs().start<bool>(
      this, tr("Making the study"),
      [request = study::NewStudyRequest{.folder = folder().toStdString(), .name = name_->text().trimmed().toStdString(), .area_file = {}}](Progress& progress) -> Result<bool> {
        LEEWARD_TRY(study::newStudy(request, progress));
        return true;
      },
      [this, take](bool) {
        is_made_ = true;
        make_->setText(tr("&Go on"));
        take();
      });
}

void NewStudyPage::afterFiles(std::size_t taken) {
  const auto study = study::readStudyFile(folder().toStdString());
  if (!study) return said_->setText(QString::fromStdString(study.problem().text()));
  const QString missing = missingWords(*study);
  if (!missing.isEmpty()) return said_->setText(missing);
  if (taken > 0 && tray_->hasOpen()) return said_->setText(tr("Some files raise a question, or could not be read: answer it or leave them aside, then go on."));
  room_.open(folder().toStdString());
}

}  // namespace leeward::window
