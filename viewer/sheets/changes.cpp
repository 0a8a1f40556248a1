#include "viewer/sheets/changes.h"

#include "analysis/rates/intervals.h"
#include "shared/base/text.h"

namespace leeward::sheets {
namespace {

struct Count {
  const char* column;
  const char* heading;
};
constexpr std::array<Count, 4> kOutcomes = {{{"given_up", "Given up to the team"},
                                             {"improved", "Improved"},
                                             {"neutered", "Neutered"},
                                             {"referred", "Referred to an authority"}}};
constexpr std::array<Count, 7> kColumns = {{{"looks", "Looks"},
                                            {"visits", "Visits"},
                                            {"dogs_met", "Dogs met"},
                                            {"given_up", "Given up"},
                                            {"improved", "Improved"},
                                            {"neutered", "Neutered"},
                                            {"referred", "Referred"}}};

std::string textAt(const Table& table, const char* column, std::size_t row) {
  const Column* found = table.find(column);
  return found != nullptr ? found->asText(row) : std::string();
}

std::int64_t countAt(const Table& table, const char* column, std::size_t row) {
  const Column* found = table.find(column);
  return found != nullptr ? found->asInteger(row).value_or(0) : 0;
}

std::set<std::string> periodsOf(const Table& changed) {
  std::set<std::string> periods;
  for (std::size_t row = 0; row < changed.rows(); ++row) periods.insert(textAt(changed, "period", row));
  return periods;
}

const char* everyWords(Every every) {
  return every == Every::Month ? "dogs a month" : every == Every::Quarter ? "dogs a quarter" : "dogs a year";
}

/// A street of each block, for where there is no room for all of them; its id where none is known.
std::map<std::string, std::string> shortNames(const Table& blocks) {
  std::map<std::string, std::string> names;
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    const std::string id = textAt(blocks, "block_id", row), streets = textAt(blocks, "streets", row);
    names.emplace(id, streets.empty() ? id : streets.substr(0, streets.find(", ")));
  }
  return names;
}

}  // namespace

std::vector<draw::Chart> changeCharts(const study::Findings& findings) {
  const std::set<std::string> all = periodsOf(findings.changed);
  std::vector<std::string> periods(all.begin(), all.end());
  if (periods.size() > study::kChartPeriods) periods.erase(periods.begin(), periods.end() - study::kChartPeriods);
  const std::string partial = study::partialPeriod(findings.changed);  // "2025 Q3, to 14 Sep"
  const std::string first_partial = study::firstPartialPeriod(findings.changed);  // drawn open like one that isn't over
  std::vector<draw::Chart> charts;
  for (const Count& outcome : kOutcomes) {
    draw::Chart chart{QString::fromUtf8(outcome.heading), QString::fromUtf8(everyWords(findings.changed_every)), {}, {}, 0, 0};
    if (!first_partial.empty() && first_partial != partial && first_partial.starts_with(periods.front())) chart.unit += QStringLiteral("; ") + QString::fromStdString(first_partial);
    if (!partial.empty()) chart.unit += QStringLiteral("; ") + QString::fromStdString(partial);
    for (const std::string& period : periods) {
      std::int64_t n = 0;
      for (std::size_t row = 0; row < findings.changed.rows(); ++row) {
        if (textAt(findings.changed, "period", row) == period) n += countAt(findings.changed, outcome.column, row);
      }
      const analysis::Interval limits = analysis::garwood(static_cast<double>(n), findings.level);
      chart.values.push_back({QString::fromStdString(period), static_cast<double>(n), limits.low, limits.high, partial.starts_with(period) || first_partial.starts_with(period)});
    }
    // Dogs, not dogs times periods: one that stands in several periods counts once.
    if (const auto dogs = study::changedTotal(findings.changed_totals, study::kTogether, study::kChartPeriods, outcome.column)) {
      chart.counted = (*dogs == 1 ? QStringLiteral("n = %1 dog in all") : QStringLiteral("n = %1 dogs in all")).arg(QString::fromStdString(formatCount(*dogs)));
    }
    charts.push_back(std::move(chart));
  }
  const double top = draw::chartTop(charts);
  for (draw::Chart& chart : charts) chart.top = top;
  return charts;
}

