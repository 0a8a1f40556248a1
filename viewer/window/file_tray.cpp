#include "viewer/window/file_tray.h"

#include <QComboBox>
#include <QDragEnterEvent>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QMimeData>
#include <QPushButton>
#include <QUrl>
#include <QVBoxLayout>
#include <algorithm>

#include "shared/base/files.h"
#include "viewer/study/study_file.h"
#include "viewer/study/take_in.h"
#include "viewer/window/style.h"
#include "viewer/window/workroom.h"

namespace leeward::window {
namespace {

QString kindWords(const std::string& kind) {
  if (kind == "visits") return FileCard::tr("the crews' visits");
  if (kind == "sightings") return FileCard::tr("sightings of dogs");
  if (kind == "photos") return FileCard::tr("photos");
  return QString::fromStdString(study::layerLabel(kind));
}

/// What a file of this name is to be taken with, from the card.
struct Wanted {
  std::size_t card = 0;
  study::TakeInRequest request;
};

/// What became of one: a card's words, a question, or what it takes to undo it.
struct Became {
  std::size_t card = 0;
  QString words, question;
  std::vector<std::pair<QString, std::string>> answers;
  bool is_problem = false, is_taken = false;
  TakenFile taken;
};

void askOf(const Problem& problem, const std::string& kind, Became& became) {
  if (kind == "weather" && problem.what.find("unit") != std::string::npos) {
    became.question = FileCard::tr("Temperatures are in");
    became.answers = {{FileCard::tr("degrees Fahrenheit"), "F"}, {FileCard::tr("degrees Celsius"), "C"}};
  } else if (kind == "heat" && problem.mend.find("--measures") != std::string::npos) {
    became.question = FileCard::tr("The layer measures");
    became.answers = {{FileCard::tr("the land's surface"), "land surface"}, {FileCard::tr("the air"), "air"}, {FileCard::tr("an index"), "index"}, {FileCard::tr("something that stands for heat"), "proxy"}};
  }
}

Became takeOne(const Wanted& wanted, Progress& progress) {
  Became became;
  became.card = wanted.card;
  const auto settings = readFile(wanted.request.folder / "study.toml");
  auto outcome = study::takeIn(wanted.request, progress);
  if (!outcome) {
    became.is_problem = true;
    became.words = QString::fromStdString(outcome.problem().text());
    askOf(outcome.problem(), wanted.request.kind, became);
    return became;
  }
  became.is_taken = true;
  QStringList lines;
  for (const auto& line : study::describe(wanted.request, *outcome)) lines += QString::fromStdString(line).trimmed();
  if (const auto refused = outcome->report.refusedRows(); refused > 0) {
    lines += FileCard::tr("%1 rows were refused, each with its reason in %2.").arg(refused).arg(QString::fromStdString(outcome->refused_file));
  }
  became.words = lines.join(QLatin1Char('\n'));
  const auto lacks_scale = [](const RefusedRow& row) { return row.reason.find("without its scale") != std::string::npos; };
  if (std::ranges::any_of(outcome->report.refused, lacks_scale)) {
    became.is_taken = false;  // the rows that lack it come in once a person has said which scale it is
    became.question = FileCard::tr("Body condition is scored by");
    became.answers = {{FileCard::tr("1 ideal to 5 emaciated"), "five_ideal_first"}, {FileCard::tr("1 thin to 5 fat"), "five_thin_first"}, {FileCard::tr("1 thin to 9 fat"), "nine_thin_first"}};
  }
  became.taken = {std::filesystem::path(wanted.request.file).filename().string(), wanted.request.kind, outcome->is_crew_file && !outcome->ledger.same_file_before ? outcome->ledger.import_id : "",
                  outcome->is_crew_file || !settings ? "" : *settings};
  return became;
}

}  // namespace

FileCard::FileCard(const study::Proposal& proposal, QWidget* parent)
    : QWidget(parent), proposal_(proposal), kind_(new QComboBox), answer_(new QComboBox), why_(makeWords(Text::Small, "why", true)), said_(makeWords(Text::Small, "card_said")) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, kGrid, 0, kGrid);
  column->setSpacing(kGrid / 2);
  const QString name = QString::fromStdString(proposal.file.filename().string() + (proposal.layer.empty() ? "" : ", " + proposal.layer));
  auto* heading = makeWords(Text::Body, "file");
  heading->setText(name);
  kind_->setObjectName("kind");
  kind_->setFont(fontFor(Text::Body));
  kind_->setAccessibleName(tr("What %1 is").arg(name));
  kind_->addItem(tr("leave it aside"), QString());
  std::vector<std::string> kinds = {"visits", "sightings"};
  kinds.insert(kinds.end(), study::layerKinds().begin(), study::layerKinds().end());
  for (const auto& kind : kinds) kind_->addItem(kindWords(kind), QString::fromStdString(kind));
  const bool likely = proposal.confidence >= study::kLikelyProposal;
  kind_->setCurrentIndex(likely ? std::max(0, kind_->findData(QString::fromStdString(proposal.kind))) : 0);
  answer_->setAccessibleName(tr("Answer for %1").arg(name));
  answer_->setFont(fontFor(Text::Body));
  answer_->hide();
  QStringList words;
  if (!proposal.kind.empty()) words += (likely ? tr("It looks like %1: %2") : tr("It may be %1: %2")).arg(kindWords(proposal.kind), QString::fromStdString(proposal.why));
  else words += QString::fromStdString(proposal.why);
  for (const auto& shown : proposal.shown) words += QString::fromStdString(shown);
  why_->setText(words.join(QLatin1Char('\n')));
  said_->hide();
  auto* row = new QHBoxLayout;
  row->addWidget(heading, 1);
  row->addWidget(kind_);
  column->addLayout(row);
  column->addWidget(why_);
  column->addWidget(answer_);
  column->addWidget(said_);
}

