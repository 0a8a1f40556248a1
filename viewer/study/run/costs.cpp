#include "viewer/study/run/costs.h"

#include <array>
#include <map>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "analysis/outcomes/costs.h"
#include "analysis/outcomes/stock.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/findings.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using analysis::ChangeCounts;
constexpr std::array<std::pair<const char*, std::int64_t ChangeCounts::*>, 3> kPaidFor = {{{"animals met", &ChangeCounts::dogs_met}, {"improved", &ChangeCounts::improved}, {"neutered", &ChangeCounts::neutered}}};

/// Prices by item; those of the study file win.
Result<std::map<std::string, double>> pricesOf(const RunContext& context) {
  std::map<std::string, double> prices;
  LEEWARD_ASSIGN(stock, context.ledger.read(Entity::Stock));
  std::map<std::string, std::pair<double, double>> paid;  // money, for how many
  const auto item = textsOf(stock, "item"), move = textsOf(stock, "move");
  const Column &date = columnOf(stock, "date"), &quantity = columnOf(stock, "quantity"), &cost = columnOf(stock, "cost");
  for (std::size_t row = 0; row < stock.rows(); ++row) {
    if (move[row] != "in" || cost.isMissing(row) || *dateAt(date, row) > context.as_of) continue;
    auto& [money, count] = paid[analysis::itemKey(item[row])];
    money += *cost.asReal(row), count += quantity.asReal(row).value_or(0);
  }
  for (const auto& [name, one] : paid) {
    if (one.second > 0) prices[name] = one.first / one.second;
  }
  for (const auto& [name, price] : context.study.costs.prices) prices[analysis::itemKey(name)] = price;
  return prices;
}

/// What was spent in an area and period.
struct Spent {
  std::int64_t looks = 0, visits = 0;
  double given = 0;
};

struct CostColumns {
  std::vector<std::string> id, name, period, outcome;
  std::vector<std::int64_t> count;
  std::vector<double> hours, cost, hours_each, hours_low, hours_high, cost_each, cost_low, cost_high;
};

}  // namespace

Result<GivenAtLooks> givenAtLooks(const RunContext& context, const Book& book) {
  GivenAtLooks given;
  given.cost.assign(book.looks.rows(), 0);
  LEEWARD_ASSIGN(prices, pricesOf(context));
  using Rows = std::unordered_map<std::string_view, std::size_t>;  // the ids' letters are the book's
  Rows look_row(book.looks.rows()), visit_look(book.visits.rows());
  const Column &look_ids = columnOf(book.looks, "id"), &visit_ids = columnOf(book.visits, "id");
  for (std::size_t row = 0; row < look_ids.size(); ++row) look_row.emplace(look_ids.textAt(row), row);
  for (std::size_t row = 0; row < visit_ids.size(); ++row) visit_look.emplace(visit_ids.textAt(row), book.visit_look[row]);
  std::unordered_map<std::string, const double*> price_of;  // by the words as written
  const auto add = [&](const Rows& rows, const std::string& id, const std::string& item, double quantity) {
    const auto look = rows.find(id);
    if (look == rows.end()) return;  // after the day of the figures
    const auto [at, is_new] = price_of.try_emplace(item, nullptr);
    if (is_new) {
      const auto price = prices.find(analysis::itemKey(item));
      if (price != prices.end()) at->second = &price->second;
    }
    ++(at->second != nullptr ? given.priced : given.unpriced);
    if (at->second != nullptr) given.cost[look->second] += quantity * *at->second;
  };
  LEEWARD_ASSIGN(services, context.ledger.read(Entity::Services));
  const auto of_look = textsOf(services, "look_id"), service = textsOf(services, "item");
  const Column& quantity = columnOf(services, "quantity");
  for (std::size_t row = 0; row < services.rows(); ++row) add(look_row, of_look[row], service[row], quantity.asReal(row).value_or(1));
  LEEWARD_ASSIGN(treatments, context.ledger.read(Entity::Treatments));
  const auto of_visit = textsOf(treatments, "visit_id"), product = textsOf(treatments, "product");
  for (std::size_t row = 0; row < treatments.rows(); ++row) add(visit_look, of_visit[row], product[row], 1);
  return given;
}

