#include "tests/reference/place/cambridge.h"

#include <cmath>
#include <fstream>
#include <map>
#include <set>

#include <nlohmann/json.hpp>

#include "shared/base/text.h"
#include "shared/table/csv.h"

namespace leeward::test {
namespace {

using nlohmann::json;

/// Plane metres about the city: within a hundredth of a percent over its seven kilometres.
Point plane(double lon, double lat) {
  constexpr double kLon = -71.11;
  constexpr double kLat = 42.375;
  constexpr double kDegree = 111194.9;  // of a sphere of 6,371,008 m
  return {(lon - kLon) * kDegree * std::cos(kLat * 3.14159265358979 / 180), (lat - kLat) * kDegree};
}

std::string titled(const std::string& text) {
  std::string out = lowerAscii(text);
  for (std::size_t i = 0; i < out.size(); ++i) {
    const bool first = i == 0 || out[i - 1] == ' ';
    if (first && out[i] >= 'a' && out[i] <= 'z') out[i] = static_cast<char>(out[i] - 'a' + 'A');
  }
  return out;
}

Result<void> readPoints(const std::filesystem::path& file, Cambridge& city) {
  Progress progress;
  LEEWARD_ASSIGN(csv, readCsv(file, progress));
  const Table& table = csv.table;
  const auto column = [&](const char* name, std::size_t row) { return table.find(name)->asText(row); };
  std::set<std::string> seen;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    CleanAddress a;
    const std::string suffix(trim(column("street_number_suffix", row)));
    a.number = column("street_number", row) + (suffix.empty() ? "" : "-" + suffix);
    a.name = titled(column("street_name", row));
    a.type = titled(column("street_suffix", row));
    a.after = column("dir_suffix", row);
    a.town = "Cambridge";
    a.state = "MA";
    a.postcode = column("zip", row);
    const std::string street = a.name + (a.type.empty() ? "" : " " + a.type) + (a.after.empty() ? "" : " " + a.after);
    if (!seen.insert(a.number + street).second) continue;
    city.points.id.push_back(column("address_id", row));
    city.points.number.push_back(a.number);
    city.points.street.push_back(street);
    city.points.postcode.push_back(a.postcode);
    city.points.place.push_back("Cambridge");
    city.points.position.push_back(plane(*parseNumber(column("lon", row)), *parseNumber(column("lat", row))));
    city.clean.push_back(std::move(a));
  }
  return {};
}

std::string textOf(const json& properties, const char* key) {
  const auto at = properties.find(key);
  if (at == properties.end() || at->is_null()) return "";
  const json& value = *at;
  if (value.is_string()) return value.get<std::string>();
  return std::to_string(value.get<long long>());
}

Result<void> readRanges(const std::filesystem::path& file, Cambridge& city) {
  std::ifstream in(file);
  const json root = json::parse(in, nullptr, false);
  if (root.is_discarded()) return Problem{ProblemCode::BadData, "not JSON", file.string(), ""};
  analysis::StreetRanges& r = city.ranges;
  for (const json& feature : root["features"]) {
    const json& p = feature["properties"];
    const json* line = &feature["geometry"]["coordinates"];
    if (feature["geometry"]["type"] == "MultiLineString") line = &(*line)[0];
    if (textOf(p, "Street").empty()) continue;
    std::vector<Point> vertices;
    for (const json& v : *line) vertices.push_back(plane(v[0].get<double>(), v[1].get<double>()));
    r.id.push_back(std::to_string(r.id.size()));
    r.name.push_back(textOf(p, "Street"));
    r.l_from.push_back(textOf(p, "L_From"));
    r.l_to.push_back(textOf(p, "L_To"));
    r.r_from.push_back(textOf(p, "R_From"));
    r.r_to.push_back(textOf(p, "R_To"));
    r.l_place.push_back("Cambridge");
    r.r_place.push_back("Cambridge");
    r.l_postcode.push_back(textOf(p, "ZIP_Left"));
    r.r_postcode.push_back(textOf(p, "ZIP_Right"));
    r.from_node.push_back(textOf(p, "FromNode"));
    r.to_node.push_back(textOf(p, "ToNode"));
    r.lines.addLine(vertices);
  }
  return {};
}

/// Node numbers and positions as the city's own file of intersections has them.
std::map<std::string, Point> readIntersections(const std::filesystem::path& file) {
  std::map<std::string, Point> at;
  std::ifstream in(file);
  const json root = json::parse(in, nullptr, false);
  for (const json& feature : root["features"]) {
    const json& xy = feature["geometry"]["coordinates"];
    at[textOf(feature["properties"], "NodeNumber")] = plane(xy[0].get<double>(), xy[1].get<double>());
  }
  return at;
}

/// For each street a street that it meets in exactly one place.
void findCrossings(Cambridge& city, const std::map<std::string, Point>& intersections) {
  const analysis::StreetRanges& r = city.ranges;
  std::map<std::string, std::pair<Point, std::set<std::string>>> nodes;
  for (std::size_t i = 0; i < r.size(); ++i) {
    const auto line = r.lines.path(i, 0);
    for (const std::string& node : {r.from_node[i], r.to_node[i]}) {
      const auto known = intersections.find(node);
      // Some lines name a node that lies elsewhere: those are no truth to test by.
      if (known == intersections.end()) continue;
      const auto near = [&](Point p) { return std::hypot(p.x - known->second.x, p.y - known->second.y) < 5; };
      if (!near(line.front()) && !near(line.back())) continue;
      nodes[node].first = known->second;
      nodes[node].second.insert(r.name[i]);
    }
  }
  std::map<std::pair<std::string, std::string>, std::vector<Point>> meetings;
  for (const auto& [node, held] : nodes) {
    for (const std::string& a : held.second) {
      for (const std::string& b : held.second) {
        if (a != b) meetings[{a, b}].push_back(held.first);
      }
    }
  }
  for (std::size_t row = 0; row < city.clean.size(); ++row) {
    const std::string& street = city.points.street[row];
    for (auto at = meetings.lower_bound({street, ""}); at != meetings.end() && at->first.first == street; ++at) {
      if (at->second.size() != 1) continue;
      city.clean[row].crosses = at->first.second;
      city.crossings.emplace_back(row, at->second.front());
      break;
    }
  }
}

void addPolygon(const json& polygon, Geometries& out) {
  std::vector<Point> corners;
  for (std::size_t ring = 0; ring < polygon.size(); ++ring) {
    corners.clear();
    for (const json& v : polygon[ring]) corners.push_back(plane(v[0].get<double>(), v[1].get<double>()));
    out.addRing(corners, ring > 0);
  }
}

}  // namespace

