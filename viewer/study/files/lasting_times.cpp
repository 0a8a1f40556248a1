#include "viewer/study/files/lasting_times.h"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

#include "analysis/trends/competing.h"
#include "shared/base/text.h"
#include "viewer/study/files/time_columns.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// The usable rows.
struct Subjects {
  std::vector<double> days;
  std::vector<std::int32_t> cause;  ///< 0 = no outcome so far, 1 = it came; with competing 1 .. names
  std::vector<std::int32_t> group;
  std::vector<std::string> causes;  ///< names, in order of first appearance
};

/// Yes 1, no or blank 0, else nothing. English and Spanish, as in visit logs.
std::optional<std::int32_t> cameTo(std::string_view text) {
  static constexpr std::array<std::string_view, 7> kYes = {"1", "yes", "y", "true", "x", "si", "s\xC3\xAD"};
  static constexpr std::array<std::string_view, 5> kNo = {"", "0", "no", "n", "false"};
  const std::string word = lowerAscii(trim(text));
  if (std::ranges::find(kYes, word) != kYes.end()) return 1;
  if (std::ranges::find(kNo, word) != kNo.end()) return 0;
  return std::nullopt;
}

std::int32_t causeOf(std::string_view text, Subjects& subjects) {
  const std::string name(trim(text));
  const std::string word = lowerAscii(name);
  if (word.empty() || word == "0" || word == "none" || word == "no") return 0;
  const auto known = std::ranges::find(subjects.causes, name);
  if (known == subjects.causes.end()) return subjects.causes.push_back(name), static_cast<std::int32_t>(subjects.causes.size());
  return static_cast<std::int32_t>(known - subjects.causes.begin()) + 1;
}

Result<Subjects> subjectsOf(const LastingRequest& request, const Table& table, const Groups& groups, std::vector<RefusedRow>& refused) {
  const std::string& source = request.table.source;
  std::vector<RefusedRow> no_first, no_last;
  LEEWARD_ASSIGN(from, daysOf(table, request.from, source, "--from", no_first));
  LEEWARD_ASSIGN(to, daysOf(table, request.to, source, "--to", no_last));
  LEEWARD_ASSIGN(event, needColumn(table, request.event, source, "--event"));
  refused = std::move(no_first);
  Subjects subjects;
  std::size_t next_without_last = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (!to[row]) {
      RefusedRow without = std::move(no_last[next_without_last++]);
      if (from[row]) refused.push_back(std::move(without));
      continue;
    }
    if (!from[row]) continue;
    const std::string text = event->asText(row);
    const auto cause = request.competing ? std::optional(causeOf(text, subjects)) : cameTo(text);
    if (*to[row] < *from[row]) refused.push_back(refusedRow(table, row, request.to, "the last day is before the first"));
    else if (!cause) refused.push_back(refusedRow(table, row, request.event, "neither yes nor no; for several outcomes add --competing"));
    else subjects.days.push_back(to[row]->days - from[row]->days), subjects.cause.push_back(*cause), subjects.group.push_back(groups.of_row[row]);
  }
  std::ranges::stable_sort(refused, {}, &RefusedRow::line);
  if (subjects.days.empty()) return Problem{ProblemCode::BadData, "no row has a first day, a later last day and a mark of the outcome", source, "Check the columns"};
  return subjects;
}

/// Rows of the answer.
struct LastingRows {
  std::vector<std::string> by, outcome;
  std::vector<std::int64_t> at_risk, events;
  std::vector<double> days, share, se, low, high;

  void add(const std::string& group, const std::string& which, double at, std::size_t risk, std::size_t count, double value, double error, analysis::Interval limits) {
    by.push_back(group), outcome.push_back(which), days.push_back(at);
    at_risk.push_back(static_cast<std::int64_t>(risk)), events.push_back(static_cast<std::int64_t>(count));
    share.push_back(value), se.push_back(error), low.push_back(limits.low), high.push_back(limits.high);
  }

  Table table(const LastingRequest& request) const {
    TableMaker made;
    if (!request.by.empty()) made.texts("by", by);
    if (request.competing) made.texts("outcome", outcome);
    return made.reals("days", days).integers("at_risk", at_risk).integers("events", events).reals(request.competing ? "share" : "without", share).reals("se", se)
        .reals("low", low).reals("high", high).done();
  }
};

Result<LastingAnswer::Group> addCurve(const Subjects& of_group, const std::string& name, double level, LastingRows& rows) {
  const std::vector<std::uint8_t> came(of_group.cause.begin(), of_group.cause.end());
  LEEWARD_ASSIGN(curve, analysis::kaplanMeier(of_group.days, came, level, analysis::SurvivalLimits::LogLog));
  for (const auto& step : curve.steps) rows.add(name, {}, step.time, step.at_risk, step.events, step.survival, step.se, step.limits);
  return LastingAnswer::Group{name, curve.n, curve.events, curve.median};
}

Result<LastingAnswer::Group> addIncidence(const Subjects& of_group, const std::vector<std::string>& causes, const std::string& name, double level, LastingRows& rows) {
  LEEWARD_ASSIGN(steps, analysis::cumulativeIncidence(of_group.days, of_group.cause, causes.size(), level));
  LastingAnswer::Group group{name, of_group.days.size(), 0, 0};
  for (std::size_t k = 0; k < causes.size(); ++k) {
    for (const auto& step : steps) {
      if (step.events[k] == 0) continue;
      group.events += step.events[k];
      rows.add(name, causes[k], step.time, step.at_risk, step.events[k], step.incidence[k], step.se[k], step.limits[k]);
    }
  }
  return group;
}

}  // namespace

Result<LastingAnswer> lastingTimes(const LastingRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(input, readInput(request.table, progress));
  LEEWARD_ASSIGN(groups, groupsOf(input.table, request.by, request.table.source));
  LastingAnswer answer;
  LEEWARD_ASSIGN(all, subjectsOf(request, input.table, groups, answer.refused));
  LastingRows rows;
  for (std::size_t g = 0; g < groups.names.size(); ++g) {
    LEEWARD_TRY(progress.checkStop());
    Subjects part;
    for (std::size_t i = 0; i < all.days.size(); ++i) {
      if (all.group[i] == static_cast<std::int32_t>(g)) part.days.push_back(all.days[i]), part.cause.push_back(all.cause[i]);
    }
    if (part.days.empty()) continue;
    LEEWARD_ASSIGN(group, request.competing ? addIncidence(part, all.causes, groups.names[g], request.level, rows) : addCurve(part, groups.names[g], request.level, rows));
    answer.groups.push_back(std::move(group));
  }
  if (!request.competing && answer.groups.size() > 1) {
    const std::vector<std::uint8_t> came(all.cause.begin(), all.cause.end());
    LEEWARD_ASSIGN(difference, analysis::logRank(all.days, came, all.group, groups.names.size(), 0));
    answer.difference = std::move(difference);
  }
  answer.layer.name = "lasting";
  answer.layer.table = rows.table(request);
  return answer;
}

}  // namespace leeward::study
