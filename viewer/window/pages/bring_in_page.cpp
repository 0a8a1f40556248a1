// Bring in: the team's files and public layers, and the addresses that are not clear.
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "viewer/window/answer_page.h"
#include "viewer/window/pages.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

class BringInPage : public AnswerPage {
 public:
  explicit BringInPage(Workroom& room) : AnswerPage(room, tr("What came in, and is it clear?")), settle_(makeButton({}, "settle")) {
    body().addWidget(settle_);
    body().addStretch(1);
    connect(settle_, &QPushButton::clicked, &room, &Workroom::addressesAsked);
  }

  void refresh() override {
    const auto& totals = room().findings()->totals;
    setFinding(tr("The record holds %1 looks and %2 sightings; it ends on %3. %4 addresses are not clear, and %5 rows of the files could not be used.")
                   .arg(totals.looks)
                   .arg(totals.sightings)
                   .arg(room().findings()->record_ends ? QString::fromStdString(toWords(*room().findings()->record_ends)) : tr("no day"))
                   .arg(totals.undecided)
                   .arg(totals.refused_rows));
    settle_->setVisible(totals.undecided > 0);
    settle_->setText(totals.undecided == 1 ? tr("&Settle one address that is not clear") : tr("&Settle %1 addresses that are not clear").arg(totals.undecided));
  }

 private:
  QPushButton* settle_;
};

}  // namespace

AnswerPage* makeBringInPage(Workroom& room) { return new BringInPage(room); }

}  // namespace leeward::window
