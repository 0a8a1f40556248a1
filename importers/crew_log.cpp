#include "importers/crew_log.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <future>

#include "importers/crew_rows.h"
#include "importers/headings.h"
#include "importers/look_spans.h"
#include "importers/what_is_it.h"
#include "shared/base/text.h"
#include "shared/geo/crs.h"

namespace leeward::importers {
namespace {

constexpr std::size_t kStretchBytes = 16'000'000;  ///< of a file that is too large to be held whole
constexpr std::size_t kStretchesALook = 4;  ///< the first look reads so many of the stretches at once: the columns are guessed from the first ones

/// The points of a map layer as columns lon and lat, unless its table has such columns of its own. Lines and areas count by
/// the middle of their box, and it is said.
Result<void> addPositions(Kind kind, const Overrides& overrides, Source& source) {
  Layer& layer = source.layer;
  if (!layer.hasGeometry() || overrides.contains("lon") || overrides.contains("lat")) return {};
  const ColumnMap guess = guessColumns(kind, layer.table);
  if (guess.find("lon") != nullptr && guess.find("lat") != nullptr) return {};
  if (layer.crs.isUnknown() || layer.crs.isLocal()) {
    if (guess.find("address") != nullptr) {
      source.remarks.emplace_back("The places on the map were left out: the file does not say in which reference system they are");
      return {};
    }
    return Problem{ProblemCode::CrsMismatch, "The file does not say in which reference system its places are", std::filesystem::path(source.path).filename().string(),
                   "Add the .prj that belongs to it, or save it as GeoPackage in EPSG:4326"};
  }
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(layer.crs, Crs::wgs84()));
  Column lon("lon", Column::Kind::Real), lat("lat", Column::Kind::Real);
  std::size_t not_points = 0;
  for (std::size_t row = 0; row < layer.geometry.size(); ++row) {
    if (!layer.geometry.hasVertex(row)) {
      lon.addMissing(), lat.addMissing();
      continue;
    }
    const bool point = layer.geometry.kind(row) == GeometryKind::Points;
    not_points += point ? 0 : 1;
    const Point at = to_lon_lat(point ? layer.geometry.point(row) : layer.geometry.bbox(row).center());
    constexpr double kSteps = 1e7;  // a centimetre: what a change of reference system adds in the last digits says nothing
    lon.addReal(std::round(at.x * kSteps) / kSteps);
    lat.addReal(std::round(at.y * kSteps) / kSteps);
  }
  if (layer.table.width() == 0) layer.table.setRows(layer.geometry.size());
  layer.table.add(std::move(lon));
  layer.table.add(std::move(lat));
  if (not_points > 0) source.remarks.push_back(fmt::format("{} rows are lines or areas; they stand at the middle of their extent", formatCount(static_cast<std::int64_t>(not_points))));
  return {};
}

/// The call's corrections with what was taken last time, where this file has the same heading.
Overrides withRemembered(Overrides overrides, const Overrides& remembered, Kind kind, const Table& table) {
  for (const auto& [field, heading] : remembered) {
    const Field* known = findField(kind, field);
    if (known == nullptr || overrides.contains(field)) continue;
    const bool is_used = std::ranges::any_of(overrides, [&](const auto& given) { return given.second == heading; });
    if (known->type == FieldType::Setting || (table.indexOf(heading) && !is_used)) overrides.emplace(field, heading);
  }
  return overrides;
}

/// The problem for a file whose positions are nearly all of another place.
Result<void> checkPlace(const Table& table, const ColumnMap& map, const StudyFrame& frame, const std::string& name) {
  constexpr std::size_t kPositionsLookedAt = 500, kFewestPositions = 3;
  if (frame.lon_lat.isEmpty() || map.find("lon") == nullptr || map.find("lat") == nullptr) return {};
  const Column& lon = table.column(*map.column("lon"));
  const Column& lat = table.column(*map.column("lat"));
  const std::size_t step = std::max<std::size_t>(1, table.rows() / kPositionsLookedAt);
  std::size_t positions = 0, far_off = 0;
  std::string first;
  for (std::size_t row = 0; row < table.rows(); row += step) {
    const std::string x = lon.asText(row), y = lat.asText(row);
    const Position position = readPosition(trim(x), trim(y), frame);
    if (!position.lon_lat && !position.far_off) continue;
    ++positions;
    if (!position.far_off) continue;
    if (far_off++ == 0) first = y + ", " + x;
  }
  if (positions < kFewestPositions || far_off * 10 < positions * 9) return {};
  const Point middle = frame.lon_lat.center();
  return Problem{ProblemCode::BadData,
                 fmt::format("{} of {} positions looked at lie more than {:.0f} km from the study (the first: {}; the study lies around {:.3f}, {:.3f}); nothing was taken in", far_off,
                             positions, kFarOffKm, first, middle.y, middle.x),
                 name, "Check that it is this area's file; --anyway takes in the rows that are near and lists the others"};
}

/// What a row's look is told apart by, as typed: the id, or day, time, crew and place.
class LookKey {
 public:
  LookKey(const Table& table, const ColumnMap& map) : table_(&table) {
    id_ = map.column(map.kind == Kind::Visits ? "visit_id" : "sighting_id");
    for (const char* field : {"date", "time", "crew", "number", "street", "address", "place", "postcode", "lon", "lat"}) {
      if (const auto column = map.column(field)) rest_.push_back(*column);
    }
  }

