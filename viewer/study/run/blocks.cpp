#include "viewer/study/run/blocks.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {


std::vector<std::int64_t> wide(const std::vector<int>& values) { return {values.begin(), values.end()}; }

/// A reason that begins with the streets around, by which people know a block: "Between A, B and C: of 34 doors ...".
std::string withStreets(const std::vector<std::string>& streets, std::string because) {
  if (streets.empty() || because.empty()) return because;
  because.front() = lowerAscii(because.substr(0, 1)).front();
  if (streets.size() == 1) return "By " + streets.front() + ": " + because;
  const std::vector<std::string> first(streets.begin(), streets.end() - 1);
  return "Between " + join(first, ", ") + " and " + streets.back() + ": " + because;
}

std::string isoOrNothing(const std::optional<Date>& date) { return date ? toIso(*date) : ""; }

}  // namespace

std::vector<analysis::RateFigure> rateFigures(const BlockFacts& facts) {
  std::vector<analysis::RateFigure> figures;
  bool has_heat = false;
  for (const auto& indicator : facts.indicators) {
    figures.push_back({indicator.label, indicator.values, indicator.more_is_more_need ? 1 : -1});
    has_heat = has_heat || indicator.values == facts.heat;
  }
  if (!has_heat && std::ranges::any_of(facts.heat, [](double v) { return std::isfinite(v); })) figures.push_back({"Heat", facts.heat, 0});
  return figures;
}

analysis::WhereNextRequest whereNextRequest(const RunContext& context, const std::vector<double>& need, std::span<const analysis::RateFigure> figures) {
  const StudyFile& study = context.study;
  analysis::WhereNextRequest request;
  request.unmet.level = study.level;
  request.unmet.need = need;
  request.unmet.figures = figures;
  request.rank = {.k = study.top_k, .draws = 1000, .level = study.level, .seed = study.seed};
  request.outing.hours = study.outings.hours;
  request.outing.minutes_per_door = study.outings.minutes_per_door;
  request.outing.minutes_per_visit = study.outings.minutes_per_visit;
  request.outing.walking_kmh = study.outings.walking_kmh;
  request.outing.driving_kmh = study.outings.driving_kmh;
  if (study.outings.start_lon_lat) {
    if (auto to_frame = Transform::between(context.positions(), context.frame)) request.outing.start = (*to_frame)(*study.outings.start_lon_lat);
  } else if (const Layer* blocks = context.layer("blocks"); blocks != nullptr && !blocks->geometry.bbox().isEmpty()) {
    request.outing.start = blocks->geometry.bbox().center();
  }
  return request;
}

std::string blocksKey(const RunContext& context, const Book& book, const std::string& facts_key) {
  const auto& study = context.study;
  std::vector<std::string> fields = {book.key, facts_key, std::to_string(study.seed), std::to_string(study.service_interval_days)};
  const auto& outings = study.outings;
  for (const double number : {study.level, study.half_life_days, outings.hours, outings.minutes_per_door, outings.minutes_per_visit, outings.walking_kmh,
                              outings.driving_kmh, outings.start_lon_lat ? outings.start_lon_lat->x : kNan, outings.start_lon_lat ? outings.start_lon_lat->y : kNan}) {
    fields.push_back(formatNumber(number));
  }
  for (const auto& [look, chances] : study.chance_of_seeing) {
    for (const double chance : chances) fields.push_back(look + formatNumber(chance));
  }
  return stepKey("blocks", fields);
}

namespace {

/// What hangs on the hours and minutes of an outing, a row a block.
struct RankColumns {
  explicit RankColumns(const BlockFacts& facts, const analysis::WhereNext& found) {
    const auto& ranking = found.ranking;
    const std::size_t n = ranking.rank.size();
    for (auto* column : {&rank, &low, &high}) column->resize(n);
    for (auto* column : {&minutes, &per_hour, &top, &rank_top}) column->assign(n, kNan);
    for (std::size_t i = 0; i < n; ++i) {
      because.push_back(withStreets(facts.streets[i], found.because[i]));
      if (ranking.rank[i] == 0) continue;
      rank[i] = ranking.rank[i], low[i] = ranking.rank_low[i], high[i] = ranking.rank_high[i];
      minutes[i] = ranking.minutes[i], per_hour[i] = ranking.per_crew_hour[i];
      top[i] = ranking.chance_top_k[i], rank_top[i] = ranking.chance_rank_k[i];
    }
  }
  std::vector<std::optional<std::int64_t>> rank, low, high;
  std::vector<double> minutes, per_hour, top, rank_top;
  std::vector<std::string> because;
};

}  // namespace

