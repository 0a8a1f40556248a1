// What changed: a strip of months (quarters, years), and for the one in hand every rate with its interval.
#include <QComboBox>
#include <QPushButton>
#include <QVBoxLayout>
#include <algorithm>
#include <array>
#include <map>
#include <string>

#include "viewer/study/run_study.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

struct Counted {
  const char* column;
  QString words;
};

const std::vector<Counted>& measures() {
  static const std::vector<Counted> kMeasures = {
      {"visits", AnswerPage::tr("visits")}, {"dogs_met", AnswerPage::tr("animals met")}, {"first_met", AnswerPage::tr("animals met for the first time")}, {"rechecked_improved", AnswerPage::tr("animals found improved")},
      {"given_up", AnswerPage::tr("animals given up to the team")}, {"neutered", AnswerPage::tr("animals neutered")}, {"referred", AnswerPage::tr("animals referred")}, {"looks", AnswerPage::tr("looks")}};
  return kMeasures;
}

constexpr std::array<Every, 3> kEvery = {Every::Month, Every::Quarter, Every::Year};
constexpr std::size_t kInStrip = 12;  ///< the latest periods

class ChangedPage : public AnswerPage {
 public:
  explicit ChangedPage(Workroom& room)
      : AnswerPage(room, tr("What changed?")), what_(new QComboBox), every_(new QComboBox), strip_(new ChartView(ChartView::Kind::Columns)), list_(new RowList(tr("Rates of the period, with their intervals"))) {
    for (const auto& one : measures()) what_->addItem(one.words);
    every_->addItems({tr("month"), tr("quarter"), tr("year")});
    what_->setObjectName("changed_what"), every_->setObjectName("changed_every"), strip_->setObjectName("strip");
    addControl(tr("&Count"), what_);
    addControl(tr("by &each"), every_);
    auto* behind = makeButton(tr("&Looks behind the bar"), "changed_behind");
    body().addWidget(strip_);
    body().addWidget(behind, 0, Qt::AlignRight);
    body().addWidget(list_, 1);
    connect(what_, &QComboBox::currentIndexChanged, this, [this] { tell(); });
    connect(every_, &QComboBox::currentIndexChanged, this, [this] { count(); });
    connect(strip_, &ChartView::picked, this, [this] { fillList(); });
    connect(behind, &QPushButton::clicked, this, [this] { openBehind(measures()[static_cast<std::size_t>(what_->currentIndex())].column); });
    connect(list_, &RowList::opened, this, [this](int row, qint64) {
      static const std::map<std::string, const char*> kCounted = {{"improved, of the animals rechecked", "rechecked_improved"}, {"neutered, of the animals met", "neutered"}, {"given up, of the animals met", "given_up"},
                                                                  {"referred, of the animals met", "referred"}, {"animals first met, by planned doors", "first_met"}};
      const auto counted = kCounted.find(changed_.rates.find("measure")->asText(rates_[static_cast<std::size_t>(row)]));
      if (counted != kCounted.end()) openBehind(counted->second);
    });
  }

  void refresh() override { count(); }
  MapMaker map() const override {
    return [findings = room().findings()] { return draw::forQuestion(draw::Question::WhatChanged, *findings); };
  }
  Table table() const override { return changed_.rates; }

 private:
  void count() {
    room().jobs().look<study::ChangedOutcome>(
        this, QStringLiteral("changed"), [request = counted()](Progress& progress) { return study::whatChanged(request, progress); },
        [this](study::ChangedOutcome outcome) {
          changed_ = std::move(outcome);
          strip_->setChosen(-1);
          tell();
        },
        [this](const Problem& problem) { room().say(QString::fromStdString(problem.text())); });
  }

  std::string periodInHand() const {
    const auto periods = shown();
    if (periods.empty()) return {};
    return changed_.periods.find("period")->asText(periods[strip_->chosen() >= 0 ? static_cast<std::size_t>(strip_->chosen()) : periods.size() - 1]);
  }

  /// The looks that a count of the period in hand is made of.
  void openBehind(const std::string& count) {
    const std::string period = periodInHand();
    if (period.empty()) return;
    const auto named = std::ranges::find(measures(), count, [](const Counted& one) { return std::string(one.column); });
    const QString title = tr("%1, %2").arg(named == measures().end() ? QString::fromStdString(count) : named->words.left(1).toUpper() + named->words.mid(1), shortName(period));
    study::BehindRequest request{.changed = counted(), .area = "", .count = count, .period = period};
    room().jobs().look<Table>(
        this, QStringLiteral("behind"), [request](Progress& progress) { return study::whatIsBehind(request, progress); },
        [this, title](const Table& things) {
          std::vector<std::string> looks;
          for (std::size_t row = 0; row < things.rows(); ++row) looks.push_back(things.find("look_id")->asText(row));
          if (looks.empty()) room().say(tr("%1: nothing was counted.").arg(title));
          else room().openLooks(title, looks);
        },
        [this](const Problem& problem) { room().say(QString::fromStdString(problem.text())); });
  }

