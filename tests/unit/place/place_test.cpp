#include "analysis/place/place.h"

#include <cmath>
#include <tuple>

#include <gtest/gtest.h>

#include "tests/support/data.h"
#include "tests/unit/place/town.h"

namespace leeward::analysis {
namespace {

class PlaceTest : public testing::Test {
 protected:
  static const AddressIndex& index() {
    static const AddressIndex built = [] {
      test::TownParts town = test::smallTown();
      Progress progress;
      return AddressIndex::build(std::move(town.points), std::move(town.ranges), progress).value();
    }();
    return built;
  }
  static Placement place(const std::string& text, const std::string& town = "", const std::string& postcode = "") {
    return placeAddress(index(), {text, town, postcode});
  }
  static void expectAt(const std::string& text, const std::string& address, const std::string& town = "") {
    const Placement p = place(text, town);
    EXPECT_EQ(p.decision, PlaceDecision::Placed) << text << ": " << p.why;
    EXPECT_EQ(p.placed_by, PlacedBy::Point) << text;
    EXPECT_EQ(p.matched_address, address) << text;
    EXPECT_GE(p.score, kPlacedScore) << text;
    EXPECT_GT(p.uncertainty_m, 0) << text;
  }
};

TEST_F(PlaceTest, WhatCrewsWriteFindsItsPremises) {
  expectAt("120 Elm St, Nearside", "120 Elm St");
  expectAt("120 elm street", "120 Elm St");
  expectAt("120 ELM", "120 Elm St");
  expectAt("120 Elm??", "120 Elm St");
  expectAt("120 elm st apt b nearside", "120 Elm St");
  expectAt("120Elm St", "120 Elm St");
  expectAt("120 elmst", "120 Elm St");
  expectAt("120 Elm Steet", "120 Elm St");
  expectAt("311 Oka Ave", "311 Oak Ave");
  expectAt("10 North Street", "10 North St");
  expectAt("12 Stone Glen", "12 Stone Glen St");
  expectAt("12 stoneglen st", "12 Stone Glen St");
  expectAt("14 Ave B", "14 Avenue B");
  expectAt("41a Sixht St", "41-A Sixth St");
  expectAt("41-B 6th st", "41-B Sixth St");
}

TEST_F(PlaceTest, ADoorAtTheSwappedNumberFarAlongTheStreetKeepsALineFromBeingSure) {
  AddressPoints points;
  for (const auto& [number, postcode, x] : {std::tuple{"14", "00001", 0.0}, {"41", "00002", 400.0}, {"51", "00001", 500.0}, {"15", "00001", 400.0}}) {
    points.id.push_back(number);
    points.number.push_back(number);
    points.street.push_back("Elm St");
    points.postcode.push_back(postcode);
    points.position.push_back({x, 0});
  }
  Progress progress;
  const auto index = AddressIndex::build(points, {}, progress);
  ASSERT_OK(index);
  const Placement unsure = placeAddress(*index, {"14 Elm St", "", ""});
  EXPECT_EQ(unsure.decision, PlaceDecision::Placed);
  EXPECT_LT(unsure.score, 0.9);
  EXPECT_NE(unsure.why.find("two digits swapped"), std::string::npos) << unsure.why;
  EXPECT_GE(placeAddress(*index, {"14 Elm St", "", "00001"}).score, 0.9) << "the postcode tells the two apart";
  EXPECT_GE(placeAddress(*index, {"15 Elm St", "", ""}).score, 0.9) << "the other door is 100 m away";
}

TEST(PlaceOnOtherStreets, ANumberThatTheTypedStreetLacksIsNotTakenFromAStreetOfAnotherType) {
  AddressPoints points;
  const auto add = [&](const char* number, const char* street, double x, double y) {
    points.id.push_back(std::to_string(points.size() + 1));
    points.number.emplace_back(number);
    points.street.emplace_back(street);
    points.position.push_back({x, y});
  };
  for (const auto& [number, x] : {std::pair{"2", 0.0}, {"4", 20.0}, {"6", 40.0}}) add(number, "Avon St", x, 0);
  for (const auto& [number, x] : {std::pair{"10", 0.0}, {"12", 20.0}}) add(number, "Avon Pl", x, 900);
  for (const auto& [number, x] : {std::pair{"20", 0.0}, {"22", 20.0}}) add(number, "Lincoln Way", x, 2000);
  Progress progress;
  const auto index = AddressIndex::build(std::move(points), {}, progress);
  ASSERT_OK(index);
  const Placement lacking = placeAddress(*index, {"10 Avon St", "", ""});
  EXPECT_EQ(lacking.decision, PlaceDecision::Undecided) << lacking.why;
  EXPECT_LT(lacking.score, kPlacedScore);
  EXPECT_NE(lacking.why.find("the street as typed is there, but not the number"), std::string::npos) << lacking.why;
  EXPECT_GE(lacking.candidates.size(), 2U);
  const Placement mixed_up = placeAddress(*index, {"20 Lincoln St", "", ""});  // no such street: the type may be mixed up
  EXPECT_EQ(mixed_up.matched_address, "20 Lincoln Way");
  EXPECT_LT(mixed_up.score, 0.9);
  EXPECT_NE(mixed_up.why.find("another type"), std::string::npos) << mixed_up.why;
  EXPECT_GE(placeAddress(*index, {"20 Lincoln", "", ""}).score, 0.9);  // no type typed: nothing speaks against it
}

TEST_F(PlaceTest, TiesStayUndecided) {
  const Placement p = place("12 Birch");
  EXPECT_EQ(p.decision, PlaceDecision::Undecided);
  EXPECT_GE(p.candidates.size(), 2U);
  EXPECT_NEAR(p.runner_up_score, p.score, 1e-9);
  expectAt("12 Birch Ln", "12 Birch Ln");
}

TEST_F(PlaceTest, TheTownDecidesBetweenLikeStreets) {
  EXPECT_EQ(place("12 Maple St").decision, PlaceDecision::Undecided);
  EXPECT_NEAR(place("12 Maple St, Farside").position.x, 5012, 1);
  EXPECT_NEAR(place("12 maple st nearside").position.x, -488, 1);
  EXPECT_NEAR(place("12 Maple St", "Farside").position.x, 5012, 1);
  EXPECT_NEAR(place("12 Maple St", "", "00002").position.x, 5012, 1);
}

TEST(PlaceOnOtherStreets, ANeighbouringTownSpeaksLessAgainstAStreetThanOneFarAway) {
  AddressPoints points;
  for (const auto& [town, x] : {std::pair{"Eastham", 0.0}, {"Farwick", 300.0}, {"Longholt", 90'000.0}}) {
    for (const char* number : {"2", "4", "6"}) {
      points.id.push_back(std::to_string(points.size() + 1));
      points.number.emplace_back(number);
      points.street.emplace_back(std::string(town) == "Eastham" ? "Alder St" : std::string(town) == "Farwick" ? "Birch St" : "Alder St");
      points.place.emplace_back(town);
      points.position.push_back({x + 20 * std::stod(number), 0});
    }
  }
  Progress progress;
  const auto index = AddressIndex::build(std::move(points), {}, progress);
  ASSERT_OK(index);
  // Two towns have an Alder St; the typed one lies beside the first of them.
  const Placement placed = placeAddress(*index, {"4 Alder St, Farwick", "", ""});
  EXPECT_EQ(placed.decision, PlaceDecision::Placed) << placed.why;
  EXPECT_NEAR(placed.position.x, 80, 1);
  EXPECT_NE(placed.why.find("neighbouring town"), std::string::npos) << placed.why;
  EXPECT_LT(placed.score, 0.95);
}

TEST_F(PlaceTest, NumbersBetweenKnownOnesGoBetweenThem) {
  const Placement p = place("137 Elm St");
  EXPECT_EQ(p.placed_by, PlacedBy::Between);
  EXPECT_NEAR(p.position.x, 185, 1e-9);  // midway between 135 and 139
  EXPECT_NEAR(p.position.y, 12, 1e-9);
}

TEST_F(PlaceTest, NumbersBeyondThePointsGoOnTheRange) {
  const Placement p = place("250 Elm St");
  EXPECT_EQ(p.placed_by, PlacedBy::Range);
  EXPECT_EQ(p.matched_id, "r1");
  EXPECT_GT(p.position.x, 200);
  EXPECT_LT(p.position.y, 0);  // even numbers are on the right
}

TEST_F(PlaceTest, ANumberOutsideAllRangesIsNeverClamped) {
  const Placement p = place("2500 Elm St");
  EXPECT_EQ(p.placed_by, PlacedBy::Street);
  EXPECT_NE(p.decision, PlaceDecision::Placed);
  EXPECT_GE(p.uncertainty_m, 200);
  EXPECT_NE(p.why.find("outside every range"), std::string::npos);
}

TEST_F(PlaceTest, CrossingsAreWhereTheStreetsMeet) {
  for (const char* text : {"Elm St & Oak Ave", "corner of oak and elm", "elm at oak, nearside"}) {
    const Placement p = place(text);
    EXPECT_EQ(p.placed_by, PlacedBy::Crossing) << text;
    EXPECT_EQ(p.decision, PlaceDecision::Placed) << text;
    EXPECT_NEAR(p.position.x, 200, 1e-9) << text;
    EXPECT_NEAR(p.position.y, 0, 1e-9) << text;
  }
  EXPECT_NE(place("Birch Rd & Oak Ave").decision, PlaceDecision::Placed);
}

TEST_F(PlaceTest, BlocksAreTheMiddleOfTheirHundred) {
  const Placement p = place("300 blk Oak, blue house");
  EXPECT_EQ(p.placed_by, PlacedBy::Block);
  EXPECT_NEAR(p.position.x, 190, 1);
  EXPECT_NEAR(p.position.y, 93, 5);
  EXPECT_GT(p.uncertainty_m, 80);
}

TEST_F(PlaceTest, BoxesAndStrangersAreNotPlaced) {
  for (const char* text : {"PO Box 12, Nearside", "12 Zzyzx Qwerty St", "", "?", "dog on chain"}) {
    const Placement p = place(text);
    EXPECT_EQ(p.decision, PlaceDecision::None) << text;
    EXPECT_EQ(p.placed_by, PlacedBy::None) << text;
    EXPECT_TRUE(std::isnan(p.position.x)) << text;
    EXPECT_EQ(p.score, 0) << text;
    EXPECT_FALSE(p.why.empty()) << text;
  }
}

TEST_F(PlaceTest, HostileStringsAreAnsweredInBoundedTime) {
  std::vector<PlaceQuery> queries;
  for (int i = 0; i < 50; ++i) {
    const std::string tail = std::to_string(i);
    queries.push_back({std::string(1'000'000, 'a') + tail, "", ""});
    queries.push_back({tail + " " + std::string(100'000, ','), std::string(10'000, 'x'), "\xFF\xFF"});
    queries.push_back({tail + std::string(" El\0m", 5), "", std::string(100, '1')});
  }
  Progress progress;
  const auto placed = placeAddresses(index(), queries, progress);
  ASSERT_OK(placed);
  EXPECT_EQ(placed->size(), queries.size());
}

TEST_F(PlaceTest, ThreadsDoNotChangeAnything) {
  std::vector<PlaceQuery> queries;
  for (int i = 0; i < 2000; ++i) queries.push_back({std::to_string(100 + i % 300) + (i % 2 == 0 ? " Elm" : " Oka Ave"), "", ""});
  Progress one(nullptr, std::stop_token(), 1);
  Progress four(nullptr, std::stop_token(), 4);
  const auto a = placeAddresses(index(), queries, one);
  const auto b = placeAddresses(index(), queries, four);
  ASSERT_OK(a);
  ASSERT_OK(b);
  for (std::size_t i = 0; i < queries.size(); ++i) {
    EXPECT_EQ((*a)[i].matched_id, (*b)[i].matched_id);
    EXPECT_EQ((*a)[i].score, (*b)[i].score);
  }
}

TEST(AddressIndexTest, RefusesColumnsOfDifferentLengthAndNothingAtAll) {
  Progress progress;
  EXPECT_EQ(AddressIndex::build({}, {}, progress).problem().code, ProblemCode::BadData);
  test::TownParts town = test::smallTown();
  town.points.number.pop_back();
  EXPECT_EQ(AddressIndex::build(std::move(town.points), {}, progress).problem().code, ProblemCode::InvalidArgument);
}

TEST(AddressIndexTest, PointsWithoutAPositionAreLeftOut) {
  AddressPoints points;
  test::addPoint(points, "1", "Elm St", "Nearside", {std::nan(""), 0});
  test::addPoint(points, "2", "Elm St", "Nearside", {5, 5});
  Progress progress;
  const auto index = AddressIndex::build(std::move(points), {}, progress);
  ASSERT_OK(index);
  EXPECT_NE(placeAddress(*index, {"1 Elm St", "", ""}).placed_by, PlacedBy::Point);
  EXPECT_EQ(placeAddress(*index, {"2 Elm St", "", ""}).placed_by, PlacedBy::Point);
}

TEST(AddressIndexTest, StopsWhenAsked) {
  test::TownParts town = test::smallTown();
  std::stop_source stop;
  stop.request_stop();
  Progress progress(nullptr, stop.get_token(), 1);
  EXPECT_EQ(AddressIndex::build(std::move(town.points), std::move(town.ranges), progress).problem().code, ProblemCode::Cancelled);
}

}  // namespace
}  // namespace leeward::analysis
