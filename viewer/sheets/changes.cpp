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

}  // namespace

std::vector<draw::Chart> changeCharts(const study::Findings& findings) {
  const std::set<std::string> all = periodsOf(findings.changed);
  std::vector<std::string> periods(all.begin(), all.end());
  if (periods.size() > 8) periods.erase(periods.begin(), periods.end() - 8);
  std::vector<draw::Chart> charts;
  for (const Count& outcome : kOutcomes) {
    draw::Chart chart{QString::fromUtf8(outcome.heading), QString::fromUtf8(everyWords(findings.changed_every)), {}, {}, 0, 0};
    std::int64_t sum = 0;
    for (const std::string& period : periods) {
      std::int64_t n = 0;
      for (std::size_t row = 0; row < findings.changed.rows(); ++row) {
        if (textAt(findings.changed, "period", row) == period) n += countAt(findings.changed, outcome.column, row);
      }
      sum += n;
      const analysis::Interval limits = analysis::garwood(static_cast<double>(n), findings.level);
      chart.values.push_back({QString::fromStdString(period), static_cast<double>(n), limits.low, limits.high});
    }
    chart.counted = QStringLiteral("n = %1").arg(QString::fromStdString(formatCount(sum)));
    charts.push_back(std::move(chart));
  }
  const double top = draw::chartTop(charts);
  for (draw::Chart& chart : charts) chart.top = top;
  return charts;
}

TextTable changeTable(const study::Findings& findings, std::size_t periods) {
  TextTable table;
  table.columns = {{QStringLiteral("Period"), 52, draw::Align::Left}, {QStringLiteral("Area"), 0, draw::Align::Left}};
  for (const Count& column : kColumns) table.columns.push_back({QString::fromUtf8(column.heading), 48, draw::Align::Right});
  const std::set<std::string> all = periodsOf(findings.changed);
  std::array<std::int64_t, kColumns.size()> sums{};
  std::size_t shown = 0;
  for (auto period = all.rbegin(); period != all.rend() && shown < periods; ++period, ++shown) {
    for (std::size_t row = 0; row < findings.changed.rows(); ++row) {
      if (textAt(findings.changed, "period", row) != *period) continue;
      std::vector<QString> cells = {QString::fromStdString(*period),
                                    QString::fromStdString(textAt(findings.changed, "area_name", row))};
      for (std::size_t c = 0; c < kColumns.size(); ++c) {
        const std::int64_t n = countAt(findings.changed, kColumns[c].column, row);
        sums[c] += n;
        cells.push_back(QString::fromStdString(formatCount(n)));
      }
      table.rows.push_back(std::move(cells));
    }
  }
  if (!table.rows.empty()) {
    std::vector<QString> total = {QStringLiteral("Together"), QString()};
    for (std::size_t c = 0; c < kColumns.size(); ++c) {
      // Dogs are counted once a period and area; their sum would count one dog several times.
      const bool adds_up = std::string_view(kColumns[c].column) != "dogs_met";
      total.push_back(adds_up ? QString::fromStdString(formatCount(sums[c])) : QStringLiteral("\u2013"));
    }
    table.rows.push_back(std::move(total));
    table.strong_last_row = true;
  }
  return table;
}

draw::Chart firstBlocks(const study::Findings& findings, std::size_t blocks) {
  draw::Chart chart{
      QStringLiteral("The first blocks: dogs not yet met"),
      QStringLiteral("rank and block; expected, with %1\u00A0% interval").arg(QString::number(100 * findings.level, 'f', 0)),
      {},
      {},
      1,
      0};
  const Table& next = findings.next;
  const auto real = [&](const char* column, std::size_t row) {
    const Column* found = next.find(column);
    return found != nullptr ? found->asReal(row) : std::nullopt;
  };
  for (std::size_t row = 0; row < std::min(blocks, next.rows()); ++row) {
    const std::optional<double> unmet = real("unmet", row);
    if (!unmet) continue;
    chart.values.push_back({QStringLiteral("%1   %2").arg(row + 1).arg(QString::fromStdString(textAt(next, "block_id", row))),
                            *unmet, real("low", row), real("high", row)});
  }
  return chart;
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