  study::ChangedStudyRequest counted() const {
    return {.run = {.folder = room().folder(), .as_of = room().findings()->as_of}, .by = "", .every = kEvery[static_cast<std::size_t>(every_->currentIndex())]};
  }

  /// The rows of the periods in the strip.
  std::vector<std::size_t> shown() const {
    std::vector<std::size_t> rows;
    for (std::size_t row = changed_.periods.rows() - std::min(kInStrip, changed_.periods.rows()); row < changed_.periods.rows(); ++row) rows.push_back(row);
    return rows;
  }

  void tell() {
    const Counted& wanted = measures()[static_cast<std::size_t>(what_->currentIndex())];
    draw::Chart chart;
    chart.heading = tr("%1 by %2").arg(wanted.words.left(1).toUpper() + wanted.words.mid(1), every_->currentText());
    chart.unit = tr("each counted once a %1; open: not over, or begun within").arg(every_->currentText());
    for (const std::size_t row : shown()) {
      const Table& periods = changed_.periods;
      const bool partial = !periods.find("up_to")->isMissing(row) || !periods.find("begins")->isMissing(row);
      chart.values.push_back({shortName(periods.find("period")->asText(row)), periods.find(wanted.column)->asReal(row).value_or(0), {}, {}, partial});
    }
    strip_->setChart(chart);
    setHowSure(tr("Shares are of animals (Wilson), rates of planned doors (Garwood), at %1 %. What a bar of the strip counts is change, not effect: nothing here tells what caused it.")
                   .arg(100 * (room().findings() ? room().findings()->level : 0.9)));
    fillList();
  }

  /// "2025-03" -> "Mar 25", so that twelve stand side by side.
  static QString shortName(const std::string& period) {
    static const QStringList kMonths = {tr("Jan"), tr("Feb"), tr("Mar"), tr("Apr"), tr("May"), tr("Jun"), tr("Jul"), tr("Aug"), tr("Sep"), tr("Oct"), tr("Nov"), tr("Dec")};
    const QString text = QString::fromStdString(period);
    const int month = text.size() == 7 && text[4] == QLatin1Char('-') ? text.mid(5).toInt() : 0;
    return month >= 1 && month <= 12 ? kMonths[month - 1] + QLatin1Char(' ') + text.mid(2, 2) : text;
  }

  void fillList() {
    rates_.clear();
    if (const std::string period = periodInHand(); !period.empty()) {
      for (std::size_t row = 0; row < changed_.rates.rows(); ++row) {
        if (changed_.rates.find("period")->asText(row) == period) rates_.push_back(row);
      }
    }
    list_->setRows(std::vector<qint64>(rates_.size(), -1), [this](std::size_t row) { return rowOf(rates_[row]); }, QStringLiteral("8,888"));
  }

  Row rowOf(std::size_t row) const {
    const Table& rates = changed_.rates;
    const QString per = cell(rates, "per", row) == QStringLiteral("1000") ? QStringLiteral("1,000") : cell(rates, "per", row);
    const bool known = !rates.find("rate")->isMissing(row);
    QString detail = known ? tr("%1 of %2: %3 per %4 (%5 to %6)").arg(cell(rates, "count", row), cell(rates, "of", row), cell(rates, "rate", row, 1), per, cell(rates, "low", row, 1), cell(rates, "high", row, 1))
                           : tr("nothing to tell it of in this period");
    if (!rates.find("change")->isMissing(row)) {
      const bool ratio = per != QStringLiteral("100");
      detail += (ratio ? tr("\n%1 times the period before (%2 to %3)") : tr("\n%1 points against the period before (%2 to %3)"))
                    .arg(cell(rates, "change", row, ratio ? 2 : 1), cell(rates, "change_low", row, ratio ? 2 : 1), cell(rates, "change_high", row, ratio ? 2 : 1));
    } else {
      detail += tr("\nno whole period before to hold it against");
    }
    return {cell(rates, "count", row), tr("%1, %2").arg(shortName(rates.find("period")->asText(row)), QString::fromStdString(rates.find("measure")->asText(row))), detail, false};
  }

  study::ChangedOutcome changed_;
  std::vector<std::size_t> rates_;
  QComboBox *what_, *every_;
  ChartView* strip_;
  RowList* list_;
};

}  // namespace

AnswerPage* makeChangedPage(Workroom& room) { return new ChangedPage(room); }

}  // namespace leeward::window
