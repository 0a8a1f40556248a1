#include "importers/sightings.h"

#include <iterator>
#include <unordered_map>

#include "importers/crew_log.h"
#include "importers/crew_rows.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr std::int64_t kMostSeen = 200;

struct Columns {
  explicit Columns(const Rows& rows)
      : id(rows.slot("sighting_id")), date(rows.slot("date")), time(rows.slot("time")), lon(rows.slot("lon")), lat(rows.slot("lat")),
        address(rows.slot("address")), place(rows.slot("place")), postcode(rows.slot("postcode")), what(rows.slot("what")),
        count(rows.slot("count")), description(rows.slot("description")), source(rows.slot("source")), notes(rows.slot("notes")) {}
  Rows::Slot id, date, time, lon, lat, address, place, postcode, what, count, description, source, notes;
};

struct Sighting {
  Date date;
  std::string time, hash;
  std::optional<Point> lon_lat;
  std::string_view what, source;
  std::optional<std::int64_t> count;
  bool has_position = false;
};

Fault readSighting(const Rows& rows, const Columns& columns, const DateStyle& style, const StudyFrame& frame, std::size_t row, Sighting& sighting) {
  Position position = readPosition(rows.at(columns.lon, row), rows.at(columns.lat, row), frame);
  sighting.has_position = position.lon_lat || !position.why.empty();
  if (!position.why.empty()) return {position.wrong_lon ? columns.lon : columns.lat, std::move(position.why), position.exchanged};
  sighting.lon_lat = position.lon_lat;
  if (!position.lon_lat && rows.at(columns.address, row).empty()) return {columns.address, "there is neither an address nor a position", false};
  auto when = readDate(rows.at(columns.date, row), style);
  if (!when.value) return {columns.date, when.bad() ? std::move(when.why) : "there is no date", false};
  if (auto why = dateFault(when.value->date, frame); !why.empty()) return {columns.date, std::move(why), false};
  sighting.date = when.value->date;
  sighting.time = std::move(when.value->time);
  if (auto time = readTime(rows.at(columns.time, row)); time.bad()) return {columns.time, std::move(time.why), false};
  else if (time.value) sighting.time = *std::move(time.value);
  auto what = readSightingWhat(rows.at(columns.what, row));
  if (what.bad()) return {columns.what, std::move(what.why), false};
  sighting.what = what.value.value_or(std::string_view{});
  auto source = readSightingSource(rows.at(columns.source, row));
  if (source.bad()) return {columns.source, std::move(source.why), false};
  sighting.source = source.value.value_or(std::string_view{});
  auto count = readCount(rows.at(columns.count, row), kMostSeen);
  if (count.bad()) return {columns.count, std::move(count.why), false};
  if (count.value == 0) return {columns.count, "a sighting of none is no sighting; leave the count blank if it is not known", false};
  sighting.count = count.value;
  return {};
}

std::string contentHash(const Rows& rows, const Columns& columns, std::size_t row, const Sighting& sighting) {
  Sha256 hash;
  hash.addField(toIso(sighting.date)).addField(sighting.time).addField(sighting.what).addField(sighting.source);
  hash.addField(std::to_string(sighting.count.value_or(1)));
  hash.addField(sighting.lon_lat ? formatNumber(sighting.lon_lat->x) + " " + formatNumber(sighting.lon_lat->y) : std::string{});
  for (const Rows::Slot slot : {columns.address, columns.place, columns.postcode, columns.description, columns.notes}) hash.addField(rows.at(slot, row));
  return hash.hex();
}

/// Rows to write, in order: the first of rows that say the same; both refused where one id says different things.
struct Chosen {
  std::vector<std::size_t> rows;
  std::vector<std::string> keys;
  std::size_t repeats = 0;
};