std::string FileCard::kind() const { return kind_->currentData().toString().toStdString(); }
std::string FileCard::answer() const { return answer_->currentData().toString().toStdString(); }

void FileCard::tell(const QString& words, bool is_problem) {
  said_->setText(words);
  said_->setVisible(!words.isEmpty());
  QPalette palette = said_->palette();
  palette.setColor(QPalette::WindowText, is_problem ? draw::kAccent : draw::ground::kInk);
  said_->setPalette(palette);
}

void FileCard::ask(const QString& question, const std::vector<std::pair<QString, std::string>>& answers) {
  answer_->clear();
  answer_->addItem(question + QStringLiteral(" …"), QString());
  for (const auto& [words, value] : answers) answer_->addItem(QStringLiteral("%1 %2").arg(question, words), QString::fromStdString(value));
  answer_->show();
}

FileTray::FileTray(Workroom& room, QWidget* parent) : QWidget(parent), room_(room), cards_layout_(new QVBoxLayout) {
  setObjectName("tray");
  setAcceptDrops(true);
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(kGrid);
  auto* buttons = new QHBoxLayout;
  auto* files = makeButton(tr("Choose &files …"), "pick_files");
  auto* folder = makeButton(tr("Choose a fol&der …"), "pick_folder");
  buttons->addWidget(files);
  buttons->addWidget(folder);
  buttons->addStretch(1);
  auto* words = makeWords(Text::Small, "drop_here", true);
  words->setText(tr("Or drop them here. Spreadsheets, CSV, shapefiles, GeoPackages, rasters, whatever they are called; nothing is taken in before you have seen what it is taken for."));
  column->addLayout(buttons);
  column->addWidget(words);
  column->addLayout(cards_layout_);
  connect(files, &QPushButton::clicked, this, [this] { pick(false); });
  connect(folder, &QPushButton::clicked, this, [this] { pick(true); });
}

