// Visits: rows are read and checked, gathered to looks, and written as the ledger's tables.
#include "importers/visits.h"

#include <array>
#include <map>
#include <unordered_map>

#include "importers/look_tables.h"
#include "importers/several_animals.h"
#include "importers/values.h"
#include "importers/visit_row.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr std::size_t kBatch = 2000;

bool usesPlusAndMinus(const Rows& rows, const VisitColumns& columns) {
  for (const auto* slots : {&columns.found, &columns.left}) {
    for (const Rows::Slot slot : *slots) {
      for (std::size_t row = 0; slot && row < rows.size(); ++row) {
        if (rows.at(slot, row) == "+") return true;
      }
    }
  }
  return false;
}

/// The styles of the file's columns. Its dates decide together: what one column shows holds for those that show nothing.
Result<VisitStyles> stylesOf(const Rows& rows, const VisitColumns& columns, const Table& table, const StudyFrame& frame, CrewImport& import) {
  VisitStyles styles;
  const std::string order = import.map.setting("date_order"), time_zone = import.map.setting("time_zone");
  LEEWARD_TRY(checkDateSettings(order, time_zone));
  const std::array<std::pair<Rows::Slot, DateStyle*>, 3> dates = {
      {{columns.date, &styles.date}, {columns.return_by, &styles.return_by}, {columns.permission_until, &styles.permission_until}}};
  for (const auto& [slot, style] : dates) {
    if (!slot) continue;
    const bool of_the_past = style == &styles.date;
    *style = dateStyleOf(table.column(static_cast<std::size_t>(slot.column)), order, time_zone, of_the_past ? std::optional(frame.today) : std::nullopt);
    if (!style->remark.empty()) import.batch.report.remarks.push_back(style->remark);
  }
  const auto shows = std::ranges::find_if(dates, [](const auto& one) { return one.second->decided && !one.second->mixed; });
  for (const auto& [slot, style] : dates) {
    if (style->unclear.empty()) continue;
    if (shows == dates.end()) return *undecidedDates(*style, rows.heading(slot));
    style->order = shows->second->order;
    import.batch.report.remarks.push_back(fmt::format("Dates in column '{}' are read {}, as those in column '{}' show", rows.heading(slot),
                                                      style->order == DateOrder::DayFirst ? "day/month/year" : "month/day/year", rows.heading(shows->first)));
  }
  styles.plus_minus = usesPlusAndMinus(rows, columns);
  styles.body_scale = import.map.setting("scale");
  return styles;
}

/// Which rows make one look.
struct LookRows {
  std::string source_key;
  std::vector<std::size_t> rows;
};

std::string hashedKey(const Rows& rows, const VisitColumns& columns, std::size_t row, const VisitRow& visit) {
  Sha256 hash;
  hash.addField(visit.date ? toIso(*visit.date) : "").addField(visit.time).addField(rows.at(columns.crew, row));
  hash.addField(foldedText(visit.address)).addField(foldedText(rows.at(columns.place, row))).addField(rows.at(columns.postcode, row));
  if (visit.lon_lat) hash.addField(formatNumber(visit.lon_lat->x)).addField(formatNumber(visit.lon_lat->y));
  return "row:" + hash.hex().substr(0, 32);
}

/// Rows in looks, by visit_id or by what a look is made of; in order of first appearance.
std::vector<LookRows> gather(const Rows& rows, const VisitColumns& columns, const std::vector<VisitRow>& visits,
                             const std::vector<bool>& refused) {
  std::vector<LookRows> looks;
  std::unordered_map<std::string, std::size_t> by_key;
  by_key.reserve(visits.size());
  looks.reserve(visits.size());
  for (std::size_t row = 0; row < visits.size(); ++row) {
    if (refused[row]) continue;
    const std::string_view id = rows.at(columns.visit_id, row);
    std::string key = id.empty() ? hashedKey(rows, columns, row, visits[row]) : std::string(id);
    const auto [at, fresh] = by_key.emplace(key, looks.size());
    if (fresh) looks.push_back({std::move(key), {}});
    looks[at->second].rows.push_back(row);
  }
  return looks;
}

/// Refuses all rows of a look that have no date or place among them, or that contradict each other. True if refused.
bool refuseLook(Rows& rows, const VisitColumns& columns, const LookRows& look, const std::vector<VisitRow>& visits) {
  const auto refuseAll = [&](Rows::Slot slot, const std::string& reason) {
    for (const std::size_t row : look.rows) rows.refuse(row, slot, reason);
    return true;
  };
  std::optional<std::size_t> dated, placed;
  bool position = false;
  for (const std::size_t row : look.rows) {
    const VisitRow& visit = visits[row];
    if (visit.date && dated && *visit.date != *visits[*dated].date) {
      return refuseAll(columns.date, fmt::format("lines {} and {} are of one visit_id ({}) but of different dates; correct the date or the id",
                                                 rows.line(*dated), rows.line(row), look.source_key));
    }
    if (visit.date && !dated) dated = row;
    if (!visit.address.empty() && placed && foldedText(visit.address) != foldedText(visits[*placed].address)) {
      return refuseAll(columns.address, fmt::format("lines {} and {} are of one visit_id ({}) but of different addresses; correct the address or the id",
                                                    rows.line(*placed), rows.line(row), look.source_key));
    }
    if (!visit.address.empty() && !placed) placed = row;
    position = position || visit.lon_lat;
  }
  if (!dated) return refuseAll(columns.date, "there is no date");
  if (!placed && !position) return refuseAll(columns.address, "there is neither an address nor a position");
  return false;
}

