#include "viewer/study/hand_over/counts.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/outcomes.h"

namespace leeward::study {
namespace {

using analysis::CellFate;
using analysis::CellStanding;

constexpr std::size_t kDogsMet = 2, kGivenUp = 3, kImproved = 4, kNeutered = 5, kReferred = 6;

struct Happened {
  std::int32_t area;  ///< -1 = in none
  Date date;
  std::size_t kind;
};

/// The first day on which an animal came to count as improved, by the ends of the periods in which it was checked, as elsewhere.
std::optional<Date> firstImproved(const analysis::CheckedAnimal& animal, const analysis::ImprovedRule& rule, Every every, Date as_of) {
  std::set<Period> periods;
  for (const auto& check : animal.found) {
    if (check.date <= as_of) periods.insert(periodOf(check.date, every));
  }
  for (const auto& period : periods) {
    const Date end = std::min(period.last(), as_of);
    if (analysis::judge(animal.found, rule, end).change == analysis::Change::Improved) return end;
  }
  return std::nullopt;
}

std::vector<Happened> happenings(const RunContext& context, const Book& book, const std::vector<std::int32_t>& area_of_look, Every every) {
  const auto events = eventsOf(book, area_of_look);
  std::vector<Happened> all;
  for (const auto& look : events.looks) {
    all.push_back({look.area, look.date, kLooks});
    if (look.visit) all.push_back({look.area, look.date, kVisits});
  }
  // Of an animal the first of each kind; those that can't be told apart each count.
  std::map<std::pair<std::int64_t, std::size_t>, Happened> first;
  const auto add = [&](std::int64_t animal, const Happened& one) {
    if (animal < 0) return void(all.push_back(one));
    auto [known, is_new] = first.try_emplace({animal, one.kind}, one);
    if (!is_new && one.date < known->second.date) known->second = one;
  };
  for (const auto& met : events.met) add(met.animal, {met.area, met.date, kDogsMet});
  for (const auto& outcome : events.outcomes) {
    const auto kind = outcome.kind == analysis::OutcomeKind::GivenUp ? kGivenUp : outcome.kind == analysis::OutcomeKind::Neutered ? kNeutered : kReferred;
    add(outcome.animal, {outcome.area, outcome.date, kind});
  }
  for (std::size_t i = 0; i < events.animals.size(); ++i) {
    if (const auto day = firstImproved(events.animals[i], improvedRule(context.study), every, context.as_of)) all.push_back({events.animals[i].area, *day, kImproved});
  }
  for (const auto& [key, one] : first) all.push_back(one);
  return all;
}

using CellName = std::tuple<std::string, std::string, std::string>;  ///< area, period, kind
struct Before {
  std::map<CellName, HandedCell> shown, withheld;
  std::map<CellName, HandedCell> counted;  ///< told to others only: open, but the figure stays
  bool empty() const { return shown.empty() && withheld.empty() && counted.empty(); }
};

/// What readers of this audience have been told. A partner reads what is public; what a partner was refused the public is refused too.
Result<Before> toldBefore(const Ledger& ledger, const std::string& audience, const std::string& tables) {
  Before before;
  for (const auto& other : {std::string("public"), std::string("partner")}) {
    LEEWARD_ASSIGN(known, ledger.handedTables(other));
    for (const auto& one : known) {
      if (one == tables) continue;
      return Problem{ProblemCode::BadData, fmt::format("figures were handed over by \"{}\" before; by \"{}\" as well, small counts could be worked out from the differences", one, tables), "",
                     "Hand over by the same areas and periods as before (--by, --every)"};
    }
    LEEWARD_ASSIGN(cells, ledger.handedCells(other, tables));
    const bool reads = other == audience || other == "public";
    for (auto& cell : cells) {
      CellName name{cell.area, cell.period, cell.kind};
      if (cell.withheld) before.withheld.emplace(std::move(name), cell);
      else if (reads) before.shown.emplace(std::move(name), cell);
      else before.counted.emplace(std::move(name), cell);
    }
  }
  for (const auto& [name, cell] : before.shown) before.withheld.erase(name);
  return before;
}

std::optional<std::pair<Period, Period>> wholePeriods(const std::vector<Happened>& all, const Before& before, Every every, Date as_of) {
  if (all.empty()) return std::nullopt;
  Period first = periodOf(std::ranges::min(all, {}, &Happened::date).date, every), last = periodOf(as_of, every);
  if (last.last() > as_of) --last.index;
  std::set<std::string> names;
  for (const auto* part : {&before.shown, &before.withheld, &before.counted}) {
    for (const auto& [name, cell] : *part) names.insert(std::get<1>(name));
  }
  for (int back = 0; back < 240 && !names.empty(); ++back) {  // rows may have been taken back since
    Period earlier = first;
    earlier.index -= 1;
    if (!names.contains(earlier.name())) break;
    first = earlier;
  }
  if (first > last) return std::nullopt;
  return std::pair(first, last);
}

/// Periods as columns, then the years of which all periods are there.
void addColumns(ToldCounts& told, Period first, Period last) {
  std::map<int, std::vector<std::size_t>> of_year;
  for (Period period = first; period <= last; ++period.index) {
    of_year[static_cast<int>(calendar(period.first()).year())].push_back(told.column.size());
    told.column.push_back(period.name());
  }
  told.periods = told.column.size();
  told.tree.group_of_period.assign(told.periods, -1);
  const std::size_t whole = first.every == Every::Month ? 12 : first.every == Every::Quarter ? 4 : 2;  // a year is no group of years
  for (const auto& [year, periods] : of_year) {
    if (periods.size() != whole) continue;
    for (const auto period : periods) told.tree.group_of_period[period] = static_cast<std::int32_t>(told.tree.groups);
    ++told.tree.groups;
    told.column.push_back(std::to_string(year));
  }
}

CellName nameOf(const ToldCounts& told, std::size_t area, std::size_t column, std::size_t kind) { return {told.area_id[area], told.column[column], kToldKinds[kind]}; }

template <class Visit>
void forCells(const ToldCounts& told, const Visit& visit) {
  for (std::size_t area = 0; area < told.area_id.size(); ++area) {
    for (std::size_t column = 0; column < told.column.size(); ++column) {
      for (std::size_t kind = 0; kind < kToldKinds.size(); ++kind) visit(area, column, kind);
    }
  }
}

/// Figures once told stay as they were told, withheld ones too, so that sums hold within them.
Result<void> freeze(ToldCounts& told, const Before& before) {
  if (before.empty()) return {};
  told.tree.standing.assign(told.area_id.size() * told.tree.columns() * told.tree.kinds, CellStanding::Open);
  std::size_t found = 0;
  forCells(told, [&](std::size_t area, std::size_t column, std::size_t kind) {
    const auto name = nameOf(told, area, column, kind);
    const auto shown = before.shown.find(name), withheld = before.withheld.find(name);
    const auto counted = before.counted.find(name);
    const bool is_shown = shown != before.shown.end(), is_withheld = withheld != before.withheld.end();
    if (!is_shown && !is_withheld && counted == before.counted.end()) return;
    found += is_shown || is_withheld ? 1 : 0;
    if (is_shown || is_withheld) told.tree.standing[told.tree.cell(area, column, kind)] = is_shown ? CellStanding::Shown : CellStanding::Withheld;
    const HandedCell& cell = is_shown ? shown->second : is_withheld ? withheld->second : counted->second;
    if (area > 0 && column < told.periods) told.tree.counts[(area * told.periods + column) * told.tree.kinds + kind] = cell.value;
  });
  if (found == before.shown.size() + before.withheld.size()) return {};
  return Problem{ProblemCode::BadData, "the areas are others than those by which figures were handed over before, so that small counts could be worked out from the differences", "",
                 "Use the area layer of the earlier hand-over"};
}

Problem openToAll(const ToldCounts& told) {
  const std::size_t cell = std::min<std::size_t>(told.counts.open_to_all.front(), told.counts.fate.size() - 1);
  const std::size_t column = cell / told.tree.kinds % told.tree.columns(), area = cell / told.tree.kinds / told.tree.columns();
  return Problem{ProblemCode::BadData, fmt::format("{} small {} would follow from what was handed over before (the first: {}, {})", told.counts.open_to_all.size(), told.counts.open_to_all.size() == 1 ? "count" : "counts", told.area_name[area], told.column[column]),
                 "", "Nothing can be handed over by these areas; a higher threshold from the first hand-over on prevents it"};
}

const char* reasonOf(CellFate fate) {
  switch (fate) {
    case CellFate::Small:
      return "a small count";
    case CellFate::Complement:
      return "a small count could be worked out from it";
    case CellFate::Earlier:
      return "it was withheld before";
    default:
      return "its area is not told apart";
  }
}

}  // namespace

std::optional<std::int64_t> ToldCounts::shown(std::size_t area, std::size_t at_column, std::size_t kind) const {
  if (!isShown(area, at_column, kind)) return std::nullopt;
  return counts.value[tree.cell(area, at_column, kind)];
}

Result<ToldCounts> toldCounts(const RunContext& context, const Book& book, const ToldAreas& areas, const std::string& audience, Every every, Progress& progress) {
  ToldCounts told;
  told.tables = fmt::format("{}, {}", areas.kind.empty() ? "whole" : areas.kind, every == Every::Month ? "month" : every == Every::Quarter ? "quarter" : "year");
  LEEWARD_ASSIGN(before, toldBefore(context.ledger, audience, told.tables));
  std::vector<std::int32_t> area_of_look(book.looks.rows(), -1);
  if (areas.layer.hasGeometry()) {
    LEEWARD_ASSIGN(located, areaOf(&areas.layer, book.look_position, progress));
    area_of_look = std::move(located);
  }
  const auto all = happenings(context, book, area_of_look, every);
  const auto span = wholePeriods(all, before, every, context.as_of);
  if (!span) return Problem{ProblemCode::BadData, "no period is whole yet, so there are no figures to hand over", "", "Wait for the end of the first period, or choose a shorter one by --every"};
  told.area_id = {"all"}, told.area_name = {"All together"};
  told.tree.parent = {-1};
  const auto ids = textsOf(areas.layer.table, "id"), names = textsOf(areas.layer.table, "name");
  for (std::size_t row = 0; row < ids.size(); ++row) told.area_id.push_back(ids[row]), told.area_name.push_back(names[row]), told.tree.parent.push_back(0);
  told.area_id.emplace_back("elsewhere"), told.area_name.emplace_back("In none of these, or not placed"), told.tree.parent.push_back(0);
  addColumns(told, span->first, span->second);
  told.tree.kinds = kToldKinds.size();
  told.tree.parts = {{kVisits, kLooks}};
  told.tree.counts.assign(told.area_id.size() * told.periods * told.tree.kinds, 0);
  for (const auto& one : all) {
    const Period period = periodOf(one.date, every);
    if (period < span->first || period > span->second) continue;
    const std::size_t area = one.area < 0 ? told.area_id.size() - 1 : static_cast<std::size_t>(one.area) + 1;
    ++told.tree.counts[(area * told.periods + static_cast<std::size_t>(period.index - span->first.index)) * told.tree.kinds + one.kind];
  }
  LEEWARD_TRY(freeze(told, before));
  LEEWARD_ASSIGN(counts, analysis::withholdTree(told.tree, {.threshold = context.study.audiences.at(audience).threshold}, progress));
  told.counts = std::move(counts);
  if (!told.counts.open_to_all.empty()) return openToAll(told);
  LEEWARD_ASSIGN(own, context.ledger.handedCells(audience, told.tables));
  std::set<CellName> known;
  for (const auto& cell : own) known.insert({cell.area, cell.period, cell.kind});
  forCells(told, [&](std::size_t area, std::size_t column, std::size_t kind) {
    const auto name = nameOf(told, area, column, kind);
    if (!known.contains(name)) told.news.push_back({std::get<0>(name), std::get<1>(name), std::get<2>(name), told.counts.value[told.tree.cell(area, column, kind)], !told.isShown(area, column, kind)});
  });
  return told;
}

Table toldTable(const ToldCounts& told, int threshold) {
  Table table;
  Column id("area_id", Column::Kind::Text), name("area", Column::Kind::Text), period("period", Column::Kind::Text), share("visits_per_100_looks", Column::Kind::Real), withheld("withheld", Column::Kind::Text);
  std::vector<Column> kinds;
  for (const char* kind : kToldKinds) kinds.emplace_back(kind, Column::Kind::Integer);
  const analysis::WithholdRule rule{.threshold = threshold};
  for (std::size_t area = 0; area < told.area_id.size(); ++area) {
    for (std::size_t column = 0; column < told.column.size(); ++column) {
      const std::size_t looks = told.tree.cell(area, column, kLooks), visits = told.tree.cell(area, column, kVisits);
      if (told.counts.fate[looks] == CellFate::Hidden) continue;  // an area that is not told apart
      id.addText(told.area_id[area]), name.addText(told.area_name[area]), period.addText(told.column[column]);
      std::vector<std::string> missing;
      for (std::size_t kind = 0; kind < kinds.size(); ++kind) {
        const auto value = told.shown(area, column, kind);
        if (value) kinds[kind].addInteger(*value);
        else kinds[kind].addMissing(), missing.emplace_back(kToldKinds[kind]);
      }
      const auto& [value, fate] = std::tie(told.counts.value, told.counts.fate);
      if (analysis::rateMayBeShown(value[visits], value[looks], fate[visits], fate[looks], rule)) share.addReal(std::round(1000.0 * static_cast<double>(value[visits]) / static_cast<double>(value[looks])) / 10);
      else share.addMissing();
      withheld.addText(join(missing, "; "));
    }
  }
  table.add(std::move(id)), table.add(std::move(name)), table.add(std::move(period));
  for (auto& kind : kinds) table.add(std::move(kind));
  table.add(std::move(share)), table.add(std::move(withheld));
  return table;
}

std::vector<std::string> withheldLines(const ToldCounts& told) {
  std::vector<std::string> lines;
  forCells(told, [&](std::size_t area, std::size_t column, std::size_t kind) {
    if (told.isShown(area, column, kind)) return;
    const std::size_t cell = told.tree.cell(area, column, kind);
    lines.push_back(fmt::format("{}, {}, {}: {} ({})", told.area_name[area], told.column[column], kToldKinds[kind], told.counts.value[cell], reasonOf(told.counts.fate[cell])));
  });
  return lines;
}

}  // namespace leeward::study
