#include "viewer/study/what_is_in_stock.h"

#include <algorithm>
#include <map>
#include <tuple>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "analysis/outcomes/stock.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/bring.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

std::string vanKey(std::string_view written) { return lowerAscii(trim(written)); }

/// Numbers for names, in order of first use.
class Names {
 public:
  std::int32_t add(const std::string& key, const std::string& shown) {
    const auto [at, is_new] = index_.try_emplace(key, static_cast<std::int32_t>(shown_.size()));
    if (is_new) shown_.push_back(shown);
    return at->second;
  }
  std::optional<std::int32_t> find(const std::string& key) const {
    const auto found = index_.find(key);
    return found == index_.end() ? std::nullopt : std::optional(found->second);
  }
  const std::vector<std::string>& shown() const { return shown_; }
  std::size_t size() const { return shown_.size(); }

 private:
  std::map<std::string, std::int32_t> index_;
  std::vector<std::string> shown_;
};

/// The stock's own entries and what the log of visits says was given.
struct StockBook {
  Names items, vans;
  std::vector<std::string> unit;  ///< by item
  std::vector<analysis::StockEntry> entries;
  std::vector<analysis::StockUse> uses;
  std::size_t no_van = 0;  ///< uses that no van is named for
};

void readEntries(const Table& stock, StockBook& book) {
  static const std::map<std::string, analysis::StockMove> kMoves = {{"in", analysis::StockMove::In}, {"out", analysis::StockMove::Out}, {"load", analysis::StockMove::Load},
                                                                    {"unload", analysis::StockMove::Unload}, {"counted", analysis::StockMove::Counted}};
  const auto item = textsOf(stock, "item"), van = textsOf(stock, "van"), unit = textsOf(stock, "unit"), move = textsOf(stock, "move");
  const Column &date = columnOf(stock, "date"), &quantity = columnOf(stock, "quantity"), &use_by = columnOf(stock, "use_by"), &cost = columnOf(stock, "cost");
  for (std::size_t row = 0; row < stock.rows(); ++row) {
    const auto key = analysis::itemKey(item[row]);
    const auto day = dateAt(date, row);
    if (key.empty() || !day) continue;
    const auto at = book.items.add(key, key);
    book.unit.resize(book.items.size());
    auto& said = book.unit[static_cast<std::size_t>(at)];
    if (said.empty()) said = unit[row];
    const auto place = vanKey(van[row]);
    book.entries.push_back({*day, kMoves.at(move[row]), at, place.empty() ? analysis::kStore : book.vans.add(place, std::string(trim(van[row]))), quantity.asReal(row).value_or(0), dateAt(use_by, row),
                            cost.asReal(row)});
  }
}

Result<void> readUses(const Ledger& ledger, StockBook& book) {
  LEEWARD_ASSIGN(looks, ledger.read(Entity::Looks));
  std::unordered_map<std::string, std::size_t> look_row;
  const auto look_ids = textsOf(looks, "id"), crew = textsOf(looks, "crew");
  for (std::size_t row = 0; row < look_ids.size(); ++row) look_row.emplace(look_ids[row], row);
  const Column& date = columnOf(looks, "date");
  const auto add = [&](const std::string& look_id, const std::string& written, double quantity) {
    const auto item = book.items.find(analysis::itemKey(written));
    const auto look = look_row.find(look_id);
    if (!item || look == look_row.end()) return;
    auto van = book.vans.find(vanKey(crew[look->second]));
    if (!van && book.vans.size() == 1) van = 0;
    book.no_van += van || book.vans.size() == 0 ? 0 : 1;
    book.uses.push_back({*dateAt(date, look->second), *item, van.value_or(analysis::kStore), quantity});
  };
  LEEWARD_ASSIGN(services, ledger.read(Entity::Services));
  const auto of_look = textsOf(services, "look_id"), service = textsOf(services, "item");
  for (std::size_t row = 0; row < services.rows(); ++row) add(of_look[row], service[row], columnOf(services, "quantity").asReal(row).value_or(1));
  LEEWARD_ASSIGN(treatments, ledger.read(Entity::Treatments));
  if (treatments.rows() == 0) return {};
  LEEWARD_ASSIGN(visits, ledger.read(Entity::Visits));
  std::unordered_map<std::string, std::string> look_of_visit;
  const auto visit_ids = textsOf(visits, "id"), visit_look = textsOf(visits, "look_id");
  for (std::size_t row = 0; row < visit_ids.size(); ++row) look_of_visit.emplace(visit_ids[row], visit_look[row]);
  const auto of_visit = textsOf(treatments, "visit_id"), product = textsOf(treatments, "product");
  for (std::size_t row = 0; row < treatments.rows(); ++row) {
    if (const auto look = look_of_visit.find(of_visit[row]); look != look_of_visit.end()) add(look->second, product[row], 1);
  }
  return {};
}

