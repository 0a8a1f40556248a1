// Where next: the blocks by the worth of an hour.
#include <QHBoxLayout>
#include <QVBoxLayout>

#include "viewer/study/hours_ahead.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/pages.h"
#include "viewer/window/pages/weights_row.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

#include <QLabel>
#include <QPushButton>

namespace leeward::window {
namespace {

constexpr int kCharted = 6;  ///< of the best blocks, in the chart

class NextPage : public AnswerPage {
 public:
  explicit NextPage(Workroom& room)
      : AnswerPage(room, tr("Where next?")),
        chart_(new ChartView(ChartView::Kind::Intervals)),
        list_(new RowList(tr("Blocks by the worth of an hour"))),
        because_(makeWords(Text::Body, "because")),
        own_(makeButton(tr("&As it was"), "own")) {
    connect(own_, &QPushButton::clicked, this, [this] { setAll(tr("hours and minutes"), this->room().reweigher().own()); });
    connect(&room.reweigher(), &Reweigher::moved, this, [this] { showControls(); });
    connect(&room.reweigher(), &Reweigher::followed, this, [this] { follow(); });
    connect(&room.reweigher(), &Reweigher::failed, &room, &Workroom::say);
    body().addWidget(chart_);
    body().addWidget(list_, 1);
    body().addWidget(because_);
    auto* tried = new QHBoxLayout;
    for (const Control& control : controls()) {
      auto* row = new WeightsRow(control.moved, true);
      rows_.push_back(row);
      tried->addWidget(row);
      connect(row, &WeightsRow::moved, this, [this, member = control.member, words = control.moved.words](double value) { move(words, member, value); });
    }
    tried->addWidget(own_, 0, Qt::AlignBottom);
    body().addLayout(tried);
    connect(chart_, &ChartView::picked, this, [this](int index) { this->room().selectBlock(index < 0 ? -1 : blocks_[static_cast<std::size_t>(index)]); });
    connect(list_, &RowList::opened, this, [this](int, qint64 block) {
      if (block >= 0) this->room().openBlockCard(blockName(*this->room().findings(), static_cast<std::size_t>(block)), static_cast<std::size_t>(block));
    });
    connect(list_, &RowList::chosen, this, [this](int, qint64 block) { this->room().selectBlock(block); });
    connect(&room, &Workroom::blockSelected, this, [this] { showBlock(); });
  }

  void refresh() override {
    shown_ = room().reweigher().findings();
    showControls();
    tell();
  }

  MapMaker map() const override {
    return [findings = shown_] { return draw::forQuestion(draw::Question::WhereNext, *findings); };
  }

  QString hint(std::size_t block) const override { return shown_ ? QString::fromStdString(shown_->blocks.table.find("because")->asText(block)) : QString(); }
  Table table() const override { return shown_ ? shown_->next : Table(); }

 private:
  struct Control {
    Moved moved;
    double study::WhatIf::*member;
  };
  static std::vector<Control> controls() {
    return {{{tr("&Hours of an outing"), "hours", 0.5, 12, 0.5, 1, tr(" h")}, &study::WhatIf::hours},
            {{tr("Minutes at a &door"), "minutes_door", 0.5, 20, 0.5, 1, tr(" min")}, &study::WhatIf::minutes_per_door},
            {{tr("Minutes of a &visit"), "minutes_visit", 0, 120, 5, 0, tr(" min")}, &study::WhatIf::minutes_per_visit}};
  }

  void move(const QString& words, double study::WhatIf::*member, double value) {
    study::WhatIf wanted = room().reweigher().whatIf();
    wanted.*member = value;
    setAll(QString(words).remove(QLatin1Char('&')), wanted);
  }

  void setAll(const QString& words, const study::WhatIf& wanted) {
    Workroom* workroom = &room();
    const study::WhatIf before = workroom->reweigher().whatIf();
    if (wanted == before) return;
    workroom->change(words, [workroom, wanted] { workroom->reweigher().set(wanted); }, [workroom, before] { workroom->reweigher().set(before); });
  }

  void showControls() {
    const auto all = controls();
    for (std::size_t i = 0; i < rows_.size(); ++i) rows_[i]->setValue(room().reweigher().whatIf().*all[i].member);
    own_->setVisible(!room().reweigher().isOwn());
  }

  /// The list follows at once; the map and the chances when they are certain.
  void follow() {
    shown_ = room().reweigher().findings();
    tell();
    if (room().reweigher().isCertain()) emit mapChanged();
  }

  void tell() {
    blocks_ = blockRows(*shown_, shown_->next);
    list_->setRows(blocks_, [this](std::size_t row) { return rowOf(row); }, QStringLiteral("888"));
    draw::Chart chart;
    chart.heading = tr("Dogs not yet met, the best blocks by rank");
    chart.unit = tr("expected, %1 % interval").arg(100 * shown_->level);
    chart.decimals = 1;
    for (std::size_t row = 0; row < std::min<std::size_t>(kCharted, shown_->next.rows()); ++row) {
      const Table& next = shown_->next;
      chart.values.push_back({cell(next, "rank", row), next.find("unmet")->asReal(row).value_or(0), next.find("low")->asReal(row), next.find("high")->asReal(row), false});
    }
    chart_->setChart(chart);
    setHowSure((room().reweigher().isOwn() ? QString() : tr("Tried out here, and not written into the study. ")) + tr("A filled rank on the map belongs among the best %1 with a chance of 80 % or more.").arg(shown_->top_k) + QLatin1Char(' ') + QString::fromStdString(study::hoursAheadInWords(shown_->blocks.table)));
    showBlock();
  }

  Row rowOf(std::size_t row) const {
    const Table& next = shown_->next;
    const auto drawn = next.find("chance_rank_k")->asReal(row);
    const double chance = drawn.value_or(0);
    return {cell(next, "rank", row), blockName(*shown_, static_cast<std::size_t>(blocks_[row])),
            tr("%1 dogs in need an hour · about %2 (%3 to %4) not yet met\n%5 of %6 doors looked at · among the best %7: %8 %")
                .arg(cell(next, "per_crew_hour", row, 2), cell(next, "unmet", row, 1), cell(next, "low", row), cell(next, "high", row), cell(next, "doors_looked", row), cell(next, "doors", row),
                     QString::number(shown_->top_k), drawn ? QString::number(100 * chance, 'f', 0) : QStringLiteral("…")),
            chance >= 0.8};
  }

  void showBlock() {
    const auto block = room().block();
    list_->showBlock(block ? static_cast<qint64>(*block) : -1);
    int charted = -1;
    for (int i = 0; block && i < kCharted && i < static_cast<int>(blocks_.size()); ++i) charted = blocks_[static_cast<std::size_t>(i)] == static_cast<qint64>(*block) ? i : charted;
    chart_->setChosen(charted);
    because_->setText(block ? hint(*block) : tr("Choose a block in the list or on the map to see why it stands where it stands."));
  }

  study::Snapshot shown_;
  std::vector<qint64> blocks_;  ///< of each row of the list
  ChartView* chart_;
  RowList* list_;
  QLabel* because_;
  QPushButton* own_;
  std::vector<WeightsRow*> rows_;
};

}  // namespace

AnswerPage* makeNextPage(Workroom& room) { return new NextPage(room); }

}  // namespace leeward::window