  std::string_view at(std::size_t row) {
    if (id_) {
      const Column& column = table_->column(*id_);
      const std::string_view id = trim(column.textAt(row));
      if (id == column.name()) return {};  // the headings once more
      if (!id.empty()) return id;
    }
    key_.clear();
    bool any = false;
    for (const std::size_t column : rest_) {
      const std::string_view text = trim(table_->column(column).textAt(row));
      any = any || (!text.empty() && text != table_->column(column).name());
      key_ += foldedText(text);
      key_ += '\x1f';
    }
    return any ? std::string_view(key_) : std::string_view{};
  }

 private:
  const Table* table_;
  std::optional<std::size_t> id_;
  std::vector<std::size_t> rest_;
  std::string key_;
};

}  // namespace

Result<CrewLog> CrewLog::open(Kind kind, const std::string& file, const Overrides& overrides, const StudyFrame& frame, std::size_t stretch_bytes, Progress& progress) {
  namespace fs = std::filesystem;
  CrewLog log;
  log.frame = frame;
  log.path_ = fileOf(file);
  log.head.kind = kindName(kind);
  log.head.file_name = fs::path(log.path_).filename().string();
  log.head.report.file = log.head.file_name;
  std::error_code error;
  const std::uintmax_t size = fs::is_regular_file(log.path_, error) ? fs::file_size(log.path_, error) : 0;
  const bool is_text = fs::is_regular_file(log.path_, error) && isPlainText(log.path_);
  const bool is_large = size > kMostBytesWhole;
  if (is_large && !is_text) {
    return Problem{ProblemCode::ResourceExhausted,
                   fmt::format("the file has {} MB; of this format up to {} MB are taken in", formatCount(static_cast<std::int64_t>(size / 1'000'000)), kMostBytesWhole / 1'000'000), log.path_,
                   "Save it as CSV, of which any length is taken in; or part it, for example by year, and keep rows of one visit_id in one part"};
  }
  if (is_large && stretch_bytes == 0) stretch_bytes = kStretchBytes;
  // Beside the reading; but never from a pipe, which would wait for ever.
  auto hash = std::async(fs::is_regular_file(log.path_, error) ? std::launch::async : std::launch::deferred, [&log] { return sourceHash(log.path_); });
  if (is_text && stretch_bytes > 0 && size > stretch_bytes) LEEWARD_TRY(log.openStretches(kind, overrides, stretch_bytes, progress));
  else LEEWARD_TRY(log.openWhole(kind, file, overrides, progress));
  if (!overrides.contains("date_order")) log.forgetOtherDateOrder();
  LEEWARD_ASSIGN(sha, hash.get());
  log.head.sha256 = std::move(sha);
  log.head.columns = log.map.pairs();
  return log;
}

Result<void> CrewLog::mapAndJudge(Kind kind, Source& source, const Overrides& overrides) {
  // Corrections by hand say that somebody looked at the columns.
  if (!frame.anyway && overrides.empty()) LEEWARD_TRY(checkKind(kindName(kind), source.layer, head.file_name));
  LEEWARD_TRY(addPositions(kind, overrides, source));
  auto found = mapColumns(kind, source.layer.table, withRemembered(overrides, frame.remembered, kind, source.layer.table));
  if (!found) {
    Problem problem = std::move(found).problem();
    return problem.code == ProblemCode::InvalidArgument ? problem : withHeadingHint(std::move(problem), kind, source.layer.table).at(head.file_name);
  }
  map = *std::move(found);
  if (!frame.anyway) LEEWARD_TRY(checkPlace(source.layer.table, map, frame, head.file_name));
  return {};
}

Result<void> CrewLog::openWhole(Kind kind, const std::string& file, const Overrides& overrides, Progress& progress) {
  LayerRequest request;
  request.source = file;
  auto source = readSource(request, progress);
  if (!source) return std::move(source).problem();
  LEEWARD_TRY(mapAndJudge(kind, *source, overrides));
  gather(source->layer.table, frame.today);
  head.report.read = source->layer.table.rows();
  rows_ = source->layer.table.rows();
  lengths_ = {rows_};
  remarks_ = source->remarks;
  first_ = *std::move(source);
  return {};
}

