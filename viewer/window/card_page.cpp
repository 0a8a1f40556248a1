#include "viewer/window/card_page.h"

#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>
#include <set>

#include "viewer/window/answer_page.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr std::size_t kAnimalsNamed = 12;

QString dayIn(const std::string& iso) {
  const auto day = parseIsoDate(iso);
  return day ? QString::fromStdString(toWords(*day)) : CardPage::tr("a day not known");
}

QString animalWords(const study::AnimalCard& animal) {
  QStringList words;
  words += animal.name.empty() ? CardPage::tr("a %1 without a name").arg(QString::fromStdString(animal.kind)) : QString::fromStdString(animal.name + ", " + animal.kind);
  if (!animal.sex.empty()) words += QString::fromStdString(animal.sex);
  if (animal.altered == "yes") words += CardPage::tr("neutered");
  words += animal.first_met.empty() ? CardPage::tr("never met") : CardPage::tr("first met on %1").arg(dayIn(animal.first_met));
  words += CardPage::tr("last seen on %1").arg(dayIn(animal.last_seen));
  return words.join(QStringLiteral(", "));
}

}  // namespace

CardPage::CardPage(Workroom& room, QWidget* parent)
    : QWidget(parent),
      room_(room),
      title_(makeWords(Text::Title, "card_title")),
      finding_(makeWords(Text::Finding, "card_finding")),
      animals_(makeWords(Text::Body, "card_animals")),
      look_(makeWords(Text::Body, "card_look")),
      list_(new RowList(tr("Looks, the latest first"))) {
  setObjectName("card_page");
  auto* page = new QVBoxLayout(this);
  page->setContentsMargins(2 * kGrid, kGrid, 2 * kGrid, kGrid);
  page->setSpacing(kGrid);
  auto* done = makeButton(tr("&Back"), "card_done");
  page->addWidget(title_);
  page->addWidget(finding_);
  page->addWidget(animals_);
  page->addWidget(list_, 1);
  page->addWidget(look_);
  auto* caution = makeWords(Text::Small, "card_caution", true);
  caution->setText(tr("Holds client data: for the crew alone. Permission before entering; go in pairs; a hazard on record goes onto the door sheet."));
  page->addWidget(caution);
  page->addWidget(done, 0, Qt::AlignLeft);
  connect(done, &QPushButton::clicked, this, &CardPage::finished);
  connect(list_, &RowList::chosen, this, [this](int row, qint64) { showLook(row); });
}

void CardPage::open(const QString& title, std::vector<std::string> premises) { read(title, {room_.folder(), std::move(premises), {}}); }
void CardPage::openLooks(const QString& title, std::vector<std::string> looks) { read(title, {room_.folder(), {}, std::move(looks)}); }

void CardPage::read(const QString& title, study::HistoryRequest request) {
  of_looks_ = !request.looks.empty();
  title_->setText(title);
  finding_->setText(tr("Reading the record …"));
  animals_->clear();
  look_->clear();
  list_->setRows({}, {}, {});
  setFocus(Qt::OtherFocusReason);
  room_.jobs().look<study::History>(
      this, QStringLiteral("card"),
      [request = std::move(request)](Progress& progress) { return study::historyOf(request, progress); },
      [this](const study::History& history) { show(history); }, [this](const Problem& problem) { finding_->setText(QString::fromStdString(problem.text())); });
}

void CardPage::show(const study::History& history) {
  history_ = history;
  const Table& looks = history_.looks;
  std::set<std::string> doors;
  for (std::size_t row = 0; row < looks.rows(); ++row) doors.insert(looks.find("premises_id")->asText(row));
  QStringList words;
  words += looks.rows() == 0 ? tr("Nobody has looked here, as far as the record tells.")
                             : tr("%1 at %2, the last on %3.").arg(counted(static_cast<std::int64_t>(looks.rows()), tr("look"), tr("looks")), counted(static_cast<std::int64_t>(doors.size()), tr("door"), tr("doors")), dayIn(looks.find("date")->asText(0)));
  if (!history_.asked_not_to_return.empty()) words += (doors.size() > 1 ? tr("A door here asked nobody to return, on %1.") : tr("Asked nobody to return, on %1.")).arg(dayIn(history_.asked_not_to_return));
  if (doors.size() == 1 && !of_looks_) words += history_.permission.empty() ? tr("No permission is on record.") : tr("Permission: %1.").arg(QString::fromStdString(history_.permission));
  if (!history_.hazard.empty()) words += tr("Hazard: %1.").arg(QString::fromStdString(history_.hazard));
  finding_->setText(words.join(QLatin1Char(' ')));
  QStringList animals;
  for (std::size_t i = 0; i < history_.animals.size() && i < kAnimalsNamed; ++i) animals += animalWords(history_.animals[i]);
  if (history_.animals.size() > kAnimalsNamed) animals += tr("and %1 more").arg(history_.animals.size() - kAnimalsNamed);
  animals_->setText(animals.join(QLatin1Char('\n')));
  animals_->setVisible(!animals.isEmpty());
  list_->setRows(
      std::vector<qint64>(looks.rows(), -1),
      [this](std::size_t row) {
        const Table& shown = history_.looks;
        const QString detail = QString::fromStdString(shown.find("detail")->asText(row));
        return Row{shortDay(shown.find("date")->asText(row)), cell(shown, "what", row), cell(shown, "address", row) + QLatin1Char('\n') + detail.section(QLatin1Char('\n'), 0, 0), false};
      },
      QStringLiteral("88 Mmm 8888"));
}

void CardPage::showLook(int row) {
  const auto at = static_cast<std::size_t>(row);
  if (row < 0 || at >= history_.looks.rows()) return;
  const QString crew = QString::fromStdString(history_.looks.find("crew")->asText(at));
  look_->setText((crew.isEmpty() ? QString() : tr("crew %1\n").arg(crew)) + QString::fromStdString(history_.looks.find("detail")->asText(at)));
}

void CardPage::keyPressEvent(QKeyEvent* event) {
  if (event->key() == Qt::Key_Escape) emit finished();
  else QWidget::keyPressEvent(event);
}

}  // namespace leeward::window
