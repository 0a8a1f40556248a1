// Been and not been: states of blocks, how long ago doors were last looked at, and what was seen.
#include <QComboBox>
#include <QVBoxLayout>
#include <algorithm>
#include <array>
#include <numeric>

#include "viewer/study/looks_against_need.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"

namespace leeward::window {
namespace {

/// Upper ends in days of the classes of recency; the last is "never".
constexpr std::array<int, 4> kRecent = {91, 183, 365, 730};
constexpr int kNever = static_cast<int>(kRecent.size()) + 1;

/// The class of a day written as ISO, "" = never.
int recencyOf(std::string_view last_look, Date as_of) {
  const auto day = last_look.empty() ? std::nullopt : parseIsoDate(last_look);
  if (!day) return kNever;
  const int ago = as_of.days - day->days;
  return static_cast<int>(std::ranges::find_if(kRecent, [ago](int end) { return ago <= end; }) - kRecent.begin());
}

class BeenPage : public AnswerPage {
 public:
  explicit BeenPage(Workroom& room)
      : AnswerPage(room, tr("Where have we been, and where has nobody looked?")),
        chart_(new ChartView(ChartView::Kind::Columns)),
        shows_(new QComboBox),
        list_(new RowList(tr("Blocks by doors that nobody looked at"))) {
    shows_->addItems({tr("the state of each block"), tr("where dogs were seen")});
    shows_->setObjectName("been_shows");
    addControl(tr("The &map shows"), shows_);
    body().addWidget(chart_);
    body().addWidget(list_, 1);
    connect(shows_, &QComboBox::currentIndexChanged, this, &AnswerPage::mapChanged);
    connect(chart_, &ChartView::picked, this, [this] { fillList(); });
    connect(list_, &RowList::opened, this, [this](int, qint64 block) {
      if (block >= 0) this->room().openBlockCard(blockName(*this->room().findings(), static_cast<std::size_t>(block)), static_cast<std::size_t>(block));
    });
    connect(list_, &RowList::chosen, this, [this](int, qint64 block) { this->room().selectBlock(block); });
    connect(&room, &Workroom::blockSelected, this, [this] { list_->showBlock(this->room().block() ? static_cast<qint64>(*this->room().block()) : -1); });
  }

  void refresh() override {
    const study::Findings& findings = *room().findings();
    draw::Chart chart;
    chart.heading = tr("Doors by their last look");
    chart.unit = tr("doors; choose a column for its blocks");
    const QStringList names = {tr("3 months"), tr("6 months"), tr("a year"), tr("2 years"), tr("longer"), tr("never")};
    for (const QString& name : names) chart.values.push_back({name, 0, {}, {}, false});
    const Column& last = *findings.premises.table.find("last_look");
    for (std::size_t row = 0; row < last.size(); ++row) ++chart.values[static_cast<std::size_t>(recencyOf(last.textAt(row), findings.as_of))].value;
    chart.values.back().partial = true;  // drawn open: nothing is known there
    chart_->setChart(chart);
    setHowSure(tr("A column counts doors whose last look is no older than what stands below it. A block is overdue if a dog known there is past %1 days without a visit; "
                  "\u201Cno dog found\u201D is never \u201Cno dog\u201D.")
                   .arg(findings.service_interval_days) +
               QLatin1Char(' ') + QString::fromStdString(study::looksAgainstNeed(findings)));
    fillList();
  }

  MapMaker map() const override {
    const auto question = shows_->currentIndex() == 1 ? draw::Question::Sightings : draw::Question::BeenAndNotBeen;
    return [findings = room().findings(), question] { return draw::forQuestion(question, *findings); };
  }

  QString hint(std::size_t block) const override {
    const Table& blocks = room().findings()->blocks.table;
    const double doors = blocks.find("doors")->asReal(block).value_or(0);
    if (doors == 0) return tr("%1: no doors here.").arg(blockName(*room().findings(), block));
    return tr("%1: %2. %3 of %4 doors looked at, last on %5; %6 dogs known, %7 of them overdue.")
        .arg(blockName(*room().findings(), block), stateWords(blocks.find("state")->asText(block)), cell(blocks, "doors_looked", block), cell(blocks, "doors", block), dayWords(block),
             cell(blocks, "dogs_known", block), cell(blocks, "dogs_overdue", block));
  }

  Table table() const override { return room().findings()->blocks.table.take(order_); }

 private:
  static QString stateWords(const std::string& key) {
    for (const auto& state : study::blockStates()) {
      if (key == state.key) return QString::fromUtf8(state.words);
    }
    return tr("not known");
  }

  QString dayWords(std::size_t block) const {
    const auto day = parseIsoDate(room().findings()->blocks.table.find("last_look")->asText(block));
    return day ? QString::fromStdString(toWords(*day)) : tr("never");
  }

  void fillList() {
    const study::Findings& findings = *room().findings();
    const Table& blocks = findings.blocks.table;
    const int wanted = chart_->chosen();
    const auto doors = blocks.find("doors")->toReals(), looked = blocks.find("doors_looked")->toReals();
    std::vector<bool> holds(blocks.rows(), wanted < 0);
    if (wanted >= 0) {
      const auto rows = blockRows(findings, findings.premises.table);
      const Column& last = *findings.premises.table.find("last_look");
      for (std::size_t row = 0; row < rows.size(); ++row) {
        if (rows[row] >= 0 && recencyOf(last.textAt(row), findings.as_of) == wanted) holds[static_cast<std::size_t>(rows[row])] = true;
      }
    }
    order_.clear();
    for (std::size_t row = 0; row < blocks.rows(); ++row) {
      if (doors[row] > 0 && holds[row]) order_.push_back(row);
    }
    std::ranges::stable_sort(order_, [&](std::size_t a, std::size_t b) { return doors[a] - looked[a] > doors[b] - looked[b]; });
    std::vector<qint64> rows(order_.begin(), order_.end());
    list_->setRows(std::move(rows), [this](std::size_t row) { return rowOf(order_[row]); }, QStringLiteral("8,888"));
    list_->showBlock(room().block() ? static_cast<qint64>(*room().block()) : -1);
  }

  Row rowOf(std::size_t block) const {
    const Table& blocks = room().findings()->blocks.table;
    const double never = blocks.find("doors")->asReal(block).value_or(0) - blocks.find("doors_looked")->asReal(block).value_or(0);
    const std::string state = blocks.find("state")->asText(block);
    return {QString::number(never, 'f', 0), blockName(*room().findings(), block),
            tr("of %1 doors not looked at · %2\nlast look: %3 · %4 known").arg(cell(blocks, "doors", block), stateWords(state), dayWords(block), counted(blocks.find("dogs_known")->asInteger(block).value_or(0), tr("dog"), tr("dogs"))),
            state == "never"};
  }

  std::vector<std::size_t> order_;  ///< rows of Findings::blocks as listed
  ChartView* chart_;
  QComboBox* shows_;
  RowList* list_;
};

}  // namespace

AnswerPage* makeBeenPage(Workroom& room) { return new BeenPage(room); }

}  // namespace leeward::window
