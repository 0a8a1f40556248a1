#include "viewer/study/run/record_facts.h"

#include <algorithm>
#include <set>
#include <string_view>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// Of the rows up to as_of alone: the ledger keeps placements of later rows and of texts that were corrected since.
Result<std::int64_t> undecidedIn(const Session& session) {
  std::set<std::string> of_rows;
  for (const Table* rows : {&session.book.looks, &session.book.sightings}) {
    for (auto& id : textsOf(*rows, "placement_id")) of_rows.insert(std::move(id));
  }
  LEEWARD_ASSIGN(placements, session.ledger.read(Entity::Placements));
  const auto ids = textsOf(placements, "id"), decisions = textsOf(placements, "decision");
  std::int64_t undecided = 0;
  for (std::size_t row = 0; row < ids.size(); ++row) undecided += decisions[row] == "undecided" && of_rows.contains(ids[row]) ? 1 : 0;
  return undecided;
}

std::vector<std::string> linesOf(std::string_view text) {
  std::vector<std::string> lines;
  for (const auto line : split(text, '\n')) {
    if (!line.empty()) lines.emplace_back(line);
  }
  return lines;
}

/// Figures of a day long after the last entry look like news of a quiet time.
void warnOfOldRecord(Findings& findings) {
  constexpr int kQuietDays = 45;  // over a month: a team on the road writes something every month
  const int quiet = findings.record_ends ? findings.as_of.days - findings.record_ends->days : 0;
  if (quiet < kQuietDays) return;
  findings.remarks.push_back(fmt::format("The record ends on {}, {} days before the day of these figures: what is overdue, and what changed lately, may only be not typed in yet. "
                                         "as_of under [study] in study.toml sets another day.",
                                         toWords(*findings.record_ends), formatCount(quiet)));
}

}  // namespace

Result<Table> recordFacts(const Session& session) {
  const Book& book = session.book;
  std::optional<Date> ends;
  for (const auto* days : {&book.look_date, &book.sighting_date}) {
    for (const Date day : *days) ends = std::max(ends, std::optional(day));
  }
  LEEWARD_ASSIGN(undecided, undecidedIn(session));
  return TableMaker{}
      .integers("looks", std::vector<std::int64_t>{static_cast<std::int64_t>(book.looks.rows())})
      .integers("sightings", std::vector<std::int64_t>{static_cast<std::int64_t>(book.sightings.rows())})
      .integers("undecided", std::vector<std::int64_t>{undecided}).named("ends", {ends ? toIso(*ends) : ""})
      .texts("remarks", std::vector<std::string>{join(session.context.remarks, "\n")}).done();
}

RecordFacts readRecordFacts(const Table& table) {
  const auto whole = [&](const char* column) { return columnOf(table, column).asInteger(0).value_or(0); };
  return {.looks = whole("looks"), .sightings = whole("sightings"), .undecided = whole("undecided"), .ends = dateAt(columnOf(table, "ends"), 0),
          .remarks = linesOf(columnOf(table, "remarks").asText(0))};
}

void tellRecord(const RecordFacts& facts, Findings& findings) {
  findings.totals.looks = facts.looks, findings.totals.sightings = facts.sightings, findings.totals.undecided = facts.undecided;
  findings.record_ends = facts.ends;
  if (facts.undecided > 0) {
    findings.remarks.push_back(fmt::format("{} addresses as typed could not be decided between several places; looks there count for no door.", facts.undecided));
  }
  warnOfOldRecord(findings);
  findings.remarks.insert(findings.remarks.end(), facts.remarks.begin(), facts.remarks.end());
}

}  // namespace leeward::study
