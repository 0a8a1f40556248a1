#include "importers/stock.h"

#include <algorithm>
#include <iterator>
#include <unordered_map>

#include <fmt/format.h>

#include "importers/crew_log.h"
#include "importers/crew_rows.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr double kMostPieces = 1e6;

struct StockColumns {
  explicit StockColumns(const Rows& rows)
      : id(rows.slot("stock_id")), date(rows.slot("date")), move(rows.slot("move")), item(rows.slot("item")), quantity(rows.slot("quantity")), unit(rows.slot("unit")),
        van(rows.slot("van")), lot(rows.slot("lot")), use_by(rows.slot("use_by")), cost(rows.slot("cost")) {}
  Rows::Slot id, date, move, item, quantity, unit, van, lot, use_by, cost;
};

struct StockRow {
  Date date;
  std::string_view move;
  double quantity = 0;
  std::string use_by;
  std::optional<double> cost;
};

class StockPieces final : public CrewPieces {
 public:
  explicit StockPieces(CrewLog log) : log_(std::move(log)) {}

  ImportBatch& head() override { return log_.head; }
  const ColumnMap& map() const override { return log_.map; }
  bool isWhole() const override { return log_.isWhole(); }
  Result<void> decide();
  Result<bool> next(ImportBatch& piece, Progress& progress) override;

 private:
  Fault read(const Rows& rows, const StockColumns& columns, std::size_t row, StockRow& out) const;
  std::string hashOf(const Rows& rows, const StockColumns& columns, std::size_t row, const StockRow& read) const;
  Table table(Rows& rows, const StockColumns& columns, std::vector<StockRow>& read, std::vector<bool>& refused);

  CrewLog log_;
  DateStyle style_, use_by_;
  NumberStyle quantity_, cost_;
  std::unordered_map<std::string, std::size_t> repeats_;
};

Result<void> StockPieces::decide() {
  const std::string order = log_.map.setting("date_order"), heading = log_.map.find("date")->heading;
  LEEWARD_TRY(checkDateSettings(order, ""));
  style_ = dateStyleOf(log_.dates("date"), heading, order);
  if (auto undecided = undecidedDates(style_, heading)) return (*std::move(undecided)).at(log_.head.file_name);
  use_by_ = style_;
  if (const Pick* pick = log_.map.find("use_by")) {
    // One crew writes all its days one way, so the list's own days decide where the last days of use don't.
    const auto own = dateStyleOf(log_.dates("use_by"), pick->heading, order);
    if (own.decided || !style_.decided) use_by_ = own;
    if (auto undecided = undecidedDates(use_by_, pick->heading)) return (*std::move(undecided)).at(log_.head.file_name);
  }
  return {};
}

Fault StockPieces::read(const Rows& rows, const StockColumns& columns, std::size_t row, StockRow& out) const {
  auto when = readDate(rows.at(columns.date, row), style_);
  if (!when.value) return {columns.date, when.bad() ? std::move(when.why) : "there is no date", false};
  if (auto why = dateFault(when.value->date, log_.frame); !why.empty()) return {columns.date, std::move(why), false};
  out.date = when.value->date;
  auto move = readStockMove(rows.at(columns.move, row));
  if (!move.value) return {columns.move, move.bad() ? std::move(move.why) : "it is not said whether it came in, went out, was put on a van or counted", false};
  out.move = *move.value;
  if (rows.at(columns.item, row).empty()) return {columns.item, "nothing is named", false};
  auto quantity = readNumber(rows.at(columns.quantity, row), quantity_);
  if (!quantity.value) return {columns.quantity, quantity.bad() ? std::move(quantity.why) : "how many is not said", false};
  if (*quantity.value < 0 || *quantity.value > kMostPieces) return {columns.quantity, "a quantity runs from 0 to 1,000,000; what went out is written as out", false};
  if (*quantity.value == 0 && out.move != "counted") return {columns.quantity, "nothing was moved; only a count can find none", false};
  out.quantity = *quantity.value;
  if (rows.at(columns.van, row).empty() && (out.move == "load" || out.move == "unload")) return {columns.van, "which van is not said", false};
  auto use_by = readDate(rows.at(columns.use_by, row), use_by_);
  if (use_by.bad()) return {columns.use_by, std::move(use_by.why), false};
  out.use_by = use_by.value ? toIso(use_by.value->date) : "";
  auto cost = readNumber(rows.at(columns.cost, row), cost_);
  if (cost.bad()) return {columns.cost, std::move(cost.why), false};
  if (cost.value && *cost.value < 0) return {columns.cost, "a cost below zero", false};
  out.cost = cost.value;
  return {};
}

