// Of the workbench: the page for addresses that are not clear, and the map that goes with it.
#include <optional>

#include <QScrollArea>
#include <QStackedWidget>

#include "shared/geo/crs.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/card_page.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/settle_desk.h"
#include "viewer/window/settle_page.h"
#include "viewer/window/typing_page.h"
#include "viewer/window/workbench.h"

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

void Workbench::buildSettling() {
  settle_ = new SettlePage;
  if (desk_ == nullptr) desk_ = new SettleDesk(this);
  beside_->addWidget(settle_);
  connect(settle_, &SettlePage::decided, desk_, &SettleDesk::settle);
  connect(settle_, &SettlePage::shown, this, &Workbench::showCandidates);
  connect(settle_, &SettlePage::finished, this, &Workbench::endSettling);
  connect(desk_, &SettleDesk::listed, settle_, &SettlePage::setList);
  connect(desk_, &SettleDesk::settled, settle_, &SettlePage::say);
  connect(desk_, &SettleDesk::failed, settle_, &SettlePage::say);
  connect(map_, &MapCanvas::placeClicked, this, [this](Point at) {
    const auto to_ledger = hasStudy() ? positionsOf(*room_.findings(), true) : std::nullopt;
    if (to_ledger) settle_->placeAt((*to_ledger)(at));
    settle_->setFocus();
  });
}

void Workbench::buildDesks() {
  typing_ = new TypingPage(room_);
  card_ = new CardPage(room_);
  for (QWidget* desk : {static_cast<QWidget*>(typing_), static_cast<QWidget*>(card_)}) {
    auto* area = new QScrollArea;
    area->setWidget(desk);
    area->setWidgetResizable(true);
    area->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    area->setFocusPolicy(Qt::NoFocus);
    beside_->addWidget(area);
  }
  connect(typing_, &TypingPage::finished, this, &Workbench::endTyping);
  connect(card_, &CardPage::finished, this, &Workbench::backToPage);
}

void Workbench::startTyping() {
  QStringList streets;
  const Column* names = room_.findings()->streets.table.find("name");
  for (std::size_t row = 0; names != nullptr && row < names->size(); ++row) streets += QString::fromStdString(names->asText(row));
  streets.removeDuplicates();
  streets.removeAll(QString());
  streets.sort();
  beside_->setCurrentIndex(beside_->count() - 2);
  typing_->begin(streets);
}

void Workbench::endTyping() {
  backToPage();
  if (typing_->hasChanged()) room_.bringUpToDate();
}

void Workbench::showCard(const QString& title, const std::vector<std::string>& premises) {
  beside_->setCurrentIndex(beside_->count() - 1);
  card_->open(title, premises);
}

void Workbench::showLooks(const QString& title, const std::vector<std::string>& looks) {
  beside_->setCurrentIndex(beside_->count() - 1);
  card_->openLooks(title, looks);
}

void Workbench::backToPage() { beside_->setCurrentIndex(static_cast<int>(answer_)); }

void Workbench::leaveDesks() {
  if (beside_->currentWidget() == settle_) endSettling();
  else if (beside_->currentIndex() == beside_->count() - 2) endTyping();
}

void Workbench::startSettling() {
  settle_->begin();
  beside_->setCurrentWidget(settle_);
  map_->pickPlaces(true);
  settle_->setFocus();
  desk_->open(room_.folder());
}

void Workbench::endSettling() {
  map_->pickPlaces(false);
  map_->showMarks({});
  beside_->setCurrentIndex(static_cast<int>(answer_));
  if (settle_->hasChanged()) room_.bringUpToDate();  // the places have changed, and with them all that hangs on them
}

void Workbench::showCandidates() {
  const study::OpenAddress* open = beside_->currentWidget() == settle_ ? settle_->current() : nullptr;
  const auto to_map = hasStudy() ? positionsOf(*room_.findings(), false) : std::nullopt;
  std::vector<Point> marks;
  for (std::size_t i = 0; open != nullptr && to_map && i < open->choices.size(); ++i) marks.push_back((*to_map)(open->choices[i].position));
  map_->showMarks(std::move(marks));
}

}  // namespace leeward::window
