// Neighbours of the counties of North Carolina: counts by R spdep (poly2nb), ../shared/checks/04_autocorrelation.json, case nc_contiguity; exact.
// Its list of pairs: data/nc_queen_edges.csv.
#include <set>

#include "analysis/patterns/contiguity.h"
#include "shared/layer/layer.h"
#include "tests/reference/statistics/checks.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

TEST(ContiguityReference, CountiesOfNorthCarolina) {
  LEEWARD_OUTSIDE_DATA(folder, "checks");
  Progress progress;
  const auto counties = readLayer({.source = (folder / "data/nc_counties_nad27.geojson").string(), .x_column = "", .y_column = "", .crs = ""}, progress);
  ASSERT_OK(counties);
  const auto wanted = test::checkCase(folder / "04_autocorrelation.json", "nc_contiguity").at("expected");
  constexpr double kDegreesAMetre = 1 / 111'195.0;
  for (const double tolerance : {0.0, 0.2 * kDegreesAMetre}) {
    for (const auto& [touch, name] : {std::pair(Touch::Queen, "queen"), {Touch::Rook, "rook"}}) {
      const auto found = contiguity(counties->geometry, {.touch = touch, .tolerance = tolerance, .wrap = 360}, progress);
      ASSERT_OK(found);
      EXPECT_EQ(found->neighbours.links(), wanted.at(std::string(name) + "_links").get<std::size_t>()) << name << ' ' << tolerance;
      const auto cards = test::numbers(wanted.at(std::string(name) + "_cards"));
      for (std::size_t i = 0; i < cards.size(); ++i) EXPECT_EQ(static_cast<double>(found->neighbours.of(i).size()), cards[i]) << name << " row " << i;
      if (touch == Touch::Rook) continue;
      const auto from = test::numbers(folder / "data/nc_queen_edges.csv", "from"), to = test::numbers(folder / "data/nc_queen_edges.csv", "to");
      std::set<std::pair<double, double>> pairs, ours;
      for (std::size_t i = 0; i < from.size(); ++i) pairs.emplace(from[i], to[i]);
      for (std::size_t i = 0; i < cards.size(); ++i) {
        for (const std::uint32_t j : found->neighbours.of(i)) ours.emplace(i + 1, j + 1);
      }
      EXPECT_EQ(ours, pairs);
    }
  }
}

}  // namespace
}  // namespace leeward::analysis
