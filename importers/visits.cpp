// Visits: rows are read and checked, gathered to looks, and written as the ledger's tables.
#include "importers/visits.h"

#include <array>
#include <iterator>
#include <unordered_map>

#include "importers/crew_log.h"
#include "importers/look_tables.h"
#include "importers/several_animals.h"
#include "importers/values.h"
#include "importers/visit_row.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr std::size_t kBatch = 2000;

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
void sayIfNoVisits(const LookCounts& counts, const ColumnMap& map, RowReport& report) {
  if (counts.looks == 0 || counts.animals > 0) return;
  std::string known;
  for (const char* field : {"dogs_met", "door_result", "permission_by", "outcome"}) {
    if (const Pick* pick = map.find(field)) addDistinct(known, "'" + pick->heading + "'");
  }
  report.remarks.push_back("No row says that an animal was met, so these are looks without visits. An animal counts as met by dogs_met above 0, by door_result welcomed or a permission "
                           "with its name or looks, by a treatment or an outcome; " +
                           (known.empty() ? std::string("no column was taken for any of them: --map door_result=Column,dogs_met=Column") : "looked at: " + known));
}

class VisitPieces final : public CrewPieces {
 public:
  explicit VisitPieces(CrewLog log) : log_(std::move(log)) {}

  ImportBatch& head() override { return log_.head; }
  const ColumnMap& map() const override { return log_.map; }
  bool isWhole() const override { return log_.isWhole(); }

  Result<bool> next(ImportBatch& piece, Progress& progress) override {
    Progress reading = log_.isWhole() ? progress.part(0, 0.1) : progress;
    LEEWARD_ASSIGN(source, log_.next(reading));
    if (!source) return finish();
    Progress checking = log_.isWhole() ? progress.part(0.1, 1) : progress;
    LEEWARD_TRY(fill(piece, *source, checking));
    return true;
  }

  /// What the file decides as a whole.
  Result<void> decide();

 private:
  Result<void> fill(ImportBatch& piece, const Source& source, Progress& progress);
  Result<bool> finish();

  CrewLog log_;
  VisitStyles styles_;
  std::vector<std::string> style_remarks_;
  PartedCounts parted_;
  LookCounts looks_;
  PositionCounts positions_;
  UnknownWords unknown_;
};

/// The styles of the file's columns. Its dates decide together: what one column shows holds for those that show nothing.
Result<void> VisitPieces::decide() {
  const ColumnMap& map = log_.map;
  const std::string order = map.setting("date_order"), time_zone = map.setting("time_zone");
  LEEWARD_TRY(checkDateSettings(order, time_zone));
  const std::array<std::pair<const char*, DateStyle*>, 3> dates = {
      {{"date", &styles_.date}, {"return_by", &styles_.return_by}, {"permission_until", &styles_.permission_until}}};
  const auto heading = [&](const char* field) { return map.find(field)->heading; };
  for (const auto& [field, style] : dates) {
    if (map.find(field) == nullptr) continue;
    *style = dateStyleOf(log_.dates(field), heading(field), order, time_zone);
    if (!style->remark.empty()) style_remarks_.push_back(style->remark);
  }
  const auto shows = std::ranges::find_if(dates, [](const auto& one) { return one.second->decided && !one.second->mixed; });
  for (const auto& [field, style] : dates) {
    if (style->unclear.empty()) continue;
    if (shows == dates.end()) return (*undecidedDates(*style, heading(field))).at(log_.head.file_name);
    style->order = shows->second->order;
    style_remarks_.push_back(fmt::format("Dates in column '{}' are read {}, as those in column '{}' show", heading(field),
                                         style->order == DateOrder::DayFirst ? "day/month/year" : "month/day/year", heading(shows->first)));
  }
  if (const std::string why = map.setting("why"); !why.empty()) {
    const auto word = readWhyHere(why);
    if (word.bad()) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no reason for a look", why), "--map why=" + why, "Write planned, passing, caller, owner_asked or return"};
    }
    styles_.why_here = word.value.value_or(std::string_view{});
  }
  styles_.plus_minus = log_.hasPlus();
  styles_.body_scale = map.setting("scale");
  if (const auto scale = readBodyScale(styles_.body_scale); scale.bad()) {
    return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no body condition scale, or does not say which way it runs", styles_.body_scale), "--map scale=" + styles_.body_scale,
                   "Write five_ideal_first (1 ideal to 5 emaciated), five_thin_first (1 thin to 5 fat) or nine_thin_first (1 thin to 9 fat)"};
  }
  return {};
}