double onVans(const analysis::ItemStock& stock) {
  double sum = 0;
  for (const double quantity : stock.on_van) sum += quantity;
  return sum;
}

Table itemsTable(const StockBook& book, const std::vector<analysis::ItemStock>& stock, const std::map<std::string, double>& needed) {
  std::map<std::string, std::optional<std::size_t>> rows;  // by name
  for (std::size_t item = 0; item < book.items.size(); ++item) rows[book.items.shown()[item]] = item;
  for (const auto& [item, count] : needed) rows.try_emplace(item);
  std::vector<std::string> name, unit, vans, use_by, counted;
  std::vector<double> in_store, on_vans, came_in, given, went_out, to_bring, lacking, cost_each;
  for (const auto& [item, at] : rows) {
    const auto found = needed.find(item);
    const double need = found == needed.end() ? 0 : found->second;
    name.push_back(item), to_bring.push_back(need), unit.push_back(at ? book.unit[*at] : "");
    // An item of which nothing was ever written is not known to be lacking; it is not known at all.
    const analysis::ItemStock none{}, &own = at ? stock[*at] : none;
    const auto known = [&](double value) { return at ? value : kNan; };
    std::vector<std::string> by_van;
    for (std::size_t van = 0; van < own.on_van.size(); ++van) {
      if (own.on_van[van] != 0) by_van.push_back(book.vans.shown()[van] + " " + formatNumber(own.on_van[van]));
    }
    vans.push_back(join(by_van, "; "));
    in_store.push_back(known(own.in_store)), on_vans.push_back(known(onVans(own))), came_in.push_back(known(own.came_in)), given.push_back(known(own.given)), went_out.push_back(known(own.went_out));
    lacking.push_back(known(std::max(0.0, need - std::max(0.0, own.in_store) - std::max(0.0, onVans(own)))));
    use_by.push_back(own.use_by ? toIso(*own.use_by) : ""), counted.push_back(own.counted ? toIso(*own.counted) : ""), cost_each.push_back(own.cost_each.value_or(kNan));
  }
  return TableMaker{}.texts("item", name).named("unit", unit).reals("in_store", in_store).reals("on_vans", on_vans).named("vans", vans).reals("came_in", came_in).reals("given", given)
      .reals("went_out", went_out).reals("to_bring", to_bring).reals("short", lacking).named("use_by", use_by).named("counted", counted).rounded("cost_each", cost_each).done();
}

Table loadsTable(const StockBook& book, const std::vector<analysis::ItemStock>& stock, const Table& bring) {
  const auto crew = textsOf(bring, "crew"), item = textsOf(bring, "item");
  std::vector<double> to_bring, on_van, load, in_store;
  for (std::size_t row = 0; row < bring.rows(); ++row) {
    const double need = columnOf(bring, "to_bring").asReal(row).value_or(0);
    const auto at = book.items.find(item[row]);
    auto van = book.vans.find(vanKey(crew[row]));
    if (!van && book.vans.size() == 1) van = 0;
    const double there = at && van ? stock[static_cast<std::size_t>(*at)].on_van[static_cast<std::size_t>(*van)] : 0;
    to_bring.push_back(need), on_van.push_back(at ? there : kNan), load.push_back(std::max(0.0, need - std::max(0.0, there)));
    in_store.push_back(at ? stock[static_cast<std::size_t>(*at)].in_store : kNan);
  }
  return TableMaker{}.named("crew", crew).texts("item", item).reals("to_bring", to_bring).reals("on_van", on_van).reals("load", load).reals("in_store", in_store).done();
}

