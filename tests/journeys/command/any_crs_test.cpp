// The same places in degrees, Web Mercator, survey feet, metres and across the antimeridian: what the verbs say of them may not hang on it. The answers in the
// state's own plane of metres stand for all; they are held against the others, not against numbers of this program.
#include <map>
#include <set>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "shared/geo/crs.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

struct Somewhere {
  std::string name, crs;
  double shift = 0;  ///< of the longitude: the same shapes elsewhere on their parallel
};

/// Sixteen heaps of nine points 30 m apart, heaps 400 m apart; every heap's events and exposures follow from its number.
std::string placesIn(const Somewhere& where) {
  const auto to = Transform::between(Crs::wgs84(), *Crs::parse(where.crs));
  EXPECT_OK(to);
  std::string text = "id,x,y,events,exposure\n";
  for (int heap = 0; heap < 16; ++heap) {
    for (int i = 0; i < 9; ++i) {
      // 35 degrees north: 91,290 m and 110,940 m a degree; the heaps lie astride the middle, so that the shifted ones lie astride the antimeridian.
      double lon = -79 + where.shift + (400.0 * (heap % 4 - 1.5) + 30.0 * (i % 3 - 1)) / 91290;
      const double lat = 35 + (400.0 * (heap / 4 - 1.5) + 30.0 * (i / 3 - 1)) / 110940;
      if (lon > 180) lon -= 360;
      const Point p = (*to)({lon, lat});
      text += fmt::format("{},{:.9f},{:.9f},{},{}\n", 9 * heap + i, p.x, p.y, heap == 5 ? 4 + i % 2 : (heap + i) % 3, 20 + 3 * ((heap * 7 + i) % 5));
    }
  }
  return text;
}

Table said(const TemporaryFolder& folder, const Somewhere& where, const std::string& verb, std::vector<std::string> words) {
  const auto file = put(folder.path() / (where.name + ".csv"), placesIn(where));
  words.insert(words.begin(), {verb, file, "--x", "x", "--y", "y", "--crs", where.crs});
  words.emplace_back("--quiet");
  const Ran ran = leeward(words);
  EXPECT_EQ(ran.status, 0) << where.name << ": " << ran.err;
  return csvOfText(ran.out);
}

TEST(AnyCrsJourney, WhatIsFoundDoesNotHangOnTheCoordinates) {
  const TemporaryFolder folder;
  const Somewhere plane{"metres", "EPSG:32119"};
  const std::vector<Somewhere> others = {{"degrees", "EPSG:4326"}, {"web mercator", "EPSG:3857"}, {"survey feet", "EPSG:2264"}, {"antimeridian", "EPSG:4326", 259}};
  const std::vector<std::string> cluster = {"--within", "50", "--at-least", "4"}, hierarchy = {"--method", "hierarchy", "--at-least", "5"},
                                 hotspots = {"--events", "events", "--exposure", "exposure", "--neighbours", "within:55", "--permutations", "199"},
                                 scan = {"--events", "events", "--exposure", "exposure", "--replicates", "99", "--largest", "0.2"};
  const Table clusters = said(folder, plane, "cluster", cluster), parts = said(folder, plane, "cluster", hierarchy), spots = said(folder, plane, "hotspots", hotspots), circles = said(folder, plane, "scan", scan);
  std::set<std::string> heaps;
  for (std::size_t row = 0; row < clusters.rows(); ++row) heaps.insert(field(clusters, "cluster", row));
  EXPECT_EQ(heaps.size(), 16U);
  ASSERT_GE(circles.rows(), 1U);
  EXPECT_EQ(number(circles, "observed", 0), 40);  // the sixth heap: 4, 5, 4, 5, 4, 5, 4, 5, 4
  for (const auto& where : others) {
    SCOPED_TRACE(where.name);
    const Table same_clusters = said(folder, where, "cluster", cluster), same_parts = said(folder, where, "cluster", hierarchy), same_spots = said(folder, where, "hotspots", hotspots),
                same_circles = said(folder, where, "scan", scan);
    for (std::size_t row = 0; row < clusters.rows(); ++row) {
      EXPECT_EQ(field(clusters, "cluster", row), field(same_clusters, "cluster", row)) << row;
      EXPECT_EQ(field(clusters, "role", row), field(same_clusters, "role", row)) << row;
      EXPECT_NEAR(number(spots, "gstar_z", row), number(same_spots, "gstar_z", row), 1e-9) << row;
      EXPECT_NEAR(number(spots, "moran_i", row), number(same_spots, "moran_i", row), 1e-9) << row;
      EXPECT_EQ(number(spots, "gstar_p", row), number(same_spots, "gstar_p", row)) << row;
    }
    EXPECT_EQ(parts.rows(), same_parts.rows());
    ASSERT_GE(same_circles.rows(), 1U);
    EXPECT_EQ(field(circles, "members", 0), field(same_circles, "members", 0));
    EXPECT_NEAR(number(circles, "llr", 0), number(same_circles, "llr", 0), 1e-9);
    EXPECT_NEAR(number(circles, "radius", 0), number(same_circles, "radius", 0), 0.005 * number(circles, "radius", 0));  // sphere or plane
  }
}

}  // namespace
}  // namespace leeward::test
