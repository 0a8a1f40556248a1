#include "analysis/place/sound.h"

#include <gtest/gtest.h>

#include "analysis/place/place.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

// Words that any English dictionary gives one pronunciation, or names in their usual spellings.
TEST(Sound, HomophonesSoundAlike) {
  for (const auto& [one, other] : {std::pair{"KNIGHT", "NITE"}, {"WRIGHT", "RITE"}, {"PHILLIPS", "FILIPS"}, {"BRIDGE", "BRIJ"}, {"QUAIL", "KWALE"}, {"RHODES", "RODES"},
                                   {"THOMAS", "TOMAS"}, {"SCENIC", "SENIC"}, {"MITCHELL", "MICHEL"}, {"CARRIAGE", "KARIJ"}, {"NATION", "NASHUN"}, {"LAMB", "LAM"}}) {
    EXPECT_EQ(soundOf(one), soundOf(other)) << one << ' ' << other;
  }
}

TEST(Sound, OtherWordsDoNot) {
  for (const auto& [one, other] : {std::pair{"KNIGHT", "KITE"}, {"ELM", "OAK"}, {"MAPLE", "MARBLE"}, {"THIRD", "TIRED"}, {"12", "21"}}) EXPECT_NE(soundOf(one), soundOf(other)) << one << ' ' << other;
  EXPECT_EQ(soundOf(""), "");
}

TEST(Sound, AStreetWrittenByEarIsFoundAndNotTakenForSure) {
  AddressPoints points;
  for (const auto& [number, street, x] : {std::tuple{"10", "Knightley St", 0.0}, {"12", "Knightley St", 20.0}, {"10", "Oak St", 500.0}}) {
    points.id.emplace_back(std::to_string(points.size() + 1));
    points.number.emplace_back(number);
    points.street.emplace_back(street);
    points.position.push_back({x, 0});
  }
  Progress progress;
  const auto index = AddressIndex::build(std::move(points), {}, progress);
  ASSERT_OK(index);
  const Placement placed = placeAddress(*index, {"12 Nitely St", "", ""});
  EXPECT_EQ(placed.matched_address, "12 Knightley St") << placed.why;
  EXPECT_LT(placed.score, 0.9);
  EXPECT_NE(placed.why.find("sounds the same"), std::string::npos) << placed.why;
}

}  // namespace
}  // namespace leeward::analysis
