// Where need is: the index by block from this study's indicators, beside where nobody has looked; or where planned looks found dogs.
#include <QCheckBox>
#include <QComboBox>
#include <QVBoxLayout>
#include <algorithm>
#include <array>
#include <cmath>

#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/pages.h"
#include "viewer/window/pages/finds_view.h"
#include "viewer/window/pages/weights_row.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr std::array<double, 5> kClasses = {0.2, 0.4, 0.6, 0.8, 1.0};  ///< upper ends, as on the map

class NeedPage : public AnswerPage {
 public:
  explicit NeedPage(Workroom& room)
      : AnswerPage(room, tr("Where is the need?")), chart_(new ChartView(ChartView::Kind::Columns)), heat_(new QCheckBox(tr("&Heat beneath, need as discs"))), looks_(new QCheckBox(tr("&Looks too: hatched where doors were never looked at"))), list_(new RowList(tr("Blocks by need"))) {
    heat_->setObjectName("need_heat");
    looks_->setObjectName("need_looks");
    looks_->setChecked(true);
    by_->setObjectName("need_by");
    by_->addItems({tr("the need index"), tr("finds, for the looking done")});
    addControl(tr("Told b&y"), by_);
    auto* index = new QWidget;
    auto* column = new QVBoxLayout(index);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(kGrid);
    column->addWidget(looks_);
    column->addWidget(heat_);
    column->addWidget(chart_);
    column->addWidget(list_, 1);
    weights_ = new QVBoxLayout;
    column->addLayout(weights_);
    finds_ = new FindsView(room);
    body().addWidget(index, 1);
    body().addWidget(finds_, 1);
    finds_->hide();
    connect(by_, &QComboBox::currentIndexChanged, this, [this, index] {
      index->setVisible(!byFinds());
      finds_->setVisible(byFinds());
      tell();
      emit mapChanged();
    });
    connect(&room.reweigher(), &Reweigher::moved, this, [this] { showWeights(); });
    connect(&room.reweigher(), &Reweigher::followed, this, [this] {
      tell();
      if (this->room().reweigher().isCertain()) emit mapChanged();
    });
    connect(heat_, &QCheckBox::toggled, this, [this](bool heat) {
      looks_->setEnabled(!heat);  // two fills on top of each other can't be read
      emit mapChanged();
    });
    connect(looks_, &QCheckBox::toggled, this, &AnswerPage::mapChanged);
    connect(chart_, &ChartView::picked, this, [this] { fillList(); });
    connect(list_, &RowList::opened, this, [this](int, qint64 block) {
      if (block >= 0) this->room().openBlockCard(blockName(*this->room().findings(), static_cast<std::size_t>(block)), static_cast<std::size_t>(block));
    });
    connect(list_, &RowList::chosen, this, [this](int, qint64 block) { this->room().selectBlock(block); });
    connect(&room, &Workroom::blockSelected, this, [this] { list_->showBlock(this->room().block() ? static_cast<qint64>(*this->room().block()) : -1); });
  }

  void refresh() override {
    makeWeights();
    finds_->refresh();
    tell();
  }

  void tell() {
    if (!shown()) return;
    const study::Findings& findings = *shown();
    heat_->setVisible(room().findings()->heat.has_value());
    heat_->setEnabled(room().reweigher().isOwn());
    need_ = findings.blocks.table.find("need")->toReals();
    draw::Chart chart;
    chart.heading = tr("Blocks by the need index");
    chart.unit = tr("blocks; choose a column for its list");
    for (const QString& name : {tr("0 to 0.2"), tr("to 0.4"), tr("to 0.6"), tr("to 0.8"), tr("to 1")}) chart.values.push_back({name, 0, {}, {}, false});
    bool known = false;
    for (const double need : need_) {
      if (std::isnan(need)) continue;
      known = true;
      ++chart.values[classOf(need)].value;
    }
    if (!known) chart.values.clear();
    chart_->setChart(chart);
    setHowSure(known ? (room().reweigher().isOwn() ? QString() : tr("Weights tried out here are not written into the study; they tilt the rank of where next only while there is no planned look. ")) + tr("The index ranks blocks by the indicators of this study. It says where conditions for outdoor dogs are likely hard, not what any household does: it is no list "
                          "for enforcement. Census figures stop at block groups, so blocks of one group share them.")
                     : tr("No indicators of need are named in this study: write them under [need] in study.toml, or bring in a census table."));
    fillList();
    if (byFinds()) setHowSure(finds_->cautions());
  }

