#include "viewer/window/pages/finds_view.h"

#include <QLabel>
#include <QVBoxLayout>
#include <algorithm>
#include <cmath>

#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr std::size_t kFindsCharted = 6;

QString toldOf(const study::Findings& findings, const char* column, std::initializer_list<const char*> topics) {
  const Table& told = findings.patterns.told;
  QStringList all;
  for (std::size_t row = 0; row < told.rows(); ++row) {
    const auto topic = told.find("topic")->asText(row);
    if (std::ranges::any_of(topics, [&](const char* one) { return topic == one; })) all += QString::fromStdString(told.find(column)->asText(row));
  }
  return all.join(QStringLiteral(" "));
}

}  // namespace

FindsView::FindsView(Workroom& room, QWidget* parent)
    : QWidget(parent), room_(room), chart_(new ChartView(ChartView::Kind::Intervals)), list_(new RowList(tr("Blocks by finds nearby"))), explained_(makeWords(Text::Small, "explained")) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(0, 0, 0, 0);
  column->setSpacing(kGrid);
  list_->setObjectName("finds");
  column->addWidget(chart_);
  column->addWidget(list_, 1);
  column->addWidget(explained_);
  connect(chart_, &ChartView::picked, this, [this](int index) { room_.selectBlock(index < 0 ? -1 : order_[static_cast<std::size_t>(index)]); });
  connect(list_, &RowList::chosen, this, [this](int, qint64 block) { room_.selectBlock(block); });
  connect(&room, &Workroom::blockSelected, this, [this] { showBlock(); });
}

void FindsView::refresh() {
  const study::Findings& findings = *room_.findings();
  const Table& patterns = findings.patterns.blocks;
  order_.clear();
  struct Key {
    bool is_named;
    double nearby;
    std::size_t row;
  };
  std::vector<Key> keys;
  for (std::size_t row = 0; row < patterns.rows(); ++row) {
    if (!(patterns.find("effort")->asReal(row).value_or(0) > 0)) continue;
    const bool is_named = !patterns.find("circle")->isMissing(row) || patterns.find("stands_out")->asText(row) == "more";
    keys.push_back({is_named, patterns.find("nearby")->asReal(row).value_or(-1), row});
  }
  std::ranges::stable_sort(keys, [](const Key& a, const Key& b) { return a.is_named != b.is_named ? a.is_named : a.nearby > b.nearby; });
  for (const auto& key : keys) order_.push_back(static_cast<qint64>(key.row));
  list_->setRows(order_, [this](std::size_t row) { return rowOf(static_cast<std::size_t>(order_[row])); }, QStringLiteral("88.8"));
  fillChart();
  explained_->setText(toldOf(findings, "finding", {"explained", "clusters"}));
  showBlock();
}

void FindsView::fillChart() {
  const study::Findings& findings = *room_.findings();
  const Table& blocks = findings.blocks.table;
  draw::Chart chart;
  chart.heading = tr("Dogs at a hundred planned doors: the first blocks of the list");
  chart.unit = tr("drawn towards the town's rate, %1 % interval").arg(100 * findings.level);
  chart.decimals = 1;
  for (std::size_t i = 0; i < std::min(kFindsCharted, order_.size()); ++i) {
    const auto row = static_cast<std::size_t>(order_[i]);
    const auto hundred = [&](const char* column) -> std::optional<double> {
      const auto value = blocks.find(column)->asReal(row);
      return value ? std::optional(100 * *value) : std::nullopt;
    };
    chart.values.push_back({QString::number(i + 1), hundred("rate").value_or(0), hundred("rate_low"), hundred("rate_high"), false});
  }
  chart_->setChart(chart);
  chart_->setMinimumHeight(static_cast<QWidget*>(chart_)->heightForWidth(std::max(chart_->width(), grown(40 * kGrid))));  // or the list takes its room
}

QString FindsView::cautions() const { return toldOf(*room_.findings(), "caution", {"circle", "standing", "explained"}); }

QString FindsView::hint(std::size_t block) const {
  const Row row = rowOf(block);
  return QStringLiteral("%1: %2").arg(row.headline, QString(row.detail).replace(QLatin1Char('\n'), QStringLiteral("; ")));
}

Table FindsView::table() const { return room_.findings()->patterns.blocks.take({order_.begin(), order_.end()}); }

Row FindsView::rowOf(std::size_t block) const {
  const study::Findings& findings = *room_.findings();
  const Table& patterns = findings.patterns.blocks;
  const auto nearby = patterns.find("nearby")->asReal(block);
  const bool looked = patterns.find("effort")->asReal(block).value_or(0) > 0;
  QString detail = looked ? tr("of a hundred planned doors nearby · here %1 of %2 effective ones").arg(cell(patterns, "found_doors", block), cell(patterns, "effort", block, 1)) : tr("no planned look here");
  QStringList named;
  if (!patterns.find("circle")->isMissing(block)) named += tr("in circle %1").arg(cell(patterns, "circle", block));
  const auto stands = patterns.find("stands_out")->asText(block);
  if (stands == "more") named += tr("more than the looking explains, with its neighbours");
  if (stands == "fewer") named += tr("fewer than the looking explains, with its neighbours");
  if (!named.isEmpty()) detail += QLatin1Char('\n') + named.join(QStringLiteral(" · "));
  return {nearby ? QString::number(100 * *nearby, 'f', 1) : QStringLiteral("–"), blockName(findings, block), detail, !named.isEmpty()};
}

void FindsView::showBlock() {
  const auto block = room_.block();
  list_->showBlock(block ? static_cast<qint64>(*block) : -1);
  int charted = -1;
  for (std::size_t i = 0; block && i < std::min(kFindsCharted, order_.size()); ++i) charted = order_[i] == static_cast<qint64>(*block) ? static_cast<int>(i) : charted;
  chart_->setChosen(charted);
}

}  // namespace leeward::window