Result<void> VisitPieces::fill(ImportBatch& piece, const Source& source, Progress& progress) {
  RowReport& report = piece.report;
  const PartedRows parted = partAnimals(source.layer.table, log_.map, source.ragged);
  const Table& table = parted.table ? *parted.table : source.layer.table;
  parted_.add(parted.counts);
  Rows rows(table, log_.map, report);
  const VisitColumns columns(rows);
  std::vector<bool> refused = rows.refuseRagged(source.ragged);
  std::vector<VisitRow> visits(rows.size());
  std::vector<Fault> faults(rows.size());
  Progress checking = log_.isWhole() ? progress.part(0, 0.6) : progress.quiet();
  checking.report(0, "Checking visits");
  LEEWARD_TRY(checking.parallelFor(rows.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    for (std::size_t row = begin; row < end; ++row) faults[row] = readVisitRow(rows, columns, styles_, log_.frame, row, visits[row]);
  }));
  for (const auto& fault : parted.refused) faults[fault.row] = {rows.slot(fault.field), fault.reason, false};
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    positions_.positions += visits[row].has_position ? 1 : 0;
    positions_.exchanged += faults[row].exchanged ? 1 : 0;
    refused[row] = !faults[row].reason.empty();
    if (refused[row]) rows.refuse(row, faults[row].slot, std::move(faults[row].reason));
  }
  refuseWhole(parted, source.layer.table, refused, report);

  progress.report(log_.isWhole() ? 0.6 : log_.share(), "Gathering visits");
  const auto looks = gather(rows, columns, visits, refused);
  LookTables tables(rows, columns, visits, looks_);
  for (std::size_t i = 0; i < looks.size(); ++i) {
    if (i % kBatch == 0) {
      LEEWARD_TRY(progress.checkStop());
      if (log_.isWhole()) progress.report(0.6 + 0.4 * static_cast<double>(i) / static_cast<double>(looks.size()));
      if (i == kBatch) tables.expect(static_cast<double>(looks.size()) / static_cast<double>(kBatch));
    }
    if (refuseLook(rows, columns, looks[i], visits)) continue;
    tables.add(looks[i].source_key, looks[i].rows);
    log_.head.report.kept += parted.table ? originsOf(parted, looks[i].rows) : looks[i].rows.size();
  }
  keepAsTheyStood(parted, source.layer.table, report);
  tables.finish(piece);
  unknown_.add(report);
  std::ranges::stable_sort(report.refused, {}, &RefusedRow::line);
  return {};
}

Result<bool> VisitPieces::finish() {
  if (auto problem = positions_.allExchanged(log_.map)) return (*std::move(problem)).at(log_.head.file_name);
  RowReport& report = log_.head.report;
  for (auto said : {log_.remarks(), parted_.remarks(), style_remarks_, looks_.remarks()}) report.remarks.insert(report.remarks.end(), said.begin(), said.end());
  sayIfNoVisits(looks_, log_.map, report);
  std::ranges::move(unknown_.remarks(), std::back_inserter(report.remarks));
  return false;
}

}  // namespace

Result<std::unique_ptr<CrewPieces>> openVisits(const std::string& file, const Overrides& overrides, const StudyFrame& frame, std::size_t stretch_bytes, Progress& progress) {
  progress.report(0, "Reading visits");
  LEEWARD_ASSIGN(log, CrewLog::open(Kind::Visits, file, overrides, frame, stretch_bytes, progress));
  auto pieces = std::make_unique<VisitPieces>(std::move(log));
  LEEWARD_TRY(pieces->decide());
  return std::unique_ptr<CrewPieces>(std::move(pieces));
}

Result<CrewImport> importVisits(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress) {
  Progress reading = progress.part(0, 0.3), filling = progress.part(0.3, 1);
  LEEWARD_ASSIGN(pieces, openVisits(file, overrides, frame, 0, reading));
  return importAll(*pieces, filling);
}

}  // namespace leeward::importers