/// Looks without a single visit are a log of nobody met, or one whose columns were not understood.
void sayIfNoVisits(const VisitColumns& columns, const Rows& rows, ImportBatch& batch) {
  if (batch.rows.at(Entity::Looks).rows() == 0 || batch.rows.at(Entity::Visits).rows() > 0) return;
  std::string known;
  for (const Rows::Slot slot : {columns.dogs_met, columns.door_result, columns.permission_by, columns.outcome}) {
    if (slot) addDistinct(known, "'" + rows.heading(slot) + "'");
  }
  batch.report.remarks.push_back("No row says that an animal was met, so these are looks without visits. An animal counts as met by dogs_met above 0, by door_result welcomed or a permission "
                                 "with its name or looks, by a treatment or an outcome; " +
                                 (known.empty() ? std::string("no column was taken for any of them: --map door_result=Column,dogs_met=Column") : "looked at: " + known));
}

}  // namespace

Result<CrewImport> importVisits(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress) {
  progress.report(0, "Reading visits");
  Progress reading = progress.part(0, 0.3);
  LEEWARD_ASSIGN(crew, openCrewFile(Kind::Visits, file, overrides, frame, reading));
  CrewImport import = std::move(crew.import);
  RowReport& report = import.batch.report;
  const PartedRows parted = partAnimals(crew.source.layer.table, import.map, crew.source.ragged);
  const Table& table = parted.table ? *parted.table : crew.source.layer.table;
  report.remarks.insert(report.remarks.end(), parted.remarks.begin(), parted.remarks.end());
  Rows rows(table, import.map, report);
  const VisitColumns columns(rows);
  auto found_styles = stylesOf(rows, columns, table, frame, import);
  if (!found_styles) return std::move(found_styles).problem().at(report.file);
  const VisitStyles styles = *std::move(found_styles);
  if (const auto scale = readBodyScale(styles.body_scale); scale.bad()) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no body condition scale, or does not say which way it runs", styles.body_scale), "--map scale=" + styles.body_scale,
                   "Write five_ideal_first (1 ideal to 5 emaciated), five_thin_first (1 thin to 5 fat) or nine_thin_first (1 thin to 9 fat)"};
  }

  progress.report(0.3, "Checking visits");
  std::vector<bool> refused = rows.refuseRagged(crew.source.ragged);
  std::vector<VisitRow> visits(rows.size());
  std::vector<Fault> faults(rows.size());
  Progress checking = progress.part(0.3, 0.7);
  LEEWARD_TRY(checking.parallelFor(rows.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    for (std::size_t row = begin; row < end; ++row) faults[row] = readVisitRow(rows, columns, styles, frame, row, visits[row]);
  }));
  std::size_t positions = 0, exchanged = 0;
  for (const auto& fault : parted.refused) faults[fault.row] = {rows.slot(fault.field), fault.reason, false};
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    positions += visits[row].has_position ? 1 : 0;
    exchanged += faults[row].exchanged ? 1 : 0;
    refused[row] = !faults[row].reason.empty();
    if (refused[row]) rows.refuse(row, faults[row].slot, std::move(faults[row].reason));
  }
  refuseWhole(parted, crew.source.layer.table, refused, report);
  if (auto problem = allExchanged(rows, columns.lon, columns.lat, positions, exchanged)) return (*std::move(problem)).at(report.file);

  progress.report(0.7, "Gathering visits");
  const auto looks = gather(rows, columns, visits, refused);
  LookTables tables(rows, columns, visits);
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (i % kBatch == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(0.7 + 0.3 * static_cast<double>(i) / static_cast<double>(looks.size()));
      if (i == kBatch) tables.expect(static_cast<double>(looks.size()) / static_cast<double>(kBatch));
    }
    if (refuseLook(rows, columns, looks[i], visits)) continue;
    tables.add(looks[i].source_key, looks[i].rows);
    report.kept += parted.table ? originsOf(parted, looks[i].rows) : looks[i].rows.size();
  }
  keepAsTheyStood(parted, crew.source.layer.table, report);
  tables.finish(import.batch);
  sayIfNoVisits(columns, rows, import.batch);
  sayUnknownWords(report);
  std::ranges::stable_sort(report.refused, {}, &RefusedRow::line);
  progress.report(1);
  return import;
}

}  // namespace leeward::importers
