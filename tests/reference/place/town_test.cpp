/// The sample town's own visit log: addresses as its crews type them, and the premises where they really were. The
/// generator of the log shares no code with the parser or with tests/reference/place/mess.cpp.
#include <cmath>
#include <fstream>
#include <iostream>
#include <map>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "analysis/place/place.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

/// Plane metres about the town's middle.
Point plane(double lon, double lat) {
  constexpr double kDegree = 111194.9;  // of a sphere of 6,371,008 m
  return {(lon + 37.18) * kDegree * std::cos(41.52 * 3.14159265358979 / 180), (lat - 41.52) * kDegree};
}

Table table(const std::filesystem::path& file) {
  Progress progress;
  return readCsv(file, progress).value().table;
}

analysis::AddressPoints townPoints(const std::filesystem::path& file) {
  const Table t = table(file);
  analysis::AddressPoints p;
  for (std::size_t row = 0; row < t.rows(); ++row) {
    p.id.push_back(t.find("id")->asText(row));
    p.number.push_back(t.find("number")->asText(row));
    p.street.push_back(t.find("street")->asText(row));
    p.unit.push_back(t.find("unit")->asText(row));
    p.place.push_back(t.find("place")->asText(row));
    p.postcode.push_back(t.find("postcode")->asText(row));
    p.position.push_back(plane(*t.find("lon")->asReal(row), *t.find("lat")->asReal(row)));
  }
  return p;
}

analysis::StreetRanges townStreets(const std::filesystem::path& file) {
  std::ifstream in(file);
  const nlohmann::json root = nlohmann::json::parse(in);
  analysis::StreetRanges r;
  for (const auto& feature : root["features"]) {
    const auto& p = feature["properties"];
    const auto text = [&](const char* key) { return p.contains(key) && p[key].is_string() ? p[key].get<std::string>() : std::string(); };
    r.id.push_back(std::to_string(r.id.size()));
    r.name.push_back(text("FULLNAME"));
    r.l_from.push_back(text("LFROMADD"));
    r.l_to.push_back(text("LTOADD"));
    r.r_from.push_back(text("RFROMADD"));
    r.r_to.push_back(text("RTOADD"));
    r.l_postcode.push_back(text("ZIPL"));
    r.r_postcode.push_back(text("ZIPR"));
    std::vector<Point> line;
    for (const auto& v : feature["geometry"]["coordinates"]) line.push_back(plane(v[0].get<double>(), v[1].get<double>()));
    r.lines.addLine(line);
  }
  return r;
}

TEST(SampleTownFigures, MessyLogIsPlacedAtTheRightPremises) {
  const auto folder = sourceFolder() / "sample-data" / "town";
  if (!std::filesystem::exists(folder / "visits.csv")) GTEST_SKIP() << "the sample town has not been made";
  analysis::AddressPoints points = townPoints(folder / "address_points.csv");
  std::map<std::string, Point> where;
  for (std::size_t i = 0; i < points.size(); ++i) where[points.id[i]] = points.position[i];
  Progress progress;
  const auto index = analysis::AddressIndex::build(std::move(points), townStreets(folder / "streets.geojson"), progress);
  ASSERT_OK(index);

  std::map<std::string, std::pair<std::string, std::string>> truth;
  const Table known = table(folder / "truth" / "visits_truth.csv");
  for (std::size_t row = 0; row < known.rows(); ++row) {
    truth[known.find("visit_id")->asText(row)] = {known.find("premises_id")->asText(row), known.find("mangled")->asText(row)};
  }
  const Table visits = table(folder / "visits.csv");
  std::vector<analysis::PlaceQuery> queries;
  std::vector<std::pair<std::string, std::string>> expected;
  for (std::size_t row = 0; row < visits.rows(); ++row) {
    const auto at = truth.find(visits.find("visit_id")->asText(row));
    const std::string address = visits.find("address")->asText(row);
    if (at == truth.end() || address.empty() || where.count(at->second.first) == 0) continue;
    queries.push_back({address, visits.find("place")->asText(row), visits.find("postcode")->asText(row)});
    expected.push_back(at->second);
  }
  ASSERT_GT(queries.size(), 3000U);
  const auto placed = analysis::placeAddresses(*index, queries, progress);
  ASSERT_OK(placed);
  double right = 0;
  double near = 0;
  double sure_wrong = 0;
  double undecided = 0;
  for (std::size_t i = 0; i < queries.size(); ++i) {
    const analysis::Placement& p = (*placed)[i];
    const Point at = where[expected[i].first];
    const double off = std::hypot(p.position.x - at.x, p.position.y - at.y);
    const bool same = p.matched_id == expected[i].first;
    right += same;
    near += off <= 30;
    sure_wrong += p.score >= 0.9 && !same && p.placed_by != analysis::PlacedBy::Crossing;
    undecided += p.decision != analysis::PlaceDecision::Placed;
    if ((!same || p.decision != analysis::PlaceDecision::Placed) && std::getenv("LEEWARD_SHOW") != nullptr) {
      std::cout << queries[i].text << " | " << queries[i].place << " | " << queries[i].postcode << " -> " << name(p.decision) << ' '
                << name(p.placed_by) << ' ' << p.score << ' ' << p.matched_address << ' ' << off << " m; " << expected[i].second << "; " << p.why << '\n';
    }
  }
  const double n = static_cast<double>(queries.size());
  std::cout << n << " lines: right premises " << right / n << ", within 30 m " << near / n << ", sure and wrong " << sure_wrong / n << ", undecided "
            << undecided / n << '\n';
  EXPECT_GE(right / n, 0.93);
  EXPECT_LE(sure_wrong / n, 0.003);
  EXPECT_LE(undecided / n, 0.05);
}

}  // namespace
}  // namespace leeward::test