Layer blocksReranked(Layer blocks, const BlockFacts& facts, const analysis::WhereNext& found) {
  RankColumns columns(facts, found);
  const Table moved = TableMaker{}.rounded("need", facts.need).rounded("minutes", std::move(columns.minutes)).rounded("per_crew_hour", std::move(columns.per_hour)).rounded("chance_top_k", std::move(columns.top))
      .rounded("chance_rank_k", std::move(columns.rank_top)).integers("rank", columns.rank).integers("rank_low", columns.low).integers("rank_high", columns.high).texts("because", columns.because).done();
  for (const Column& column : moved.columns()) blocks.table.column(*blocks.table.indexOf(column.name())) = column;
  return blocks;
}

Layer blocksLayer(const Layer& blocks, const BlockFacts& facts, const analysis::WhereNext& found) {
  const auto& coverage = found.coverage.blocks;
  const auto& unmet = found.unmet;
  const std::size_t n = blocks.rows();
  const RankColumns ranks(facts, found);
  std::vector<std::string> state, last_look, streets;
  for (std::size_t i = 0; i < n; ++i) {
    state.emplace_back(analysis::stateKey(coverage.state[i]));
    last_look.push_back(isoOrNothing(coverage.last_look[i]));
    streets.push_back(join(facts.streets[i], ", "));
  }
  Layer layer;
  layer.name = "blocks";
  layer.geometry = blocks.geometry;
  layer.crs = blocks.crs;
  layer.table = TableMaker{}
      .texts("block_id", facts.id).named("group_id", facts.group).reals("people", facts.people).reals("housing_units", facts.housing_units)
      .integers("doors", wide(coverage.doors)).integers("doors_looked", wide(coverage.doors_looked)).integers("looks", wide(coverage.looks))
      .integers("planned_looks", wide(coverage.planned_looks)).integers("dogs_known", wide(coverage.dogs_known))
      .integers("dogs_overdue", wide(coverage.dogs_overdue)).integers("finds", wide(found.effort.finds)).rounded("share_never", coverage.share_never)
      .named("last_look", last_look).texts("state", state).rounded("rate", unmet.rate).rounded("rate_low", unmet.rate_low).rounded("rate_high", unmet.rate_high)
      .rounded("need", facts.need).rounded("heat", facts.heat).rounded("unmet", unmet.unmet).rounded("unmet_in_need", unmet.unmet_in_need)
      .rounded("mass", unmet.mass).rounded("minutes", ranks.minutes).rounded("per_crew_hour", ranks.per_hour).rounded("chance_top_k", ranks.top).rounded("chance_rank_k", ranks.rank_top)
      .integers("low", wide(unmet.low)).integers("high", wide(unmet.high)).integers("rank", ranks.rank).integers("rank_low", ranks.low).integers("rank_high", ranks.high)
      .texts("because", ranks.because).named("streets", streets).done();
  return layer;
}

Layer premisesLayer(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, const analysis::DoorCoverage& doors) {
  const std::size_t n = book.doors.size();
  std::vector<std::string> block(n), state(n), last_look(n);
  std::vector<std::int64_t> looked(n), dogs(n), asked(n);
  Layer layer;
  layer.name = "premises";
  layer.crs = context.frame;
  layer.geometry.reserve(n, n);
  for (std::size_t i = 0; i < n; ++i) {
    if (book.doors.block[i] >= 0) block[i] = block_ids[static_cast<std::size_t>(book.doors.block[i])];
    state[i] = analysis::stateKey(doors.state[i]);
    last_look[i] = isoOrNothing(doors.last_look[i]);
    looked[i] = doors.looks[i] > 0 ? 1 : 0;
    dogs[i] = doors.dogs_known[i];
    asked[i] = book.doors.asked_not_to_return[i] && *book.doors.asked_not_to_return[i] <= context.as_of ? 1 : 0;
    if (std::isnan(book.doors.position[i].x)) layer.geometry.addNone();
    else layer.geometry.addPoint(book.doors.position[i]);
  }
  layer.table = TableMaker{}
      .texts("premises_id", book.doors.id).named("block_id", block).texts("address", book.doors.address).integers("looked", looked)
      .named("last_look", last_look).integers("dogs_known", dogs).texts("state", state).integers("asked_not_to_return", asked).done();
  return layer;
}

Table nextTable(const Table& blocks) {
  std::vector<std::pair<std::int64_t, std::size_t>> ranked;
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    if (const auto rank = columnOf(blocks, "rank").asInteger(row)) ranked.emplace_back(*rank, row);
  }
  std::ranges::sort(ranked);
  std::vector<std::size_t> order;
  for (const auto& [rank, row] : ranked) order.push_back(row);
  Table shown;
  for (const char* name : {"block_id", "rank", "rank_low", "rank_high", "unmet", "unmet_in_need", "low", "high", "mass", "per_crew_hour", "chance_top_k",
                           "chance_rank_k", "doors", "doors_looked", "last_look", "state", "because"}) {
    shown.add(columnOf(blocks, name));
  }
  return shown.take(order);
}

}  // namespace leeward::study
