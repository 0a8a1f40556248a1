// What is due: promises, visits, straw, calls; by day, by crew.
#include <QComboBox>
#include <QVBoxLayout>
#include <algorithm>
#include <array>
#include <set>
#include <string>

#include "shared/base/text.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/chart_view.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"

namespace leeward::window {
namespace {

constexpr int kWeeks = 8;                                       ///< in the strip, behind what is past
constexpr auto kKinds = std::to_array<std::pair<const char*, const char*>>(
    {{"urgent", QT_TRANSLATE_NOOP("leeward::window::DuePage", "what can't wait")}, {"promise", QT_TRANSLATE_NOOP("leeward::window::DuePage", "promises")},
     {"appointment", QT_TRANSLATE_NOOP("leeward::window::DuePage", "appointments of animals")}, {"visit", QT_TRANSLATE_NOOP("leeward::window::DuePage", "visits to known dogs")},
     {"treatment", QT_TRANSLATE_NOOP("leeward::window::DuePage", "next treatments")}, {"straw", QT_TRANSLATE_NOOP("leeward::window::DuePage", "straw in and out")},
     {"note", QT_TRANSLATE_NOOP("leeward::window::DuePage", "calls back after a note")}, {"unanswered", QT_TRANSLATE_NOOP("leeward::window::DuePage", "doors nobody ever answered")},
     {"referral", QT_TRANSLATE_NOOP("leeward::window::DuePage", "referrals without an answer")}, {"permission", QT_TRANSLATE_NOOP("leeward::window::DuePage", "permissions that end")}});
constexpr std::array<int, 5> kAhead = {0, 7, 14, 31, 366};      ///< days

class DuePage : public AnswerPage {
 public:
  explicit DuePage(Workroom& room)
      : AnswerPage(room, tr("What is due?")), ahead_(new QComboBox), crew_(new QComboBox), kind_(new QComboBox), strip_(new ChartView(ChartView::Kind::Columns)), list_(new RowList(tr("What is due, by day"))) {
    ahead_->addItems({tr("today"), tr("a week ahead"), tr("two weeks ahead"), tr("a month ahead"), tr("a year ahead")});
    ahead_->setCurrentIndex(1);
    ahead_->setObjectName("due_ahead"), crew_->setObjectName("due_crew"), kind_->setObjectName("due_kind");
    addControl(tr("&Until"), ahead_);
    addControl(tr("C&rew"), crew_);
    addControl(tr("W&hat"), kind_);
    kind_->addItem(tr("all"));
    for (const auto& [kind, words] : kKinds) kind_->addItem(tr(words), QString::fromLatin1(kind));
    body().addWidget(strip_);
    body().addWidget(list_, 1);
    connect(ahead_, &QComboBox::currentIndexChanged, this, [this] {
      strip_->setChosen(-1);
      fillList();
    });
    for (auto* choice : {crew_, kind_}) connect(choice, &QComboBox::currentIndexChanged, this, [this] { fillList(); });
    connect(strip_, &ChartView::picked, this, [this] { fillList(); });
    connect(list_, &RowList::opened, this, [this](int row, qint64) {
      const Table& due = this->room().findings()->due_ahead;
      const std::size_t at = shown_[static_cast<std::size_t>(row)];
      this->room().openCard(cell(due, "address", at), due.find("premises_id")->asText(at));
    });
    connect(list_, &RowList::chosen, this, [this](int, qint64 block) { this->room().selectBlock(block); });
  }

  void refresh() override {
    const Table& due = room().findings()->due_ahead;
    blocks_ = blockRows(*room().findings(), due);
    std::set<std::string> crews;
    for (std::size_t row = 0; row < due.rows(); ++row) {
      if (const std::string crew = due.find("crew")->asText(row); !crew.empty()) crews.insert(crew);
    }
    crew_->blockSignals(true);
    crew_->clear();
    crew_->addItem(tr("all"));
    for (const auto& crew : crews) crew_->addItem(QString::fromStdString(crew));
    crew_->blockSignals(false);
    draw::Chart chart;
    chart.heading = tr("Due by week");
    chart.unit = tr("things to do; choose a week for its list");
    chart.values.push_back({tr("past"), 0, {}, {}, false});
    for (int week = 0; week < kWeeks; ++week) {
      chart.values.push_back({dayWords(room().findings()->as_of + 7 * week), 0, {}, {}, false});
    }
    for (std::size_t row = 0; row < due.rows(); ++row) {
      if (const int week = weekOf(row); week >= 0 && week < static_cast<int>(chart.values.size())) ++chart.values[static_cast<std::size_t>(week)].value;
    }
    strip_->setChart(chart);
    setHowSure(tr("A service interval of %1 days runs from the last visit. Doors that asked nobody to return are left out; crews go in pairs, and a list tells when somebody must be called, not how to treat an animal.")
                   .arg(room().findings()->service_interval_days));
    fillList();
  }