std::string StockPieces::hashOf(const Rows& rows, const StockColumns& columns, std::size_t row, const StockRow& read) const {
  Sha256 hash;
  hash.addField(toIso(read.date)).addField(read.move).addField(formatNumber(read.quantity)).addField(read.use_by).addField(read.cost ? formatNumber(*read.cost) : "");
  for (const Rows::Slot slot : {columns.item, columns.unit, columns.van, columns.lot}) hash.addField(rows.at(slot, row));
  return hash.hex();
}

Table StockPieces::table(Rows& rows, const StockColumns& columns, std::vector<StockRow>& read, std::vector<bool>& refused) {
  constexpr auto kWords = Column::Kind::Text;
  std::vector<std::string> hash(rows.size());
  std::unordered_map<std::string, std::vector<std::size_t>> by_id;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    hash[row] = hashOf(rows, columns, row, read[row]);
    if (const auto id = rows.at(columns.id, row); !id.empty()) by_id[std::string(id)].push_back(row);
  }
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const auto same = refused[row] ? by_id.end() : by_id.find(std::string(rows.at(columns.id, row)));
    if (same == by_id.end() || same->second.size() < 2) continue;
    const auto differs = [&](std::size_t other) { return hash[other] != hash[same->second.front()]; };
    if (std::ranges::any_of(same->second, differs)) {
      for (const auto other : same->second) rows.refuse(other, columns.id, fmt::format("{} rows have the stock_id {} and say different things; correct the id", same->second.size(), same->first)), refused[other] = true;
    } else {
      for (std::size_t i = 1; i < same->second.size(); ++i) refused[same->second[i]] = true, ++log_.head.report.kept;  // said twice: one
      same->second.resize(1);
    }
  }
  TableWriter writer({{"id", kWords}, {"source_key", kWords}, {"content_hash", kWords}, {"date", kWords}, {"move", kWords}, {"item", kWords}, {"quantity", Column::Kind::Real},
                      {"unit", kWords}, {"van", kWords}, {"lot", kWords}, {"use_by", kWords}, {"cost", Column::Kind::Real}});
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    const auto id = rows.at(columns.id, row);
    const std::string key = id.empty() ? fmt::format("row:{}:{}", hash[row].substr(0, 32), repeats_[hash[row]]++) : std::string(id);
    writer.id(newUuid()).id(key).id(hash[row]).text(toIso(read[row].date)).text(read[row].move).text(rows.at(columns.item, row)).real(read[row].quantity);
    writer.text(rows.at(columns.unit, row)).text(rows.at(columns.van, row)).text(rows.at(columns.lot, row)).textOrMissing(read[row].use_by).real(read[row].cost);
    ++log_.head.report.kept;
  }
  return writer.take();
}

Result<bool> StockPieces::next(ImportBatch& piece, Progress& progress) {
  LEEWARD_ASSIGN(source, log_.next(progress));
  auto& remarks = log_.head.report.remarks;
  if (!source) {
    std::ranges::move(log_.remarks(), std::back_inserter(remarks));
    for (const auto& said : {style_.remark, quantity_.remark, cost_.remark}) {
      if (!said.empty()) remarks.push_back(said);
    }
    return false;
  }
  const auto numbers = [&](const char* field) {
    const auto column = log_.map.column(field);
    return column ? numberStyleOf(source->layer.table.column(*column)) : NumberStyle{};
  };
  quantity_ = numbers("quantity"), cost_ = numbers("cost");
  Rows rows(source->layer.table, log_.map, piece.report);
  const StockColumns columns(rows);
  std::vector<bool> refused = rows.refuseRagged(source->ragged);
  std::vector<StockRow> read(rows.size());
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    Fault fault = this->read(rows, columns, row, read[row]);
    refused[row] = !fault.reason.empty();
    if (refused[row]) rows.refuse(row, fault.slot, std::move(fault.reason));
  }
  piece.rows.emplace(Entity::Stock, table(rows, columns, read, refused));
  std::ranges::stable_sort(piece.report.refused, {}, &RefusedRow::line);
  progress.report(log_.share());
  return true;
}

}  // namespace

Result<std::unique_ptr<CrewPieces>> openStock(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress) {
  progress.report(0, "Reading what came in and went out");
  LEEWARD_ASSIGN(log, CrewLog::open(Kind::Stock, file, overrides, frame, 0, progress));
  auto pieces = std::make_unique<StockPieces>(std::move(log));
  LEEWARD_TRY(pieces->decide());
  return std::unique_ptr<CrewPieces>(std::move(pieces));
}

}  // namespace leeward::importers