Result<void> CrewLog::openStretches(Kind kind, const Overrides& overrides, std::size_t stretch_bytes, Progress& progress) {
  LookSpans spans;
  std::error_code error;
  const auto size = static_cast<double>(std::filesystem::file_size(path_, error));
  for (const bool windows_1252 : {false, true}) {
    is_windows_1252_ = windows_1252;
    spans = {}, dates_ = {}, has_plus_ = false;
    LEEWARD_ASSIGN(stretches, CsvStretches::open(path_, windows_1252));
    LEEWARD_ASSIGN(read, stretches.next(0, kStretchesALook * stretch_bytes, progress));
    if (!read) continue;
    Source source = sourceOf(*std::move(read), path_);
    LEEWARD_TRY(mapAndJudge(kind, source, overrides));
    remarks_ = source.remarks;
    std::optional<Table> table = std::move(source.layer.table);
    spans.expect(static_cast<std::size_t>(size / static_cast<double>(kStretchesALook * stretch_bytes) * 1.2 * static_cast<double>(table->rows())));
    while (table) {
      gather(*table, frame.today);
      LookKey key(*table, map);
      for (std::size_t row = 0; row < table->rows(); ++row) spans.add(key.at(row));
      LEEWARD_ASSIGN(more, stretches.next(0, kStretchesALook * stretch_bytes, progress));
      if (more) table = std::move(more->table);
      else table.reset();
    }
    if (!stretches.notUtf8() || windows_1252) break;
  }
  rows_ = spans.rows();
  const double row_bytes = size / static_cast<double>(std::max<std::size_t>(rows_, 1));
  const auto rowsIn = [&](double bytes) { return static_cast<std::size_t>(bytes / row_bytes) + 1; };
  auto lengths = spans.cut(rowsIn(static_cast<double>(stretch_bytes)), rowsIn(static_cast<double>(kMostBytesWhole)));
  if (!lengths) return std::move(lengths).problem().at(head.file_name);
  lengths_ = *std::move(lengths);
  LEEWARD_ASSIGN(again, CsvStretches::open(path_, is_windows_1252_));
  stretches_ = std::move(again);
  return {};
}

void CrewLog::forgetOtherDateOrder() {
  const auto kept = map.settings.find("date_order");
  if (kept == map.settings.end()) return;
  const DateEvidence own = dates("date");
  const bool is_other = kept->second == "mdy" ? own.day_first > 0 && own.month_first == 0 : own.month_first > 0 && own.day_first == 0;
  if (!is_other) return;
  remarks_.push_back(fmt::format("The days of this file are written the other way round than the last one's (date_order = {}); it is read by its own", kept->second));
  map.settings.erase(kept);
}

void CrewLog::gather(const Table& table, Date today) {
  for (const char* field : {"date", "return_by", "permission_until", "use_by"}) {
    // Only what was done lies in the past; promises and permissions may not.
    const std::optional<Date> latest = field == std::string_view("date") ? std::optional(today) : std::nullopt;
    if (const auto column = map.column(field)) dates_[field].add(table.column(*column), latest);
  }
  for (const Pick& pick : map.picks) {
    const Field* field = findField(map.kind, pick.field);
    const Column& column = table.column(pick.column);
    if (has_plus_ || field == nullptr || field->type != FieldType::Check || column.kind() != Column::Kind::Text) continue;
    for (std::size_t row = 0; row < column.size() && !has_plus_; ++row) {
      const std::string_view text = column.textAt(row);
      has_plus_ = text.find('+') != std::string_view::npos && std::ranges::any_of(split(text, ';'), [](std::string_view one) { return trim(one) == "+"; });
    }
  }
}

DateEvidence CrewLog::dates(const std::string& field) const {
  const auto found = dates_.find(field);
  return found == dates_.end() ? DateEvidence{} : found->second;
}

Result<std::optional<Source>> CrewLog::next(Progress& progress) {
  if (first_) {
    at_ = 1, rows_given_ = rows_;
    return std::exchange(first_, std::nullopt);
  }
  while (stretches_ && at_ < lengths_.size()) {
    LEEWARD_ASSIGN(read, stretches_->next(lengths_[at_], 0, progress));
    if (!read) return Problem{ProblemCode::Io, "the file changed while it was read; nothing was taken in", path_, "Take it in again when nothing writes to it any more"};
    rows_given_ += lengths_[at_++];
    Source source = sourceOf(*std::move(read), path_);
    idle_.drop(source.layer);
    head.report.read += source.layer.table.rows();
    if (source.layer.table.rows() > 0) return std::optional(std::move(source));
  }
  return std::optional<Source>{};
}

double CrewLog::share() const { return rows_ == 0 ? 1 : static_cast<double>(rows_given_) / static_cast<double>(rows_); }

std::vector<std::string> CrewLog::remarks() const {
  std::vector<std::string> said = remarks_;
  std::ranges::move(idle_.remarks(), std::back_inserter(said));
  return said;
}

}  // namespace leeward::importers