TextTable changeTable(const study::Findings& findings) {
  TextTable table;
  table.columns = {{QStringLiteral("Period"), 52, draw::Align::Left}, {QStringLiteral("Area"), 0, draw::Align::Left}};
  for (const Count& column : kColumns) table.columns.push_back({QString::fromUtf8(column.heading), 45, draw::Align::Right});
  const std::set<std::string> all = periodsOf(findings.changed);
  int shown = 0;
  for (auto period = all.rbegin(); period != all.rend() && shown < study::kShownPeriods; ++period, ++shown) {
    for (std::size_t row = 0; row < findings.changed.rows(); ++row) {
      if (textAt(findings.changed, "period", row) != *period) continue;
      std::vector<QString> cells = {QString::fromStdString(study::periodWords(findings.changed, row)),
                                    QString::fromStdString(textAt(findings.changed, "area_name", row))};
      for (const Count& column : kColumns) cells.push_back(QString::fromStdString(formatCount(countAt(findings.changed, column.column, row))));
      table.rows.push_back(std::move(cells));
    }
  }
  if (table.rows.empty() || !study::changedTotal(findings.changed_totals, study::kTogether, study::kShownPeriods, "looks")) return table;
  // Not the sum of the rows: a dog that stands in several periods counts once.
  std::vector<QString> total = {QStringLiteral("Together"), QStringLiteral("each once")};
  for (const Count& column : kColumns) {
    total.push_back(QString::fromStdString(formatCount(*study::changedTotal(findings.changed_totals, study::kTogether, study::kShownPeriods, column.column))));
  }
  table.rows.push_back(std::move(total));
  table.strong_last_row = true;
  return table;
}

draw::Chart firstBlocks(const study::Findings& findings, std::size_t blocks) {
  draw::Chart chart{
      QStringLiteral("The first blocks: dogs not yet met"),
      QStringLiteral("rank and a street of the block; expected, with %1\u00A0% interval").arg(QString::number(100 * findings.level, 'f', 0)),
      {},
      {},
      1,
      0};
  const Table& next = findings.next;
  const auto real = [&](const char* column, std::size_t row) {
    const Column* found = next.find(column);
    return found != nullptr ? found->asReal(row) : std::nullopt;
  };
  const auto names = shortNames(findings.blocks.table);
  for (std::size_t row = 0; row < std::min(blocks, next.rows()); ++row) {
    const std::optional<double> unmet = real("unmet", row);
    if (!unmet) continue;
    chart.values.push_back({QStringLiteral("%1   %2").arg(row + 1).arg(QString::fromStdString(names.at(textAt(next, "block_id", row)))),
                            *unmet, real("low", row), real("high", row)});
  }
  return chart;
}

QString claimedWords(const study::Findings& findings, std::size_t blocks) {
  const Column* mass = findings.next.find("mass");
  double least = 1, most = 0;
  for (std::size_t row = 0; mass != nullptr && row < std::min(blocks, findings.next.rows()); ++row) {
    if (const auto value = mass->asReal(row)) least = std::min(least, *value), most = std::max(most, *value);
  }
  if (most <= 0) return {};
  // Rounded to the side of less claim at the low end; 100 is never claimed.
  const auto percent = [](double value) { return value > 0.995 ? QStringLiteral("more than 99") : QString::number(std::floor(100 * value), 'f', 0); };
  const QString claim = percent(least) == percent(most) ? percent(least) : percent(least) + QStringLiteral(" to ") + percent(most);
  return QStringLiteral("Intervals of whole numbers hold more than the %1\u00A0% asked for: these claim %2\u00A0%.")
      .arg(QString::number(100 * findings.level, 'f', 0), claim);
}

QString improvedShare(const study::Findings& findings) {
  const study::Findings::Totals& t = findings.totals;
  if (t.improved_of <= 0) return {};
  const analysis::Interval share =
      analysis::wilson(static_cast<double>(t.improved), static_cast<double>(t.improved_of), findings.level);
  const auto percent = [](double value) { return QString::number(100 * value, 'f', 0) + QStringLiteral("\u00A0%"); };
  return QStringLiteral(
             "Of %1 dogs with two full checks %2 improved (%3); the %4 interval of that share is %5 to %6 (Wilson 1927).")
      .arg(QString::fromStdString(formatCount(t.improved_of)), QString::fromStdString(formatCount(t.improved)),
           percent(static_cast<double>(t.improved) / static_cast<double>(t.improved_of)), percent(findings.level),
           percent(share.low), percent(share.high));
}

}  // namespace leeward::sheets