  MapMaker map() const override {
    if (byFinds()) return [findings = room().findings()] { return draw::forQuestion(draw::Question::WhereNeedIs, *findings, {.finds = true}); };
    return [findings = shown(), heat = heat_->isChecked() && room().reweigher().isOwn(), looks = looks_->isChecked()] { return draw::forQuestion(draw::Question::WhereNeedIs, *findings, {.heat_beneath = heat, .looks_over = looks}); };
  }
  QString hint(std::size_t block) const override {
    if (byFinds()) return finds_->hint(block);
    const Row row = rowOf(block);
    return QStringLiteral("%1: %2").arg(row.headline, tr("need %1; ").arg(row.mark) + QString(row.detail).replace(QLatin1Char('\n'), QStringLiteral("; ")));
  }
  Table table() const override { return byFinds() ? finds_->table() : shown()->blocks.table.take(order_); }

 private:
  bool byFinds() const { return by_->currentIndex() == 1; }
  const study::Snapshot& shown() const { return room().reweigher().findings(); }

  /// One slider an indicator of the study.
  void makeWeights() {
    for (WeightsRow* row : rows_) row->deleteLater();
    rows_.clear();
    const auto& indicators = room().study().indicators;
    for (std::size_t i = 0; i < indicators.size(); ++i) {
      const QString words = QString::fromStdString(indicators[i].label.empty() ? indicators[i].column : indicators[i].label);
      auto* row = new WeightsRow({tr("Weight: %1").arg(words), "weight", 0, 5, 0.25, 2, {}});
      rows_.push_back(row);
      weights_->addWidget(row);
      connect(row, &WeightsRow::moved, this, [this, i](double value) { move(i, value); });
    }
    showWeights();
  }

  void showWeights() {
    const auto& weights = room().reweigher().whatIf().weights;
    for (std::size_t i = 0; i < rows_.size() && i < weights.size(); ++i) rows_[i]->setValue(weights[i]);
  }

  void move(std::size_t indicator, double value) {
    Workroom* workroom = &room();
    const study::WhatIf before = workroom->reweigher().whatIf();
    study::WhatIf wanted = before;
    wanted.weights[indicator] = value;
    if (std::ranges::all_of(wanted.weights, [](double weight) { return weight == 0; })) {
      showWeights();
      return workroom->say(tr("One weight must stay above 0."));
    }
    workroom->change(tr("a weight"), [workroom, wanted] { workroom->reweigher().set(wanted); }, [workroom, before] { workroom->reweigher().set(before); });
  }

  static std::size_t classOf(double need) { return static_cast<std::size_t>(std::min<std::ptrdiff_t>(4, std::ranges::find_if(kClasses, [need](double end) { return need <= end; }) - kClasses.begin())); }

  void fillList() {
    order_.clear();
    for (std::size_t row = 0; row < need_.size(); ++row) {
      if (!std::isnan(need_[row]) && (chart_->chosen() < 0 || classOf(need_[row]) == static_cast<std::size_t>(chart_->chosen()))) order_.push_back(row);
    }
    std::ranges::stable_sort(order_, [&](std::size_t a, std::size_t b) { return need_[a] > need_[b]; });
    list_->setRows(std::vector<qint64>(order_.begin(), order_.end()), [this](std::size_t row) { return rowOf(order_[row]); }, QStringLiteral("0.88"));
    list_->showBlock(room().block() ? static_cast<qint64>(*room().block()) : -1);
  }

  Row rowOf(std::size_t block) const {
    const study::Findings& findings = *shown();
    const Table& blocks = findings.blocks.table;
    const bool never = blocks.find("doors_looked")->asReal(block).value_or(0) == 0 && blocks.find("doors")->asReal(block).value_or(0) > 0;
    const QString heat = findings.heat_unit.empty() ? QString() : tr(" · heat %1 %2").arg(cell(blocks, "heat", block, 1), QString::fromStdString(findings.heat_unit));
    return {cell(blocks, "need", block, 2), blockName(findings, block),
            tr("%1 people, %2 homes%3\n%4 of %5 doors looked at").arg(cell(blocks, "people", block), cell(blocks, "housing_units", block), heat, cell(blocks, "doors_looked", block), cell(blocks, "doors", block)) +
                (never ? tr(": never") : QString()),
            never};
  }

  std::vector<double> need_;
  std::vector<std::size_t> order_;
  QComboBox* by_ = new QComboBox;
  FindsView* finds_ = nullptr;
  ChartView* chart_;
  QCheckBox *heat_, *looks_;
  RowList* list_;
  QVBoxLayout* weights_ = nullptr;
  std::vector<WeightsRow*> rows_;
};

}  // namespace

AnswerPage* makeNeedPage(Workroom& room) { return new NeedPage(room); }

}  // namespace leeward::window
