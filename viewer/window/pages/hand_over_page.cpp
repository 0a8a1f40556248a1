// Hand over: what leaves the team, and to whom.
#include <QVBoxLayout>

#include "viewer/window/answer_page.h"
#include "viewer/window/pages.h"

namespace leeward::window {
namespace {

class HandOverPage : public AnswerPage {
 public:
  explicit HandOverPage(Workroom& room) : AnswerPage(room, tr("What can we show others?")) { body().addStretch(1); }

  void refresh() override {
    setFinding(tr("What goes to a board, a funder, a partner or an authority is made by the command, behind disclosure and a leak check: leeward hand-over %1 --audience public -o FOLDER")
                   .arg(QString::fromStdString(room().folder().string())));
    setHowSure(tr("Sheets and briefs of the study are for the crew: they hold client data and don't leave the team."));
  }
};

}  // namespace

AnswerPage* makeHandOverPage(Workroom& room) { return new HandOverPage(room); }

}  // namespace leeward::window
