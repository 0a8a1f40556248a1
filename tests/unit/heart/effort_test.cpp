#include "analysis/coverage/effort.h"

#include <gtest/gtest.h>

#include "tests/unit/heart/town.h"

namespace leeward::test {

namespace {
Effort effortOf(const Record& record) {
  auto effort = plannedEffort(record);
  EXPECT_TRUE(effort.ok());
  return std::move(effort).value();
}
}  // namespace

TEST(EffortTest, OnlyPlannedLooksCountAndNoneAfterTheFirstFind) {
  Record record = emptyRecord(1);
  record.half_life_days = 1e12;  // nothing changes
  addDoor(record, 0);
  addLook(record, 0, day(2025, 1, 1));
  addLook(record, 0, day(2025, 2, 1), {.why = WhyHere::Return});
  addLook(record, 0, day(2025, 3, 1), {.result = DoorResult::Welcomed, .seen = 2, .met = 1});
  addLook(record, 0, day(2025, 4, 1), {.result = DoorResult::Welcomed, .seen = 2, .met = 2});
  const Effort effort = effortOf(record);
  EXPECT_NEAR(effort.effective_doors[0], 0.8 + 0.2 * 0.8, 1e-9);  // 1 - 0.2 x 0.2
  EXPECT_EQ(effort.planned_looks[0], 2);
  EXPECT_EQ(effort.found_doors[0], 1);
  EXPECT_EQ(effort.finds[0], 2);
  EXPECT_EQ(effort.known[0], 1);
}

TEST(EffortTest, NoLookCountsOnceADogIsKnownInAnotherWay) {
  Record record = emptyRecord(1);
  for (int i = 0; i < 2; ++i) {
    addDoor(record, 0);
    addLook(record, i, day(2025, 1, 1));
    addLook(record, i, day(2025, 3, 1), {.result = DoorResult::Declined, .seen = 1});
  }
  addAnimal(record, 0, day(2025, 2, 1));                      // a caller told
  addAnimal(record, 1, day(2025, 3, 1), {.planned = false});  // told on the very day of the look: not ours
  const Effort effort = effortOf(record);
  EXPECT_EQ(effort.planned_looks[0], 2) << "the January look at each door";
  EXPECT_EQ(effort.found_doors[0], 0);
  EXPECT_NEAR(effort.effective_doors[0], 1.6, 1e-9);
}

TEST(EffortTest, AnUnansweredKnockSeesWhatTheStreetSeesWhetherOrNotADogWasSeen) {
  Record record = emptyRecord(2);
  addDoor(record, 0);
  addDoor(record, 1);
  addLook(record, 0, day(2025, 6, 1), {.result = DoorResult::NobodyHome});
  addLook(record, 1, day(2025, 6, 1), {.result = DoorResult::NobodyHome, .seen = 1});
  const Effort effort = effortOf(record);
  EXPECT_DOUBLE_EQ(effort.effective_doors[0], 0.5);
  EXPECT_DOUBLE_EQ(effort.effective_doors[1], 0.5);
  EXPECT_EQ(effort.found_doors[1], 1);
}

TEST(EffortTest, ALookHoldsHalfAfterAHalfLife) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addDoor(record, 0);
  addLook(record, 0, record.as_of + (-365));
  const Effort effort = effortOf(record);
  EXPECT_NEAR(effort.unexamined[0], 0.2 * 0.5 + 0.5, 1e-12);
  EXPECT_DOUBLE_EQ(effort.unexamined[1], 1);
}

TEST(EffortTest, DoorsKnownOtherwiseWeighAsFarAsEffortCameBefore) {
  Record record = emptyRecord(1);
  for (int i = 0; i < 4; ++i) addDoor(record, 0);
  record.half_life_days = 1e12;
  addLook(record, 0, day(2025, 1, 1));
  addLook(record, 1, day(2025, 1, 2));
  addLook(record, 2, day(2025, 5, 1));
  addAnimal(record, 3, day(2025, 3, 1));
  EXPECT_NEAR(effortOf(record).known_otherwise[0], 2.0 / 3, 1e-9);
}

TEST(EffortTest, LooksAfterTheDayOfTheFiguresAreIgnored) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addLook(record, 0, day(2025, 7, 1), {.seen = 1});
  const Effort effort = effortOf(record);
  EXPECT_EQ(effort.effective_doors[0], 0);
  EXPECT_EQ(effort.known[0], 0);
}

}  // namespace leeward::test
