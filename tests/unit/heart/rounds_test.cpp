#include <gtest/gtest.h>

#include <set>

#include "analysis/need/where_next.h"
#include "analysis/rounds/doors.h"
#include "tests/unit/heart/town.h"

namespace leeward::test {

namespace {
DoorRounds roundsOf(const Record& record, double hours, int crews, std::optional<Point> start = Point{0, 0}) {
  Progress progress;
  const auto next = whereNext(record, {}, progress);
  EXPECT_TRUE(next.ok());
  DoorRequest request;
  request.outing.hours = hours;
  request.outing.start = start;
  request.crews = crews;
  auto rounds = doorsToKnock(record, next->coverage, next->unmet, request, progress);
  EXPECT_TRUE(rounds.ok());
  return std::move(rounds).value();
}
}  // namespace

TEST(RoundsTest, HoursAreKeptAndNoDoorIsGivenTwice) {
  const InventedTown town = inventTown({.told_share = 0.3}, 11);
  for (const double hours : {0.5, 2.0, 4.0}) {
    const DoorRounds rounds = roundsOf(town.record, hours, 3);
    ASSERT_EQ(rounds.crew_minutes.size(), 3U);
    for (const double minutes : rounds.crew_minutes) EXPECT_LE(minutes, hours * 60 + 1e-9);
    const std::set<std::int32_t> doors(rounds.door.begin(), rounds.door.end());
    EXPECT_EQ(doors.size(), rounds.size());
    EXPECT_GT(rounds.size(), 0U);
    double said = 0;
    for (std::size_t i = 0; i < rounds.size(); ++i) said += rounds.crew[i] == 1 ? rounds.minutes[i] : 0;
    EXPECT_LE(said, rounds.crew_minutes[0] + 1e-9);
    EXPECT_GE(rounds.crew_unmet_in_need[0], rounds.crew_unmet_in_need[2]) << "the first crew takes the best";
  }
}

TEST(RoundsTest, DoorsAskedNotToReturnAreLeftOut) {
  Record record = emptyRecord(1);
  for (int i = 0; i < 6; ++i) addDoor(record, 0, {i * 20.0, 0});
  addAnimal(record, 2, day(2025, 6, 1));
  askNotToReturn(record, 2, day(2025, 6, 2));
  const DoorRounds rounds = roundsOf(record, 8, 1);
  EXPECT_EQ(rounds.size(), 5U);
  EXPECT_EQ(std::ranges::count(rounds.door, 2), 0);
  for (int i = 0; i < 6; ++i) askNotToReturn(record, i, day(2025, 6, 2));
  EXPECT_EQ(roundsOf(record, 8, 2).size(), 0U);
}

TEST(RoundsTest, ADogSeenAndNotMetComesFirst) {
  Record record = emptyRecord(2);
  for (int i = 0; i < 40; ++i) addDoor(record, i / 20, {i * 15.0, 100});
  addAnimal(record, 33, day(2025, 6, 1));
  const DoorRounds rounds = roundsOf(record, 0.75, 1, std::nullopt);
  ASSERT_GT(rounds.size(), 0U);
  EXPECT_NE(std::ranges::find(rounds.door, 33), rounds.door.end());
  const auto i = static_cast<std::size_t>(std::ranges::find(rounds.door, 33) - rounds.door.begin());
  EXPECT_EQ(rounds.because[i].find("A dog was seen here, last on 1 June 2025, and not yet met"), 0U) << rounds.because[i];
  EXPECT_EQ(rounds.due[i], day(2025, 6, 1) + 120);
}

TEST(RoundsTest, ZeroHoursGiveNoDoors) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  const DoorRounds rounds = roundsOf(record, 0, 2);
  EXPECT_EQ(rounds.size(), 0U);
  EXPECT_EQ(rounds.crew_minutes, (std::vector<double>{0, 0}));
}

TEST(RoundsTest, TheWalkPassesDoorsInARowOneAfterTheOther) {
  const std::vector<Point> places = {{30, 0}, {10, 0}, {40, 0}, {20, 0}};
  EXPECT_EQ(walkingOrder(places, {0, 0}), (std::vector<std::size_t>{1, 3, 0, 2}));
  EXPECT_DOUBLE_EQ(walkLengthM(places), 40);  // 30, 40 (lower row of two as near), 20, 10: 10 + 20 + 10
}

}  // namespace leeward::test
