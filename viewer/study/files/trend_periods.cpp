#include "viewer/study/files/trend_periods.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "analysis/rates/intervals.h"
#include "shared/base/missing.h"
#include "viewer/study/files/time_columns.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// One series' sums by period, from the first period of all series.
struct PeriodSums {
  std::vector<double> value, exposure;
  std::vector<bool> has_rows;
};

int periodsAYear(Every every) { return every == Every::Month ? 12 : every == Every::Quarter ? 4 : 1; }

bool areCounts(const std::vector<double>& values) {
  return std::ranges::all_of(values, [](double value) { return std::isnan(value) || (value >= 0 && value == std::floor(value)); });
}

/// What is followed: the value, or the value over its exposure; nan where there is none.
std::vector<double> followed(const PeriodSums& series, bool with_exposure) {
  std::vector<double> values = series.value;
  for (std::size_t i = 0; with_exposure && i < values.size(); ++i) values[i] = series.exposure[i] > 0 ? values[i] / series.exposure[i] : kNan;
  return values;
}

Result<Trend> trendOf(const PeriodSums& series, const std::string& name, Period first, const TrendRequest& request, Layer& out) {
  Trend trend;
  trend.name = name;
  const auto values = followed(series, !request.exposure.empty());
  trend.kendall = analysis::mannKendall(values);
  std::vector<double> times;
  for (std::size_t i = 0; i < values.size(); ++i) times.push_back(static_cast<double>(i));
  if (request.by_season) {
    const int a_year = periodsAYear(request.every);
    std::vector<int> season, year;
    for (std::size_t i = 0; i < values.size(); ++i) {
      const int index = first.index + static_cast<int>(i);
      season.push_back(index % a_year), year.push_back(index / a_year);
    }
    LEEWARD_ASSIGN(seasonal, analysis::seasonalKendall(values, season, year));
    trend.seasonal = seasonal;
    trend.sen = {.slope = seasonal.slope, .interval = {kNan, kNan}};
  } else {
    LEEWARD_ASSIGN(sen, analysis::senSlope(values, times, request.level));
    trend.sen = sen;
  }
  if (!areCounts(series.value)) return trend;
  auto poisson = analysis::poissonTrend(series.value, request.exposure.empty() ? std::vector<double>{} : series.exposure, times, request.level);
  if (poisson) trend.poisson = *poisson;
  else out.remarks.push_back(fmt::format("{}no steady change was fitted: {}", name.empty() ? "" : name + ": ", poisson.problem().what));
  return trend;
}

Result<std::vector<PeriodSums>> periodSums(const TrendRequest& request, const Table& table, const std::vector<std::optional<Date>>& days, const Groups& groups, Period first,
                                             std::size_t periods, std::vector<RefusedRow>& refused) {
  const auto& source = request.table.source;
  LEEWARD_ASSIGN(values, needNumbers(table, request.value, source, "--value", true));
  std::vector<double> exposure(values.size(), 0);
  if (!request.exposure.empty()) {
    LEEWARD_ASSIGN(given, needNumbers(table, request.exposure, source, "--exposure", true));
    exposure = std::move(given);
  }
  std::vector<PeriodSums> all(groups.names.size(), {std::vector<double>(periods, 0), std::vector<double>(periods, 0), std::vector<bool>(periods, false)});
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (!days[row]) continue;  // refused before
    if (std::isnan(values[row]) || std::isnan(exposure[row])) {
      refused.push_back(refusedRow(table, row, std::isnan(values[row]) ? request.value : request.exposure, "no number"));
      continue;
    }
    if (exposure[row] < 0) return Problem{ProblemCode::BadData, "an exposure is below 0", fmt::format("{}, {}", source, rowName(table, row)), "Correct it"};
    PeriodSums& series = all[static_cast<std::size_t>(groups.of_row[row])];
    const auto at = static_cast<std::size_t>(periodOf(*days[row], request.every).index - first.index);
    series.value[at] += values[row], series.exposure[at] += exposure[row], series.has_rows[at] = true;
  }
  for (PeriodSums& series : all) {
    for (std::size_t i = 0; i < periods; ++i) {
      if (!request.exposure.empty() && !series.has_rows[i]) series.value[i] = kNan;
    }
  }
  return all;
}