Result<Geometries> readCambridgeBlocks(const std::filesystem::path& folder) {
  const auto file = folder / "DEMOGRAPHICS_Blocks2020.geojson";
  std::ifstream in(file);
  const json root = json::parse(in, nullptr, false);
  if (root.is_discarded()) return Problem{ProblemCode::BadData, "not JSON", file.string(), ""};
  Geometries blocks;
  for (const json& feature : root["features"]) {
    const json& geometry = feature["geometry"];
    blocks.startRow(GeometryKind::Areas);
    if (geometry["type"] == "Polygon") addPolygon(geometry["coordinates"], blocks);
    else for (const json& polygon : geometry["coordinates"]) addPolygon(polygon, blocks);
  }
  return blocks;
}

Result<Cambridge> readCambridge(const std::filesystem::path& folder) {
  Cambridge city;
  LEEWARD_TRY(readPoints(folder / "cambridge_address_truth_DERIVED.csv", city));
  LEEWARD_TRY(readRanges(folder / "TRANS_Centerlines.geojson", city));
  findCrossings(city, readIntersections(folder / "TRANS_Intersections.geojson"));
  return city;
}

std::vector<LogLine> messyLog(const Cambridge& city, std::size_t lines, std::uint64_t seed) {
  std::map<std::size_t, Point> crossing(city.crossings.begin(), city.crossings.end());
  std::vector<LogLine> log;
  Random random(seed);
  while (log.size() < lines) {
    LogLine entry;
    entry.row = random.below(static_cast<std::uint32_t>(city.clean.size()));
    entry.line = spoil(city.clean[entry.row], random);
    entry.truth = entry.line.has(Mess::Crossing) ? crossing[entry.row] : city.points.position[entry.row];
    log.push_back(std::move(entry));
  }
  return log;
}

PlacingFigures figuresOf(const std::vector<LogLine>& log, const std::vector<analysis::Placement>& placed, const Cambridge& city) {
  PlacingFigures f;
  double recoverable = 0;
  std::array<double, 10> count{};
  std::array<double, 10> sum{};
  std::array<double, 10> right{};
  for (std::size_t i = 0; i < log.size(); ++i) {
    const analysis::Placement& p = placed[i];
    const double off = std::hypot(p.position.x - log[i].truth.x, p.position.y - log[i].truth.y);
    const bool is_right = off <= 30;
    f.right += is_right;
    f.same_id += !p.matched_id.empty() && p.matched_id == city.points.id[log[i].row];
    f.sure += p.score >= 0.9;
    f.sure_wrong += p.score >= 0.9 && !is_right;
    f.sure_far += p.score >= 0.9 && !(off <= 100);
    if (log[i].line.recoverable) {
      ++recoverable;
      f.right_recoverable += is_right;
      f.undecided += p.decision != analysis::PlaceDecision::Placed;
    }
    const auto bin = static_cast<std::size_t>(std::min(9.0, p.score * 10));
    ++count[bin];
    sum[bin] += p.score;
    right[bin] += is_right;
  }
  const double n = static_cast<double>(log.size());
  for (std::size_t b = 0; b < count.size(); ++b) f.calibration_error += std::abs(sum[b] - right[b]) / n;
  f.right_recoverable /= recoverable;
  f.undecided /= recoverable;
  for (double* share : {&f.right, &f.same_id, &f.sure, &f.sure_wrong, &f.sure_far}) *share /= n;
  return f;
}

}  // namespace leeward::test