  MapMaker map() const override {
    return [findings = room().findings()] { return draw::forQuestion(draw::Question::BeenAndNotBeen, *findings); };
  }
  void themed(const draw::MapTheme& theme) override {
    const QString own = finding_words_;
    AnswerPage::themed(theme);
    setFinding(own);
    setMethod(tr("The map shows the states of blocks: those with dogs that are overdue are barred."));
  }
  Table table() const override { return room().findings()->due_ahead.take(shown_); }

 private:
  /// 0 = before the day of the figures, 1 = the seven days that begin with it, and so on; -1 = without a day.
  int weekOf(std::size_t row) const {
    const auto day = parseIsoDate(room().findings()->due_ahead.find("due")->textAt(row));
    if (!day) return -1;
    const int days = *day - room().findings()->as_of;
    return days < 0 ? 0 : 1 + days / 7;
  }

  /// "15 Jun", with the year where it is another than that of the figures: "15 Jun 23".
  QString dayWords(Date day) const {
    const QStringList words = QString::fromStdString(toWords(day)).split(QLatin1Char(' '));
    if (words.size() != 3) return {};
    const bool other_year = periodOf(day, Every::Year) != periodOf(room().findings()->as_of, Every::Year);
    return words[0] + QLatin1Char(' ') + words[1].left(3) + (other_year ? QLatin1Char(' ') + words[2].right(2) : QString());
  }

  void fillList() {
    const study::Findings& findings = *room().findings();
    const Table& due = findings.due_ahead;
    const std::string until = toIso(findings.as_of + kAhead[static_cast<std::size_t>(ahead_->currentIndex())]);
    const std::string crew = crew_->currentIndex() > 0 ? crew_->currentText().toStdString() : "";
    const std::string kind = kind_->currentData().toString().toStdString();
    shown_.clear();
    std::size_t urgent = 0, late = 0;
    for (std::size_t row = 0; row < due.rows(); ++row) {
      const bool in_time = strip_->chosen() >= 0 ? weekOf(row) == strip_->chosen() : due.find("due")->asText(row) <= until;
      if (!in_time || (!crew.empty() && due.find("crew")->asText(row) != crew) || (!kind.empty() && due.find("kind")->textAt(row) != kind)) continue;
      shown_.push_back(row);
      urgent += isUrgent(row) ? 1 : 0;
      late += weekOf(row) == 0 ? 1 : 0;
    }
    const auto rest = std::ranges::stable_partition(shown_, [this](std::size_t row) { return isUrgent(row); });
    std::reverse(shown_.begin(), rest.begin());  // what was left so last can still be put right; the older ones waited for a visit
    std::vector<qint64> blocks;
    for (const std::size_t row : shown_) blocks.push_back(blocks_[row]);
    list_->setRows(std::move(blocks), [this](std::size_t row) { return rowOf(shown_[row]); }, QStringLiteral("88 Mmm 88"));
    finding_words_ = (strip_->chosen() >= 0 ? tr("In the time chosen %1 due").arg(counted(static_cast<std::int64_t>(shown_.size()), tr("thing is"), tr("things are")))
                                            : tr("Up to %1, %2 due").arg(QString::fromStdString(toWords(findings.as_of + kAhead[static_cast<std::size_t>(ahead_->currentIndex())])),
                                                                          counted(static_cast<std::int64_t>(shown_.size()), tr("thing is"), tr("things are")))) +
                     (late == 0 ? QString() : tr("; %1 were due before %2").arg(QString::fromStdString(formatCount(static_cast<std::int64_t>(late))), QString::fromStdString(toWords(findings.as_of)))) +
                     (urgent == 0 ? QStringLiteral(".") : tr(". %1 urgent: they stand first.").arg(counted(static_cast<std::int64_t>(urgent), tr("is"), tr("are"))));
    setFinding(finding_words_);
  }

  bool isUrgent(std::size_t row) const { return room().findings()->due_ahead.find("kind")->textAt(row) == "urgent"; }

  Row rowOf(std::size_t row) const {
    const Table& due = room().findings()->due_ahead;
    const auto day = parseIsoDate(due.find("due")->textAt(row));
    const QString mark = day ? dayWords(*day) : tr("no day");
    const QString crew = QString::fromStdString(due.find("crew")->asText(row));
    return {mark, cell(due, "what", row), cell(due, "address", row) + (crew.isEmpty() ? QString() : tr(" · crew %1").arg(crew)) + QLatin1Char('\n') + cell(due, "because", row), isUrgent(row) || weekOf(row) == 0};
  }

  std::vector<qint64> blocks_;
  std::vector<std::size_t> shown_;  ///< rows of due_ahead
  QString finding_words_;
  QComboBox *ahead_, *crew_, *kind_;
  ChartView* strip_;
  RowList* list_;
};

}  // namespace

AnswerPage* makeDuePage(Workroom& room) { return new DuePage(room); }

}  // namespace leeward::window