void FileTray::pick(bool folder) {
  const QStringList picked = folder ? QStringList(QFileDialog::getExistingDirectory(this, tr("A folder with files"))) : QFileDialog::getOpenFileNames(this, tr("Files to bring in"));
  add(picked);
}

void FileTray::add(const QStringList& paths) {
  std::vector<std::filesystem::path> files;
  for (const QString& path : paths) {
    if (!path.isEmpty()) files.emplace_back(path.toStdString());
  }
  if (files.empty()) return;
  room_.jobs().start<std::vector<study::Proposal>>(
      this, tr("Looking at the files"), [files](Progress& progress) { return study::lookAtFiles(files, progress); }, [this](const std::vector<study::Proposal>& proposals) { show(proposals); });
}

void FileTray::show(const std::vector<study::Proposal>& proposals) {
  for (const auto& proposal : proposals) {
    const bool known = std::ranges::any_of(cards_, [&](const FileCard* card) { return card->proposal().source() == proposal.source() && !card->isTaken(); });
    if (known) continue;
    auto* card = new FileCard(proposal);
    cards_.push_back(card);
    cards_layout_->addWidget(card);
  }
  emit changed();
}

bool FileTray::hasOpen() const {
  return std::ranges::any_of(cards_, [](const FileCard* card) { return !card->isTaken() && !card->kind().empty(); });
}

void FileTray::takeInto(const std::filesystem::path& folder, std::function<void(std::vector<TakenFile>)> done) {
  std::vector<Wanted> wanted;
  for (std::size_t i = 0; i < cards_.size(); ++i) {
    if (cards_[i]->isTaken() || cards_[i]->kind().empty()) continue;
    Wanted one{i, {}};
    one.request.folder = folder, one.request.kind = cards_[i]->kind(), one.request.file = cards_[i]->proposal().source();
    const std::string answer = cards_[i]->answer();
    if (one.request.kind == "weather") one.request.unit = answer;
    else if (one.request.kind == "heat") one.request.heat_kind = answer;
    else if (!answer.empty()) one.request.map = "scale=" + answer;
    wanted.push_back(std::move(one));
  }
  const auto is_crew = [](const Wanted& one) { return one.request.kind == "visits" || one.request.kind == "sightings"; };
  std::ranges::stable_partition(wanted, [&](const Wanted& one) { return !is_crew(one); });  // a log is judged by the streets that are there
  room_.jobs().start<std::vector<Became>>(
      this, tr("Taking in"),
      [wanted](Progress& progress) -> Result<std::vector<Became>> {
        std::vector<Became> all;
        for (std::size_t i = 0; i < wanted.size(); ++i) {
          const auto n = static_cast<double>(wanted.size());
          progress.report(static_cast<double>(i) / n, "Taking in " + std::filesystem::path(wanted[i].request.file).filename().string());
          if (progress.stopRequested()) break;  // what went in stays, and is told
          auto part = progress.part(static_cast<double>(i) / n, static_cast<double>(i + 1) / n);
          all.push_back(takeOne(wanted[i], part));
        }
        return all;
      },
      [this, done](const std::vector<Became>& all) {
        std::vector<TakenFile> taken;
        for (const Became& one : all) {
          FileCard* card = cards_[one.card];
          card->tell(one.words, one.is_problem);
          if (!one.question.isEmpty()) card->ask(one.question, one.answers);
          if (one.is_taken) card->setTaken();
          if (!one.is_problem) taken.push_back(one.taken);
        }
        emit changed();
        done(taken);
      });
}

QStringList filesOf(const QMimeData& dragged) {
  QStringList files;
  for (const QUrl& url : dragged.urls()) {
    if (url.isLocalFile()) files += url.toLocalFile();
  }
  return files;
}

void FileTray::dragEnterEvent(QDragEnterEvent* event) {
  if (!filesOf(*event->mimeData()).isEmpty()) event->acceptProposedAction();
}

void FileTray::dropEvent(QDropEvent* event) {
  event->acceptProposedAction();
  add(filesOf(*event->mimeData()));
}

}  // namespace leeward::window
