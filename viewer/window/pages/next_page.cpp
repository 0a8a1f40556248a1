// Where next: the blocks by the worth of an hour.
#include <QVBoxLayout>

#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

#include <QLabel>

namespace leeward::window {
namespace {

constexpr int kCharted = 8;  ///< of the best blocks, in the chart

class NextPage : public AnswerPage {
 public:
  explicit NextPage(Workroom& room)
      : AnswerPage(room, tr("Where next, with the crew-hours we have?")),
        chart_(new ChartView(ChartView::Kind::Intervals)),
        list_(new RowList(tr("Blocks by the worth of an hour"))),
        because_(makeWords(Text::Body, "because")) {
    body().addWidget(chart_);
    body().addWidget(list_, 1);
    body().addWidget(because_);
    connect(chart_, &ChartView::picked, this, [this](int index) { this->room().selectBlock(index < 0 ? -1 : blocks_[static_cast<std::size_t>(index)]); });
    connect(list_, &RowList::chosen, this, [this](int, qint64 block) { this->room().selectBlock(block); });
    connect(&room, &Workroom::blockSelected, this, [this] { showBlock(); });
  }

  void refresh() override {
    shown_ = room().findings();
    tell();
  }

  MapMaker map() const override {
    return [findings = shown_] { return draw::forQuestion(draw::Question::WhereNext, *findings); };
  }

  QString hint(std::size_t block) const override { return shown_ ? QString::fromStdString(shown_->blocks.table.find("because")->asText(block)) : QString(); }
  Table table() const override { return shown_ ? shown_->next : Table(); }

 private:
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
    setHowSure(tr("A filled rank on the map belongs among the best %1 with a chance of 80 % or more; beside an open one other blocks may be as good.").arg(shown_->top_k));
    showBlock();
  }

  Row rowOf(std::size_t row) const {
    const Table& next = shown_->next;
    const double chance = next.find("chance_rank_k")->asReal(row).value_or(0);
    return {cell(next, "rank", row), blockName(*shown_, static_cast<std::size_t>(blocks_[row])),
            tr("%1 dogs in need an hour · about %2 (%3 to %4) not yet met\n%5 of %6 doors looked at · among the best %7: %8 %")
                .arg(cell(next, "per_crew_hour", row, 2), cell(next, "unmet", row, 1), cell(next, "low", row), cell(next, "high", row), cell(next, "doors_looked", row), cell(next, "doors", row),
                     QString::number(shown_->top_k), QString::number(100 * chance, 'f', 0)),
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
};

}  // namespace

AnswerPage* makeNextPage(Workroom& room) { return new NextPage(room); }

}  // namespace leeward::window
