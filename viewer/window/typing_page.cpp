#include "viewer/window/typing_page.h"

#include <QAbstractItemView>
#include <QComboBox>
#include <QCompleter>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QPointer>
#include <QPushButton>
#include <QShortcut>
#include <algorithm>

#include "shared/base/dates.h"
#include "viewer/study/crew_template.h"
#include "viewer/window/check_grid.h"
#include "viewer/window/style.h"
#include "viewer/window/workroom.h"

namespace leeward::window {
namespace {

const std::vector<const char*> kDay = {"date", "crew"};
const std::vector<const char*> kDoor = {"number", "street", "place", "time", "look", "why_here", "door_result", "note_left", "permission_by", "permission_for", "permission_until", "dogs_seen", "dogs_met"};
const std::vector<const char*> kAnimal = {"dog_name", "kind", "sex", "age", "altered", "description", "body_condition", "body_scale"};
const std::vector<const char*> kAfter = {"treatment", "outcome"};
const std::vector<const char*> kEnd = {"done", "promised", "return_by", "referred_to", "photos", "hazard", "household", "phone", "notes"};
/// What stays for the next door: crews work along a street, on one day, in one way.
const std::vector<std::string> kStay = {"date", "crew", "street", "place", "look", "why_here", "body_scale", "kind"};

QString wordsOf(const std::string& field) { return QString::fromStdString(field).replace(QLatin1Char('_'), QLatin1Char(' ')); }

const importers::TemplateColumn* columnOf(const std::string& field) {
  static const auto kColumns = importers::templateColumns(importers::Kind::Visits, importers::Language::English);
  const auto found = std::ranges::find_if(kColumns, [&](const auto& column) { return column.field == field; });
  return found == kColumns.end() ? nullptr : &*found;
}

}  // namespace

TypingPage::TypingPage(Workroom& room, QWidget* parent)
    : QWidget(parent), room_(room), checks_(new CheckGrid), finding_(makeWords(Text::Finding, "typing_finding")), said_(makeWords(Text::Body, "typing_said")) {
  setObjectName("typing_page");
  auto* page = new QVBoxLayout(this);
  page->setContentsMargins(2 * kGrid, kGrid, 2 * kGrid, kGrid);
  page->setSpacing(kGrid);
  auto* title = makeWords(Text::Title, "typing_title");
  title->setText(tr("What happened at each door?"));
  auto* keys = makeWords(Text::Small, "typing_keys", true);
  keys->setText(tr("Enter: next field. Ctrl+Enter: keep the visit. Ctrl+D: another animal here. Ctrl+Z: take the last visit back. Esc: done. In the check: M met, U unmet, N not seen, A all others met."));
  for (QWidget* widget : {static_cast<QWidget*>(title), static_cast<QWidget*>(finding_), static_cast<QWidget*>(said_), static_cast<QWidget*>(keys)}) page->addWidget(widget);
  const auto section = [&](const QString& heading, const std::vector<const char*>& fields) {
    auto* words = makeWords(Text::Body, "section");
    words->setText(heading);
    page->addWidget(words);
    QFont strong = words->font();
    strong.setWeight(QFont::DemiBold);
    words->setFont(strong);
    auto* form = new QGridLayout;
    form->setHorizontalSpacing(2 * kGrid);
    form->setVerticalSpacing(2);
    form->setColumnStretch(0, 1);
    form->setColumnStretch(1, 1);
    addFields(form, fields);
    page->addLayout(form);
  };
  section(tr("The day"), kDay);
  section(tr("The door"), kDoor);
  section(tr("An animal that was met"), kAnimal);
  page->addWidget(checks_);
  section(tr("What was given to it, and what became of it"), kAfter);
  section(tr("Before leaving"), kEnd);
  auto* row = new QHBoxLayout;
  auto* keep = makeButton(tr("&Keep the visit"), "typing_keep");
  auto* more = makeButton(tr("&Another animal here"), "typing_more");
  auto* done = makeButton(tr("&Done"), "typing_done");
  for (QPushButton* button : {keep, more, done}) row->addWidget(button);
  page->addLayout(row);
  connect(keep, &QPushButton::clicked, this, &TypingPage::keepVisit);
  connect(more, &QPushButton::clicked, this, &TypingPage::nextAnimal);
  connect(done, &QPushButton::clicked, this, &TypingPage::finished);
  for (const auto& keys_of : {QKeySequence(Qt::CTRL | Qt::Key_Return), QKeySequence(Qt::CTRL | Qt::Key_Enter)}) {
    connect(new QShortcut(keys_of, this, nullptr, nullptr, Qt::WidgetWithChildrenShortcut), &QShortcut::activated, this, &TypingPage::keepVisit);
  }
  connect(new QShortcut(QKeySequence(Qt::CTRL | Qt::Key_D), this, nullptr, nullptr, Qt::WidgetWithChildrenShortcut), &QShortcut::activated, this, &TypingPage::nextAnimal);
}

QWidget* TypingPage::makeField(const std::string& field) {
  const auto* column = columnOf(field);
  QWidget* made = nullptr;
  if (column != nullptr && !column->choices.empty()) {
    auto* choices = new QComboBox;
    choices->addItem(QString());
    for (const auto& choice : column->choices) choices->addItem(wordsOf(choice), QString::fromStdString(choice));
    made = choices;
  } else {
    made = new QLineEdit;
  }
  made->setObjectName("typed_" + QString::fromStdString(field));
  made->setFont(fontFor(Text::Body));
  made->setAccessibleName(wordsOf(field));
  if (column != nullptr) made->setToolTip(QString::fromUtf8(column->meaning.data(), static_cast<qsizetype>(column->meaning.size())));
  if (field == "photos") made->setToolTip(tr("Picture files, ; between: each is kept by its hash, the picture itself stays where it is"));
  made->installEventFilter(this);
  return made;
}

void TypingPage::addFields(QGridLayout* form, const std::vector<const char*>& fields) {
  int at = 0;
  for (const char* field : fields) {
    QWidget* made = makeField(field);
    auto* label = new QLabel(wordsOf(field));
    label->setFont(fontFor(Text::Small));
    label->setBuddy(made);
    form->addWidget(label, at / 2 * 2, at % 2);
    form->addWidget(made, at / 2 * 2 + 1, at % 2);
    ++at;
    fields_[field] = made;
  }
}

void TypingPage::begin(const QStringList& streets) {
  kept_ = 0;
  animals_.clear();
  auto* completer = new QCompleter(streets, this);
  completer->setCaseSensitivity(Qt::CaseInsensitive);
  completer->setFilterMode(Qt::MatchContains);
  completer->popup()->setFont(fontFor(Text::Body));
  static_cast<QLineEdit*>(fields_["street"])->setCompleter(completer);
  if (value("date").isEmpty()) setValue("date", QString::fromStdString(toIso(today())));
  if (value("look").isEmpty()) setValue("look", QStringLiteral("knock"));
  if (value("why_here").isEmpty()) setValue("why_here", QStringLiteral("planned"));
  say({});
  tell();
  fields_[value("crew").isEmpty() ? "date" : "number"]->setFocus(Qt::OtherFocusReason);
}

QString TypingPage::value(const std::string& field) const {
  QWidget* widget = fields_.at(field);
  if (const auto* choices = qobject_cast<QComboBox*>(widget)) return choices->currentData().toString();
  return static_cast<QLineEdit*>(widget)->text().trimmed();
}

void TypingPage::setValue(const std::string& field, const QString& text) {
  if (auto* choices = qobject_cast<QComboBox*>(fields_.at(field))) choices->setCurrentIndex(std::max(0, choices->findData(text)));
  else static_cast<QLineEdit*>(fields_.at(field))->setText(text);
}

study::TypedRow TypingPage::animal() const {
  study::TypedRow row;
  for (const auto* fields : {&kAnimal, &kAfter}) {
    for (const char* field : *fields) {
      if (!value(field).isEmpty()) row.emplace_back(field, value(field).toStdString());
    }
  }
  const auto said = checks_->said();
  row.insert(row.end(), said.begin(), said.end());
  const bool only_kept = std::ranges::all_of(row, [](const auto& cell) { return cell.first == "kind" || cell.first == "body_scale"; });
  return only_kept ? study::TypedRow{} : row;
}

void TypingPage::nextAnimal() {
  const auto row = animal();
  if (row.empty()) return say(tr("Say first something of the animal that is in hand."));
  animals_.push_back(row);
  clearAnimal();
  tell();
  fields_["dog_name"]->setFocus(Qt::OtherFocusReason);
}

void TypingPage::keepVisit() {
  if (is_keeping_) return;
  if (value("number").isEmpty() && value("street").isEmpty()) {
    say(tr("Say first at which door: its number and street."));
    return fields_["number"]->setFocus(Qt::OtherFocusReason);
  }
  auto rows = animals_;
  if (const auto last = animal(); !last.empty() || rows.empty()) rows.push_back(last);
  study::TypedRow door;
  for (const auto* fields : {&kDay, &kDoor, &kEnd}) {
    for (const char* field : *fields) {
      const std::string name = field;
      if (name != "number" && name != "street" && name != "photos" && !value(name).isEmpty()) door.emplace_back(name, value(name).toStdString());
    }
  }
  const QString address = (value("number") + QLatin1Char(' ') + value("street")).trimmed();
  door.emplace_back("address", address.toStdString());
  for (auto& row : rows) row.insert(row.begin(), door.begin(), door.end());
  study::TypeInRequest request{room_.folder(), std::move(rows), {}};
  for (const QString& photo : value("photos").split(QLatin1Char(';'), Qt::SkipEmptyParts)) request.photos.emplace_back(photo.trimmed().toStdString());
  is_keeping_ = true;
  room_.jobs().look<study::TypeInOutcome>(
      this, QStringLiteral("typing"), [request](Progress& progress) { return study::typeIn(request, progress); },
      [this, address](const study::TypeInOutcome& typed) {
        is_keeping_ = false;
        ++kept_;
        clearDoor();
        say(tr("Kept: %1.").arg(address));
        tell();
        Workroom* workroom = &room_;
        workroom->change(tr("the visit at %1").arg(address), {}, [guard = QPointer<TypingPage>(this), workroom, folder = workroom->folder(), typed] {
          workroom->jobs().start<bool>(
              workroom, tr("Taking the visit back"),
              [folder, typed](Progress& progress) -> Result<bool> {
                LEEWARD_TRY(study::takeTypedBack(folder, typed, progress));
                return true;
              },
              [guard, workroom](bool) {
                if (!guard || !guard->isVisible()) workroom->bringUpToDate();
              });
        });
      },
      [this](const Problem& problem) {
        is_keeping_ = false;
        say(tr("Not kept: %1").arg(QString::fromStdString(problem.text())));
      });
}

void TypingPage::clearAnimal() {
  for (const auto* fields : {&kAnimal, &kAfter}) {
    for (const char* field : *fields) {
      if (std::ranges::find(kStay, field) == kStay.end()) setValue(field, {});
    }
  }
  checks_->forget();
}

void TypingPage::clearDoor() {
  animals_.clear();
  clearAnimal();
  for (const auto* fields : {&kDoor, &kEnd}) {
    for (const char* field : *fields) {
      if (std::ranges::find(kStay, field) == kStay.end()) setValue(field, {});
    }
  }
  fields_["number"]->setFocus(Qt::OtherFocusReason);
}

void TypingPage::say(const QString& words) {
  said_->setText(words);
  said_->setVisible(!words.isEmpty());
}

void TypingPage::tell() {
  finding_->setText(kept_ == 0 && animals_.empty() ? tr("Day, crew and street stay from door to door.")
                    : animals_.empty()             ? tr("Kept this evening: %1. Day, crew and street stay.").arg(kept_)
                                                   : tr("At this door so far: %1 animals; the next one is in hand.").arg(animals_.size()));
}

bool TypingPage::eventFilter(QObject* watched, QEvent* event) {
  if (event->type() == QEvent::KeyPress) {
    const auto* key = static_cast<QKeyEvent*>(event);
    const bool enter = key->key() == Qt::Key_Return || key->key() == Qt::Key_Enter;
    const auto* combo = qobject_cast<QComboBox*>(watched);
    if (enter && key->modifiers() == Qt::NoModifier && (combo == nullptr || !combo->view()->isVisible())) {
      focusNextChild();
      return true;
    }
  }
  return QWidget::eventFilter(watched, event);
}

void TypingPage::keyPressEvent(QKeyEvent* event) {
  if (event->key() == Qt::Key_Escape) emit finished();
  else QWidget::keyPressEvent(event);
}

}  // namespace leeward::window