std::vector<std::string> remarksOn(const StockBook& book, const std::vector<analysis::ItemStock>& stock) {
  std::vector<std::string> remarks;
  for (std::size_t item = 0; item < stock.size(); ++item) {
    const auto say = [&](double quantity, const std::string& where) {
      if (quantity < 0) remarks.push_back(fmt::format("{}: {} {}, so more left than was written to have come: count anew", book.items.shown()[item], formatNumber(quantity), where));
    };
    say(stock[item].in_store, "in the store");
    for (std::size_t van = 0; van < stock[item].on_van.size(); ++van) say(stock[item].on_van[van], "on " + book.vans.shown()[van]);
  }
  if (book.no_van > 0) remarks.push_back(fmt::format("{} gifts and treatments are of crews that no van is named for; they are taken from the store", formatCount(static_cast<std::int64_t>(book.no_van))));
  return remarks;
}

}  // namespace

Table toBring(const Table& due) {
  const auto premises = textsOf(due, "premises_id"), dog = textsOf(due, "dog_name"), crew = textsOf(due, "crew"), words = textsOf(due, "bring");
  std::map<std::tuple<std::string, std::string, std::string, std::string>, double> most;  // crew, item, door, animal
  for (std::size_t row = 0; row < due.rows(); ++row) {
    for (const auto& [item, count] : bringFrom(words[row])) {
      double& known = most[{crew[row], item, premises[row], dog[row]}];
      known = std::max(known, count);
    }
  }
  std::map<std::pair<std::string, std::string>, double> sums;
  std::map<std::tuple<std::string, std::string, std::string>, std::pair<double, double>> of_door;  // said for the door as a whole, and by animal
  for (const auto& [key, count] : most) {
    const auto& [of_crew, item, door, animal] = key;
    auto& [whole, each] = of_door[{of_crew, item, door}];
    (animal.empty() ? whole : each) += count;
  }
  for (const auto& [key, counts] : of_door) sums[{std::get<0>(key), std::get<1>(key)}] += std::max(counts.first, counts.second);
  std::vector<std::string> by, item;
  std::vector<double> count;
  for (const auto& [key, sum] : sums) by.push_back(key.first), item.push_back(key.second), count.push_back(sum);
  return TableMaker{}.named("crew", by).texts("item", item).reals("to_bring", count).done();
}

Result<StockOutcome> whatIsInStock(const DueRequest& request, Progress& progress) {
  auto listing = progress.part(0, 0.7);
  LEEWARD_ASSIGN(due, whatIsDue(request, listing));
  LEEWARD_ASSIGN(study, readStudyFile(request.run.folder));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  StockBook book;
  LEEWARD_ASSIGN(rows, ledger.read(Entity::Stock));
  readEntries(rows, book);
  if (book.items.size() > 0) LEEWARD_TRY(readUses(ledger, book));
  LEEWARD_TRY(ledger.close());
  const auto stock = analysis::stockBalances(book.entries, book.uses, book.items.size(), book.vans.size(), due.as_of);
  const Table bring = toBring(due.due);
  std::map<std::string, double> needed;
  for (std::size_t row = 0; row < bring.rows(); ++row) needed[columnOf(bring, "item").asText(row)] += columnOf(bring, "to_bring").asReal(row).value_or(0);
  progress.report(1);
  return StockOutcome{itemsTable(book, stock, needed), loadsTable(book, stock, bring), due.as_of, due.until, remarksOn(book, stock)};
}

}  // namespace leeward::study
