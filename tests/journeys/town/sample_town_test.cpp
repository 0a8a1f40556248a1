#include <set>

#include <gtest/gtest.h>

#include "sample-data/generator/make_town.h"
#include "sample-data/generator/plane.h"
#include "sample-data/generator/town.h"
#include "shared/base/files.h"
#include "shared/geo/crs.h"
#include "tests/support/data.h"

namespace leeward::town {
namespace {

const Sample& sample() {
  static const Sample made = makeSample(kSeed);
  return made;
}

const Town& town() {
  static const Town built = buildTown(kSeed);
  return built;
}

TEST(SampleTownTest, CommittedFilesAreWhatTheGeneratorWrites) {
  const std::filesystem::path committed = test::sourceFolder() / "sample-data/town";
  ASSERT_GE(sample().files.size(), 18U);
  for (const auto& [name, text] : sample().files) {
    const auto there = readFile(committed / name);
    ASSERT_OK(there);
    EXPECT_TRUE(*there == text) << name << " differs from what make_town writes; run make_town sample-data/town";
  }
}

TEST(SampleTownTest, BlocksTileTheTownWithoutGapOrOverlap) {
  EXPECT_EQ(town().plan.network.faults(), 0);
  double sum = 0;
  for (const Face& face : town().plan.faces) {
    EXPECT_GT(face.area_m2, 0);
    sum += face.area_m2;
  }
  // nodes are rounded to 0.1 m, so the outline may gain or lose a few square metres of its 28 square kilometres
  EXPECT_NEAR(sum, signedArea(town().plan.limits), 200);
}

TEST(SampleTownTest, EveryDoorLiesInABlockAndNoAddressIsGivenTwice) {
  std::set<std::string> addresses;
  for (const Door& door : town().doors) {
    EXPECT_GE(door.block, 0) << door.id;
    const std::string address = std::to_string(door.number) + door.suffix + " " + door.street + " " + door.unit + " " + door.postcode;
    EXPECT_TRUE(addresses.insert(address).second) << address;
  }
  EXPECT_GT(addresses.size(), 8500U);
}

TEST(SampleTownTest, DegreesAgreeWithProjToAMillimetre) {
  const auto utm = Crs::parse(kHeatCrs);
  ASSERT_OK(utm);
  const auto to_degrees = Transform::between(*utm, Crs::wgs84());
  ASSERT_OK(to_degrees);
  for (Point p : {Point{0, 0}, Point{-3050, 2400}, Point{3050, -2300}}) {
    const Point ours = lonLat(p);
    const Point theirs = (*to_degrees)({p.x + kZeroUtm.x, p.y + kZeroUtm.y});
    EXPECT_NEAR(ours.x, theirs.x, 1e-8);
    EXPECT_NEAR(ours.y, theirs.y, 1e-8);
  }
}

}  // namespace
}  // namespace leeward::town