Chosen choose(Rows& rows, const Columns& columns, const std::vector<Sighting>& sightings, const std::vector<bool>& refused) {
  std::unordered_map<std::string, std::size_t> first;
  std::vector<bool> clashes(rows.size(), false);
  std::vector<std::pair<std::size_t, std::string>> order;
  Chosen chosen;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    const std::string_view id = rows.at(columns.id, row);
    std::string key = id.empty() ? "row:" + sightings[row].hash.substr(0, 32) : std::string(id);
    const auto [at, fresh] = first.emplace(key, row);
    if (fresh) {
      order.emplace_back(row, std::move(key));
    } else if (sightings[at->second].hash == sightings[row].hash) {
      ++chosen.repeats;
    } else {
      const std::string reason = fmt::format("lines {} and {} have one sighting_id ({}) but say different things; correct the id",
                                             rows.line(at->second), rows.line(row), id);
      if (!clashes[at->second]) rows.refuse(at->second, columns.id, reason);
      rows.refuse(row, columns.id, reason);
      clashes[at->second] = clashes[row] = true;
    }
  }
  for (auto& [row, key] : order) {
    if (clashes[row]) continue;
    chosen.rows.push_back(row);
    chosen.keys.push_back(std::move(key));
  }
  return chosen;
}

Table sightingsTable(const Rows& rows, const Columns& columns, const std::vector<Sighting>& sightings, const Chosen& chosen) {
  constexpr auto kWords = Column::Kind::Text;
  TableWriter writer({{"id", kWords}, {"source_key", kWords}, {"content_hash", kWords}, {"date", kWords}, {"time", kWords}, {"address", kWords},
                      {"place", kWords}, {"postcode", kWords}, {"placement_id", kWords}, {"premises_id", kWords}, {"animal_id", kWords},
                      {"what", kWords}, {"count", Column::Kind::Integer}, {"description", kWords}, {"source", kWords}, {"notes", kWords},
                      {"lon", Column::Kind::Real}, {"lat", Column::Kind::Real}});
  for (std::size_t i = 0; i < chosen.rows.size(); ++i) {
    const std::size_t row = chosen.rows[i];
    const Sighting& sighting = sightings[row];
    writer.id(newUuid()).id(chosen.keys[i]).id(sighting.hash).text(toIso(sighting.date)).text(sighting.time);
    writer.text(rows.at(columns.address, row)).text(rows.at(columns.place, row)).text(rows.at(columns.postcode, row)).none().none().none();
    writer.text(sighting.what.empty() ? "dog" : sighting.what).integer(sighting.count.value_or(1)).text(rows.at(columns.description, row));
    writer.text(sighting.source.empty() ? "crew" : sighting.source).text(rows.at(columns.notes, row));
    writer.real(sighting.lon_lat ? std::optional(sighting.lon_lat->x) : std::nullopt);
    writer.real(sighting.lon_lat ? std::optional(sighting.lon_lat->y) : std::nullopt);
  }
  return writer.take();
}

class SightingPieces final : public CrewPieces {
 public:
  explicit SightingPieces(CrewLog log) : log_(std::move(log)) {}

  ImportBatch& head() override { return log_.head; }
  const ColumnMap& map() const override { return log_.map; }
  bool isWhole() const override { return log_.isWhole(); }

  Result<bool> next(ImportBatch& piece, Progress& progress) override {
    LEEWARD_ASSIGN(source, log_.next(progress));
    if (!source) return finish();
    LEEWARD_TRY(fill(piece, *source, progress));
    return true;
  }

  Result<void> decide() {
    const std::string order = log_.map.setting("date_order"), time_zone = log_.map.setting("time_zone"), heading = log_.map.find("date")->heading;
    LEEWARD_TRY(checkDateSettings(order, time_zone));
    style_ = dateStyleOf(log_.dates("date"), heading, order, time_zone);
    if (auto undecided = undecidedDates(style_, heading)) return (*std::move(undecided)).at(log_.head.file_name);
    return {};
  }

