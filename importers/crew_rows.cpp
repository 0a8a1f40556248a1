#include "importers/crew_rows.h"

#include <cmath>
#include <functional>
#include <numbers>

#include "shared/base/text.h"
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

void UnknownWords::add(const RowReport& report) {
  constexpr std::string_view kUnknown = "the word is not known here; ";
  for (const RefusedRow& refused : report.refused) {
    if (!refused.reason.starts_with(kUnknown)) continue;
    Words& words = by_column_[refused.column];
    ++words.rows;
    auto& [count, nearest] = words.by_word[refused.value];
    const std::string_view rest = std::string_view(refused.reason).substr(kUnknown.size());
    const std::size_t near = rest.find(" is nearest");
    if (count++ == 0 && near != std::string_view::npos) nearest = rest.substr(0, near);
  }
}

std::vector<std::string> UnknownWords::remarks() const {
  constexpr std::size_t kShown = 5;
  std::vector<std::string> said;
  for (const auto& [column, words] : by_column_) {
    std::vector<std::pair<std::string, std::pair<std::size_t, std::string>>> most(words.by_word.begin(), words.by_word.end());
    std::ranges::stable_sort(most, std::greater{}, [](const auto& one) { return one.second.first; });
    std::vector<std::string> shown;
    for (std::size_t i = 0; i < std::min(most.size(), kShown); ++i) {
      const auto& [word, known] = most[i];
      shown.push_back(fmt::format("'{}' ({}{}{})", word.substr(0, 40), known.first, known.second.empty() ? "" : "; nearest: ", known.second));
    }
    said.push_back(fmt::format("{} rows were refused for words in column '{}' that are not known: {}{}. Replace them, or take nothing from that column (--map FIELD=)",
                               formatCount(static_cast<std::int64_t>(words.rows)), column, join(shown, ", "), most.size() > kShown ? fmt::format(" and {} more", most.size() - kShown) : ""));
  }
  return said;
}

std::optional<Problem> PositionCounts::allExchanged(const ColumnMap& map) const {
  if (exchanged == 0 || exchanged != positions) return std::nullopt;
  const std::string lon = map.find("lon")->heading, lat = map.find("lat")->heading;
  return Problem{ProblemCode::BadData, fmt::format("Longitude and latitude are exchanged in all {} positions: they fall in the study only the other way round", positions),
                 fmt::format("columns '{}' and '{}'", lon, lat), fmt::format("Exchange the two columns: --map \"lon={},lat={}\"", lat, lon)};
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