/// The rows of the answer, built series by series.
struct TrendRows {
  std::vector<std::string> by, period, first_day;
  std::vector<double> value, exposure, rate, low, high, s, z, p, sen, change, change_low, change_high;

  void add(const PeriodSums& series, const Trend& trend, Period first, const TrendRequest& request) {
    const auto values = followed(series, !request.exposure.empty());
    const bool counts = areCounts(series.value);
    for (std::size_t i = 0; i < values.size(); ++i) {
      const Period at{request.every, first.index + static_cast<std::int32_t>(i)};
      by.push_back(trend.name), period.push_back(at.name()), first_day.push_back(toIso(at.first()));
      value.push_back(series.value[i]), exposure.push_back(series.exposure[i]), rate.push_back(values[i]);
      const auto limits = counts && !std::isnan(values[i]) ? analysis::garwood(series.value[i], request.level) : analysis::Interval{kNan, kNan};
      const double per = request.exposure.empty() ? 1 : series.exposure[i];
      low.push_back(limits.low / per), high.push_back(limits.high / per);
      s.push_back(static_cast<double>(trend.seasonal ? trend.seasonal->s : trend.kendall.s));
      z.push_back(trend.seasonal ? trend.seasonal->z : trend.kendall.z), p.push_back(trend.seasonal ? trend.seasonal->p : trend.kendall.p);
      sen.push_back(trend.sen.slope);
      change.push_back(trend.poisson ? trend.poisson->change : kNan);
      change_low.push_back(trend.poisson ? trend.poisson->change_interval.low : kNan);
      change_high.push_back(trend.poisson ? trend.poisson->change_interval.high : kNan);
    }
  }

  Table table(const TrendRequest& request) const {
    TableMaker made;
    if (!request.by.empty()) made.texts("by", by);
    made.texts("period", period).texts("first_day", first_day).reals("value", value);
    if (!request.exposure.empty()) made.reals("exposure", exposure).reals("rate", rate);
    return made.reals("low", low).reals("high", high).reals("mk_s", s).reals("mk_z", z).reals("mk_p", p).reals("sen_slope", sen).reals("change", change)
        .reals("change_low", change_low).reals("change_high", change_high).done();
  }
};

}  // namespace

Result<TrendAnswer> trendOfPeriods(const TrendRequest& request, Progress& progress) {
  if (request.by_season && request.every == Every::Year) {
    return Problem{ProblemCode::InvalidArgument, "a year has no seasons when periods are whole years", "--season", "Use --every month or quarter"};
  }
  LEEWARD_ASSIGN(input, readInput(request.table, progress));
  TrendAnswer answer;
  LEEWARD_ASSIGN(days, daysOf(input.table, request.when, request.table.source, "--when", answer.refused));
  LEEWARD_ASSIGN(groups, groupsOf(input.table, request.by, request.table.source));
  std::optional<Period> first, last;
  for (const auto& day : days) {
    if (!day) continue;
    const Period at = periodOf(*day, request.every);
    first = first ? std::min(*first, at) : at, last = last ? std::max(*last, at) : at;
  }
  constexpr std::size_t kMostPeriods = 5000;
  const auto periods = static_cast<std::size_t>(last->index - first->index) + 1;
  if (periods > kMostPeriods) {
    return Problem{ProblemCode::BadData, fmt::format("the days span {} periods, from {} to {}", periods, first->name(), last->name()), request.table.source, "Correct the days, or take longer periods"};
  }
  LEEWARD_ASSIGN(series, periodSums(request, input.table, days, groups, *first, periods, answer.refused));
  std::ranges::stable_sort(answer.refused, {}, &RefusedRow::line);
  TrendRows rows;
  for (std::size_t g = 0; g < series.size(); ++g) {
    LEEWARD_TRY(progress.checkStop());
    LEEWARD_ASSIGN(trend, trendOf(series[g], groups.names[g], *first, request, answer.layer));
    rows.add(series[g], trend, *first, request);
    answer.trends.push_back(std::move(trend));
  }
  answer.layer.name = "trend";
  answer.layer.table = rows.table(request);
  return answer;
}

}  // namespace leeward::study
