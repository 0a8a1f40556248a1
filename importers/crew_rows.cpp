#include "importers/crew_rows.h"

#include <cmath>
#include <filesystem>
#include <functional>
#include <map>
#include <numbers>

#include "importers/headings.h"
#include "importers/what_is_it.h"
#include "shared/base/text.h"
#include "shared/geo/crs.h"
#include "shared/geo/longitudes.h"

namespace leeward::importers {
namespace {

constexpr double kFarOffKm = 50;
constexpr double kKmPerDegree = 111.2;  ///< of latitude; a degree of longitude is shorter by the cosine

Bbox reachOf(const Bbox& box) {
  if (box.isEmpty()) return {-180, -90, 180, 90};
  const double middle = box.center().y * std::numbers::pi / 180;
  const double up = kFarOffKm / kKmPerDegree;
  const double aside = up / std::max(std::cos(middle), 0.1);
  return {box.min_x - aside, box.min_y - up, box.max_x + aside, box.max_y + up};
}

/// A log is held in memory while it is checked as a whole: one that would not fit beside other programs is refused before it is read.
Result<void> checkSize(const std::string& file) {
  constexpr std::uintmax_t kMostBytes = 150'000'000;  ///< importers/FORMATS.md states it, and what memory it takes
  std::error_code error;
  const std::string path = fileOf(file);
  const std::uintmax_t size = std::filesystem::file_size(path, error);
  if (error || size <= kMostBytes) return {};
  return Problem{ProblemCode::ResourceExhausted, fmt::format("the file has {} MB; up to {} MB are taken in at once", formatCount(static_cast<std::int64_t>(size / 1'000'000)), kMostBytes / 1'000'000),
                 path, "Part it, for example by year, and take in one part after the other; rows of one visit_id belong into one part"};
}

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

}  // namespace

Position readPosition(std::string_view lon, std::string_view lat, const StudyFrame& frame) {
  if (lon.empty() && lat.empty()) return {};
  Position position;
  if (lon.empty() || lat.empty()) {
    position.wrong_lon = lon.empty();
    position.why = "longitude and latitude go together; one is blank";
    return position;
  }
  if (frame.is_local) {
    const auto east = readNumber(lon);
    const auto north = readNumber(lat);
    position.wrong_lon = east.bad();
    position.why = east.bad() ? east.why : north.why;
    if (!east.bad() && !north.bad()) position.lon_lat = Point{*east.value, *north.value};
    return position;
  }
  // Each is also tried as the other, to tell an exchanged pair from a wrong one.
  const auto either = [](std::string_view text, auto first, auto second) {
    const auto read = first(text);
    return read.bad() ? second(text) : read;
  };
  const auto x = either(lon, readLongitude, readLatitude);
  const auto y = either(lat, readLatitude, readLongitude);
  if (x.bad() || y.bad()) {
    position.wrong_lon = x.bad();
    position.why = readLongitude(x.bad() ? lon : lat).why;
    if (!x.bad()) position.why = readLatitude(lat).why;
    return position;
  }
  const Point point = frame.lon_lat.max_x > 180 ? nearBox({*x.value, *y.value}, frame.lon_lat) : Point{*x.value, *y.value};
  if (point.x == 0 && point.y == 0) {
    position.why = "0, 0 is what a device writes without a fix; leave both blank and give the address";
    return position;
  }
  const Bbox reach = reachOf(frame.lon_lat);
  if (std::abs(point.y) <= 90 && reach.contains(point)) {
    position.lon_lat = Point{*x.value, *y.value};
    return position;
  }
  position.exchanged = std::abs(point.x) <= 90 && reach.contains({point.y, point.x});
  if (position.exchanged) position.why = "longitude and latitude look exchanged: the position is right the other way round";
  else if (std::abs(point.y) > 90) position.why = readLatitude(lat).why;
  else position.far_off = true, position.why = fmt::format("the position is more than {:.0f} km from the study's area", kFarOffKm);
  return position;
}

std::string dateFault(Date date, const StudyFrame& frame) {
  if (date > frame.today) return fmt::format("{} lies in the future (today is {})", toIso(date), toIso(frame.today));
  if (date < *makeDate(1970, 1, 1)) return fmt::format("{} is too long ago for a field log; correct the year", toIso(date));
  return {};
}

std::string foldedText(std::string_view text) {
  std::string out;
  for (const char c : lowerAscii(trim(text))) {
    if (c != ' ' && c != '\t') out += c;
    else if (!out.empty() && out.back() != ' ') out += ' ';
  }
  return out;
}

void addDistinct(std::string& joined, std::string_view text) {
  if (text.empty() || joined == text) return;
  if (joined.empty()) {
    joined = text;
    return;
  }
  for (const std::string_view piece : split(joined, ';')) {
    if (trim(piece) == text) return;
  }
  joined += "; ";
  joined += text;
}

void sayUnknownWords(RowReport& report) {
  constexpr std::size_t kShown = 5;
  struct Words {
    std::size_t rows = 0;
    std::map<std::string, std::pair<std::size_t, std::string>> by_word;  ///< rows and what is nearest
  };
  std::map<std::string, Words> by_column;
  for (const RefusedRow& refused : report.refused) {
    constexpr std::string_view kUnknown = "the word is not known here; ";
    if (!refused.reason.starts_with(kUnknown)) continue;
    Words& words = by_column[refused.column];
    ++words.rows;
    auto& [count, nearest] = words.by_word[refused.value];
    const std::string_view rest = std::string_view(refused.reason).substr(kUnknown.size());
    const std::size_t near = rest.find(" is nearest");
    if (count++ == 0 && near != std::string_view::npos) nearest = rest.substr(0, near);
  }
  for (const auto& [column, words] : by_column) {
    std::vector<std::pair<std::string, std::pair<std::size_t, std::string>>> most(words.by_word.begin(), words.by_word.end());
    std::ranges::stable_sort(most, std::greater{}, [](const auto& one) { return one.second.first; });
    std::vector<std::string> shown;
    for (std::size_t i = 0; i < std::min(most.size(), kShown); ++i) {
      const auto& [word, said] = most[i];
      shown.push_back(fmt::format("'{}' ({}{}{})", word.substr(0, 40), said.first, said.second.empty() ? "" : "; nearest: ", said.second));
    }
    report.remarks.push_back(fmt::format("{} rows were refused for words in column '{}' that are not known: {}{}. Replace them, or take nothing from that column (--map FIELD=)",
                                         formatCount(static_cast<std::int64_t>(words.rows)), column, join(shown, ", "),
                                         most.size() > kShown ? fmt::format(" and {} more", most.size() - kShown) : ""));
  }
}

std::optional<Problem> allExchanged(const Rows& rows, Rows::Slot lon, Rows::Slot lat, std::size_t positions, std::size_t exchanged) {
  if (exchanged == 0 || exchanged != positions) return std::nullopt;
  return Problem{ProblemCode::BadData,
                 fmt::format("Longitude and latitude are exchanged in all {} positions: they fall in the study only the other way round", positions),
                 fmt::format("columns '{}' and '{}'", rows.heading(lon), rows.heading(lat)),
                 fmt::format("Exchange the two columns: --map \"lon={},lat={}\"", rows.heading(lat), rows.heading(lon))};
}

namespace {

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

}  // namespace

Result<CrewFile> openCrewFile(Kind kind, const std::string& file, const Overrides& overrides, const StudyFrame& frame, Progress& progress) {
  LEEWARD_TRY(checkSize(file));
  LayerRequest request;
  request.source = file;
  const std::string name = std::filesystem::path(fileOf(file)).filename().string();
  auto source = readSource(request, progress);
  if (!source) return std::move(source).problem();
  // Corrections by hand say that somebody looked at the columns.
  if (!frame.anyway && overrides.empty()) LEEWARD_TRY(checkKind(kindName(kind), source->layer, name));
  LEEWARD_TRY(addPositions(kind, overrides, *source));
  auto map = mapColumns(kind, source->layer.table, withRemembered(overrides, frame.remembered, kind, source->layer.table));
  if (!map) {
    Problem problem = std::move(map).problem();
    return problem.code == ProblemCode::InvalidArgument ? problem : withHeadingHint(std::move(problem), kind, source->layer.table).at(name);
  }
  if (!frame.anyway) LEEWARD_TRY(checkPlace(source->layer.table, *map, frame, name));
  LEEWARD_ASSIGN(sha, sourceHash(source->path));
  CrewFile crew{*std::move(source), {}};
  crew.import.map = *std::move(map);
  ImportBatch& batch = crew.import.batch;
  batch.kind = kindName(kind);
  batch.file_name = name;
  batch.sha256 = std::move(sha);
  batch.columns = crew.import.map.pairs();
  batch.report.file = name;
  batch.report.read = crew.source.layer.table.rows();
  batch.report.remarks = crew.source.remarks;
  return crew;
}

TableWriter::TableWriter(std::initializer_list<Heading> headings) {
  for (const Heading& heading : headings) table_.add(Column(heading.name, heading.kind));
}

void TableWriter::expect(double times) {
  for (std::size_t i = 0; i < table_.width(); ++i) table_.column(i).expect(times);
}

Column& TableWriter::next() {
  Column& column = table_.column(at_);
  if (++at_ == table_.width()) at_ = 0;
  return column;
}

TableWriter& TableWriter::id(std::string_view value) {
  next().addText(value);
  return *this;
}

TableWriter& TableWriter::text(std::string_view value) {
  if (tee != nullptr) tee->addField(value);
  next().addText(value);
  return *this;
}

TableWriter& TableWriter::textOrMissing(std::string_view value) {
  if (!value.empty()) return text(value);
  if (tee != nullptr) tee->addField({});
  return none();
}

TableWriter& TableWriter::integer(std::optional<std::int64_t> value) {
  if (tee != nullptr) tee->addField(value ? std::to_string(*value) : std::string{});
  if (!value) return none();
  next().addInteger(*value);
  return *this;
}

TableWriter& TableWriter::real(std::optional<double> value) {
  if (tee != nullptr) tee->addField(value ? formatNumber(*value) : std::string{});
  if (!value) return none();
  next().addReal(*value);
  return *this;
}

}  // namespace leeward::importers