 private:
  Result<void> fill(ImportBatch& piece, const Source& source, Progress& progress);
  Result<bool> finish();

  CrewLog log_;
  DateStyle style_;
  PositionCounts positions_;
  UnknownWords unknown_;
  std::size_t no_what_ = 0, no_source_ = 0, no_count_ = 0, repeats_ = 0;
};

Result<void> SightingPieces::fill(ImportBatch& piece, const Source& source, Progress& progress) {
  RowReport& report = piece.report;
  Rows rows(source.layer.table, log_.map, report);
  const Columns columns(rows);
  std::vector<bool> refused = rows.refuseRagged(source.ragged);
  std::vector<Sighting> sightings(rows.size());
  std::vector<Fault> faults(rows.size());
  LEEWARD_TRY(progress.quiet().parallelFor(rows.size(), 2000, [&](std::size_t begin, std::size_t end) {
    for (std::size_t row = begin; row < end; ++row) {
      faults[row] = readSighting(rows, columns, style_, log_.frame, row, sightings[row]);
      if (faults[row].reason.empty()) sightings[row].hash = contentHash(rows, columns, row, sightings[row]);
    }
  }));
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (refused[row]) continue;
    positions_.positions += sightings[row].has_position ? 1 : 0;
    positions_.exchanged += faults[row].exchanged ? 1 : 0;
    refused[row] = !faults[row].reason.empty();
    if (refused[row]) {
      rows.refuse(row, faults[row].slot, std::move(faults[row].reason));
      continue;
    }
    no_what_ += sightings[row].what.empty() ? 1 : 0;
    no_source_ += sightings[row].source.empty() ? 1 : 0;
    no_count_ += sightings[row].count ? 0 : 1;
  }
  const Chosen chosen = choose(rows, columns, sightings, refused);
  log_.head.report.kept += chosen.rows.size() + chosen.repeats;
  repeats_ += chosen.repeats;
  piece.rows.emplace(Entity::Sightings, sightingsTable(rows, columns, sightings, chosen));
  unknown_.add(report);
  std::ranges::stable_sort(report.refused, {}, &RefusedRow::line);
  progress.report(log_.share());
  return {};
}

Result<bool> SightingPieces::finish() {
  if (auto problem = positions_.allExchanged(log_.map)) return (*std::move(problem)).at(log_.head.file_name);
  auto& remarks = log_.head.report.remarks;
  std::ranges::move(log_.remarks(), std::back_inserter(remarks));
  if (!style_.remark.empty()) remarks.push_back(style_.remark);
  const auto remark = [&](std::size_t count, std::string_view what) {
    if (count > 0) remarks.push_back(fmt::format("{} {} {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? "sighting" : "sightings", what));
  };
  remark(no_what_, "without what was seen, taken as dog");
  remark(no_source_, "without a source, taken as crew");
  remark(no_count_, "without a count, taken as 1");
  remark(repeats_, "that repeat another row were left out");
  std::ranges::move(unknown_.remarks(), std::back_inserter(remarks));
  return false;
}

}  // namespace

Result<std::unique_ptr<CrewPieces>> openSightings(const std::string& file, const Overrides& overrides, const StudyFrame& frame, std::size_t stretch_bytes, Progress& progress) {
  progress.report(0, "Reading sightings");
  LEEWARD_ASSIGN(log, CrewLog::open(Kind::Sightings, file, overrides, frame, stretch_bytes, progress));
  auto pieces = std::make_unique<SightingPieces>(std::move(log));
  LEEWARD_TRY(pieces->decide());
  return std::unique_ptr<CrewPieces>(std::move(pieces));
}

Result<CrewImport> importSightings(const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress) {
  Progress reading = progress.part(0, 0.4), filling = progress.part(0.4, 1);
  LEEWARD_ASSIGN(pieces, openSightings(file, overrides, frame, 0, reading));
  return importAll(*pieces, filling);
}

}  // namespace leeward::importers