Table costsTable(const RunContext& context, const std::vector<analysis::ChangedRow>& rows, const analysis::ChangedTotal& together, const BookEvents& events, const GivenAtLooks& given,
                 const std::vector<std::string>& area_ids, const std::vector<std::string>& area_names, Every every) {
  const auto& costs = context.study.costs;
  const auto& outings = context.study.outings;
  std::map<std::pair<std::int32_t, Period>, Spent> by_row;
  Spent all;
  for (std::size_t look = 0; look < events.looks.size(); ++look) {
    const auto& event = events.looks[look];
    for (Spent* spent : {&by_row[{event.area, periodOf(event.date, every)}], &all}) {
      ++spent->looks, spent->visits += event.visit ? 1 : 0, spent->given += given.cost[look];
    }
  }
  const bool has_prices = costs.crew_hour > 0 || given.priced > 0;
  CostColumns out;
  const auto add = [&](const std::string& id, const std::string& name, const std::string& period, const ChangeCounts& counts, const Spent& spent) {
    const double hours = analysis::hoursOf(spent.looks, spent.visits, outings.minutes_per_door, outings.minutes_per_visit, costs.share_beyond_doors);
    const double cost = has_prices ? hours * costs.crew_hour + spent.given : kNan;
    for (const auto& [outcome, count] : kPaidFor) {
      const auto in_hours = analysis::perOutcome(hours, counts.*count, context.study.level), in_money = analysis::perOutcome(cost, counts.*count, context.study.level);
      out.id.push_back(id), out.name.push_back(name), out.period.push_back(period), out.outcome.emplace_back(outcome), out.count.push_back(counts.*count);
      out.hours.push_back(hours), out.cost.push_back(cost), out.hours_each.push_back(in_hours.each), out.hours_low.push_back(in_hours.low), out.hours_high.push_back(in_hours.high);
      out.cost_each.push_back(in_money.each), out.cost_low.push_back(in_money.low), out.cost_high.push_back(in_money.high);
    }
  };
  for (const auto& row : rows) {
    const bool is_somewhere = row.area >= 0;
    const auto area = static_cast<std::size_t>(row.area);
    add(is_somewhere ? area_ids[area] : "", is_somewhere ? area_names[area] : "elsewhere", row.period.name(), row, by_row[{row.area, row.period}]);
  }
  if (!rows.empty()) add("", kTogether, "all", together, all);
  return TableMaker{}
      .named("area_id", out.id).texts("area_name", out.name).texts("period", out.period).texts("outcome", out.outcome).integers("count", out.count).rounded("hours", out.hours)
      .rounded("cost", out.cost).rounded("hours_each", out.hours_each).rounded("hours_low", out.hours_low).rounded("hours_high", out.hours_high).rounded("cost_each", out.cost_each)
      .rounded("cost_low", out.cost_low).rounded("cost_high", out.cost_high).done();
}

std::vector<std::string> costNotes(const StudyFile& study, const GivenAtLooks& given) {
  const auto& outings = study.outings;
  std::vector<std::string> notes = {fmt::format("Hours are reckoned, not clocked: {} minutes a look and {} more a visit{}.", formatNumber(outings.minutes_per_door), formatNumber(outings.minutes_per_visit),
                                                study.costs.share_beyond_doors > 0 ? fmt::format(", and {} % on top for what lies beyond doors", formatNumber(100 * study.costs.share_beyond_doors))
                                                                                   : std::string("; travel and typing are not in them"))};
  if (study.costs.crew_hour > 0) notes.back() += fmt::format(" An hour of a crew costs {}{}.", formatNumber(study.costs.crew_hour), study.costs.currency.empty() ? "" : " " + study.costs.currency);
  if (given.unpriced > 0 && (study.costs.crew_hour > 0 || given.priced > 0)) {
    notes.push_back(fmt::format("Of {} things given {} have no price and count as nothing.", formatCount(given.priced + given.unpriced), formatCount(given.unpriced)));
  }
  notes.emplace_back("The same hours stand behind every outcome, so these figures can't be added up; nor do they tell what one more would take, nor what would have come about without the team. The interval is that of the count alone.");
  return notes;
}

}  // namespace leeward::study
