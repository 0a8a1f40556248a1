#include "viewer/window/start_page.h"

#include <initializer_list>

#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QVBoxLayout>

#include "viewer/window/style.h"
#include "viewer/window/workroom.h"

namespace leeward::window {

StartPage::StartPage(Workroom& room, QWidget* parent)
    : QWidget(parent),
      message_(makeWords(Text::Finding, "message")),
      bar_(new QProgressBar),
      sample_(makeButton(tr("Look around in the &sample town"), "sample")),
      new_(makeButton(tr("&Begin a study from my files …"), "new")),
      open_(makeButton(tr("&Open a study …"), "open")),
      stop_(makeButton(tr("S&top"), "start_stop")) {
  auto* across = new QHBoxLayout(this);
  auto* page = new QVBoxLayout;
  page->setSpacing(2 * kGrid);
  across->addStretch(1);
  across->addLayout(page, 3);
  across->addStretch(1);
  auto* title = makeWords(Text::Title, "start_title");
  title->setText(tr("Where have you been, and where has nobody looked?"));
  say({});
  bar_->setRange(0, 1000);
  bar_->setTextVisible(false);
  bar_->setAccessibleName(tr("Progress"));
  page->addStretch(2);
  for (QWidget* widget : std::initializer_list<QWidget*>{title, message_, bar_, sample_, new_, open_, stop_}) {
    page->addWidget(widget);  // without an alignment, or wrapped words would be cut
  }
  page->addStretch(3);
  showBusy(room.jobs().isBusy());
  connect(sample_, &QPushButton::clicked, this, &StartPage::sampleAsked);
  connect(new_, &QPushButton::clicked, this, &StartPage::newAsked);
  connect(open_, &QPushButton::clicked, this, &StartPage::openAsked);
  connect(stop_, &QPushButton::clicked, &room.jobs(), &Jobs::stop);
  connect(&room.jobs(), &Jobs::began, this, [this](const QString& work) {
    bar_->setValue(0);
    say(work + QStringLiteral(" …"));
    showBusy(true);
  });
  connect(&room.jobs(), &Jobs::progressed, this, [this](double fraction, const QString& message) {
    bar_->setValue(static_cast<int>(fraction * 1000));
    if (!message.isEmpty()) say(message + QStringLiteral(" …"));
  });
  connect(&room.jobs(), &Jobs::ended, this, [this, &room](const QString& problem, bool stopped) {
    showBusy(room.jobs().isBusy());
    if (stopped) say(tr("Stopped. What was finished by then is kept."));
    else if (!problem.isEmpty()) say(problem);
  });
}

void StartPage::say(const QString& words) {
  message_->setText(words.isEmpty() ? tr("A study is one team's area: its streets and doors, its record, and what the record says. It stays on this computer.") : words);
}

void StartPage::showBusy(bool busy) {
  for (QWidget* widget : std::initializer_list<QWidget*>{bar_, stop_}) widget->setVisible(busy);
  for (QWidget* widget : std::initializer_list<QWidget*>{sample_, new_, open_}) widget->setVisible(!busy);
}

}  // namespace leeward::window
