#include "viewer/window/job_strip.h"

#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QVBoxLayout>

#include "viewer/window/style.h"
#include "viewer/window/workroom.h"

namespace leeward::window {

JobStrip::JobStrip(Workroom& room, QWidget* parent)
    : QWidget(parent), doing_(makeWords(Text::Small, "doing")), said_(makeWords(Text::Small, "said")), bar_(new QProgressBar), stop_(makeButton(tr("S&top"), "stop")) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(2 * kGrid, 0, 2 * kGrid, kGrid);
  column->setSpacing(kGrid / 2);
  auto* row = new QHBoxLayout;
  row->addWidget(doing_, 1);
  row->addWidget(stop_);
  column->addWidget(bar_);
  column->addLayout(row);
  column->addWidget(said_);
  bar_->setRange(0, 1000);
  bar_->setTextVisible(false);
  bar_->setAccessibleName(tr("Progress"));
  const auto busy = [this](bool is) {
    for (QWidget* widget : {static_cast<QWidget*>(bar_), static_cast<QWidget*>(doing_), static_cast<QWidget*>(stop_)}) widget->setVisible(is);
  };
  busy(room.jobs().isBusy());
  doing_->setText(room.jobs().title());
  said_->hide();
  connect(&room.jobs(), &Jobs::began, this, [this, busy](const QString& title) {
    bar_->setValue(0);
    doing_->setText(title + QStringLiteral(" …"));
    said_->clear();
    said_->hide();
    busy(true);
  });
  connect(&room.jobs(), &Jobs::progressed, this, [this](double fraction, const QString& message) {
    bar_->setValue(static_cast<int>(fraction * 1000));
    if (!message.isEmpty()) doing_->setText(message + QStringLiteral(" …"));
  });
  connect(&room.jobs(), &Jobs::ended, this, [this, busy, &room](const QString& problem, bool stopped) {
    busy(room.jobs().isBusy());
    if (stopped) said_->setText(tr("Stopped. What was finished by then is kept."));
    else if (!problem.isEmpty()) said_->setText(problem);
    said_->setVisible(stopped || !problem.isEmpty() || !said_->text().isEmpty());
  });
  connect(&room, &Workroom::said, this, [this](const QString& words) {
    said_->setText(words);
    said_->setVisible(!words.isEmpty());
  });
  connect(stop_, &QPushButton::clicked, &room.jobs(), &Jobs::stop);
}

}  // namespace leeward::window
