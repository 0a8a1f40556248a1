#include "analysis/coverage/states.h"

#include <gtest/gtest.h>

#include "tests/unit/heart/town.h"

namespace leeward::test {

namespace {

struct StateCase {
  const char* what;
  std::vector<LookSpec> looks;  // at door 0, on 2025-06-01
  std::vector<std::pair<Date, AnimalSpec>> animals;
  CoverageState expected;
};

std::vector<StateCase> stateCases() {
  const Date lately = day(2025, 6, 1), long_ago = day(2025, 1, 1);
  const LookSpec nobody{.result = DoorResult::NobodyHome},
      no_access_street{.kind = LookKind::Street, .result = DoorResult::NoAccess};
  return {
      {"no look, no dog", {}, {}, CoverageState::Never},
      {"nobody home", {nobody}, {}, CoverageState::Nobody},
      {"a look at which access failed", {{.result = DoorResult::NoAccess}}, {}, CoverageState::Nobody},
      {"a street look whose view was barred", {no_access_street}, {}, CoverageState::Nobody},
      {"a call that is not answered", {{.kind = LookKind::Call, .result = DoorResult::NobodyHome}}, {}, CoverageState::Nobody},
      {"a knock of which nothing is said",
       {{.result = DoorResult::NotSaid, .seen = kNotSaid, .met = kNotSaid}},
       {},
       CoverageState::Nobody},
      {"a knock of which only 'no dogs' is said", {{.result = DoorResult::NotSaid, .seen = 0}}, {}, CoverageState::None},
      {"no dog said at the door", {{.result = DoorResult::NoDog}}, {}, CoverageState::None},
      {"declined is an answer", {{.result = DoorResult::Declined}}, {}, CoverageState::None},
      {"vacant is an answer", {{.result = DoorResult::Vacant}}, {}, CoverageState::None},
      {"a view from the street", {{.kind = LookKind::Street, .result = DoorResult::NotSaid}}, {}, CoverageState::None},
      {"nobody home once, an answer once", {nobody, {}}, {}, CoverageState::None},
      {"a dog lately seen, never looked at", {}, {{lately, {}}}, CoverageState::OnTime},
      {"a dog seen long ago and never met", {}, {{long_ago, {}}}, CoverageState::Overdue},
      {"met lately", {{}}, {{long_ago, {.met = lately, .last_visit = lately}}}, CoverageState::OnTime},
      {"one on time, one overdue: the worst wins", {{}}, {{lately, {}}, {long_ago, {.met = long_ago}}}, CoverageState::Overdue},
      {"the only dog is gone", {{}}, {{long_ago, {.met = long_ago, .gone = lately}}}, CoverageState::None},
      {"the only dog is gone, never looked at", {}, {{long_ago, {.gone = lately}}}, CoverageState::Never},
      {"a dog first seen after the day of the figures", {}, {{day(2025, 7, 1), {}}}, CoverageState::Never},
      {"a dog that will be gone", {}, {{lately, {.gone = day(2025, 7, 1)}}}, CoverageState::OnTime},
  };
}

}  // namespace

TEST(CoverageTest, StatesFollowTheRuleInEveryCase) {
  for (const StateCase& c : stateCases()) {
    Record record = emptyRecord(1);
    addDoor(record, 0);
    for (const LookSpec& look : c.looks) addLook(record, 0, day(2025, 6, 1), look);
    for (const auto& [seen, animal] : c.animals) addAnimal(record, 0, seen, animal);
    const auto coverage = coverageOf(record);
    ASSERT_TRUE(coverage.ok()) << c.what;
    EXPECT_EQ(stateKey(coverage->blocks.state[0]), stateKey(c.expected)) << c.what;
    EXPECT_EQ(stateKey(coverage->doors.state[0]), stateKey(c.expected)) << c.what;
  }
}

TEST(CoverageTest, ADogIsDueAfterItsLastVisitNotAfterItWasLastSeen) {
  // As of 30 June 2025, interval 120 days. Met on 1 January (due 1 May 2025), seen from the street on 1 June: overdue all the same.
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addAnimal(record, 0, day(2025, 1, 1), {.met = day(2025, 1, 1), .last_visit = day(2025, 1, 1)});
  record.animals.last_seen[0] = day(2025, 6, 1);
  auto coverage = coverageOf(record);
  ASSERT_TRUE(coverage.ok());
  EXPECT_EQ(coverage->doors.due[0], day(2025, 5, 1));
  EXPECT_EQ(coverage->blocks.dogs_overdue[0], 1);
  // Never met: the day on which it was last seen counts, 1 June + 120 = 29 September.
  record.animals.first_met[0] = record.animals.last_visit[0] = std::nullopt;
  coverage = coverageOf(record);
  EXPECT_EQ(coverage->doors.due[0], day(2025, 9, 29));
  EXPECT_EQ(coverage->blocks.dogs_overdue[0], 0);
}

TEST(CoverageTest, OnTheDayADogIsDueAndFromTheNextItIsOverdue) {
  // 120 days before 30 June 2025 is 2 March 2025 (29 days of March, 30 of April, 31 of May, 30 of June).
  for (const auto& [visit, due, overdue] : {std::tuple(day(2025, 3, 3), false, false), {day(2025, 3, 2), true, false}, {day(2025, 3, 1), true, true}}) {
    Record record = emptyRecord(1);
    addDoor(record, 0);
    addAnimal(record, 0, visit, {.met = visit, .last_visit = visit});
    const auto coverage = coverageOf(record);
    ASSERT_TRUE(coverage.ok());
    EXPECT_EQ(isDue(*coverage->doors.due[0], record.as_of), due) << toIso(visit);
    EXPECT_EQ(isOverdue(*coverage->doors.due[0], record.as_of), overdue) << toIso(visit);
    EXPECT_EQ(coverage->doors.state[0], overdue ? CoverageState::Overdue : CoverageState::OnTime) << toIso(visit);
  }
}

TEST(CoverageTest, NeverNeedsThatNoDoorWasLookedAt) {
  Record record = emptyRecord(2);
  for (int i = 0; i < 4; ++i) addDoor(record, 0);
  addLook(record, 2, day(2025, 6, 1));
  addLook(record, kNowhere, day(2025, 6, 2));  // block 0, a premises that could not be told
  addLook(record, 2, day(2025, 7, 1));         // after the day of the figures
  const auto coverage = coverageOf(record);
  ASSERT_TRUE(coverage.ok());
  const BlockCoverage& b = coverage->blocks;
  EXPECT_EQ(b.state[0], CoverageState::None);
  EXPECT_EQ(b.doors_looked[0], 1);
  EXPECT_EQ(b.looks[0], 2);
  EXPECT_EQ(b.planned_looks[0], 2);
  EXPECT_DOUBLE_EQ(b.share_never[0], 0.75);
  EXPECT_EQ(b.last_look[0], day(2025, 6, 2));
  // Three doors unseen, one seen by a knock that sees 0.8: (1 + 1 + 1 + 0.2) / 4.
  EXPECT_NEAR(b.chance_missed[0], 0.8, 1e-12);
  EXPECT_EQ(b.state[1], CoverageState::Never);
  EXPECT_TRUE(std::isnan(b.share_never[1])) << "a block without doors has no share";
  EXPECT_TRUE(std::isnan(b.chance_missed[1]));
}

TEST(CoverageTest, FiguresOfADayDoNotMoveWithWhatComesLater) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addLook(record, 0, day(2025, 5, 1));
  addAnimal(record, 0, day(2025, 5, 1), {.met = day(2025, 7, 2), .last_visit = day(2025, 7, 2)});
  const auto before = coverageOf(record);
  ASSERT_TRUE(before.ok());
  EXPECT_EQ(before->blocks.dogs_known[0], 1);
  EXPECT_EQ(before->blocks.dogs_met[0], 0);
  EXPECT_EQ(before->doors.due[0], day(2025, 5, 1) + 120);
  askNotToReturn(record, 0, day(2025, 7, 1));
  const auto after = coverageOf(record);
  ASSERT_TRUE(after.ok());
  EXPECT_EQ(after->blocks.doors_closed[0], 0);
}

TEST(CoverageTest, DogsSeenButNotListedAreAdded) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  addDoor(record, 0);
  addLook(record, 0, day(2025, 5, 1), {.seen = 3, .met = 1});
  addAnimal(record, 0, day(2025, 5, 1), {.met = day(2025, 5, 1)});
  addLook(record, 1, day(2025, 5, 2), {.result = DoorResult::Welcomed, .seen = 1, .met = 1});
  EXPECT_EQ(addUnlistedDogs(record), 3U);
  EXPECT_EQ(addUnlistedDogs(record), 0U) << "a second time adds nothing";
  const auto coverage = coverageOf(record);
  ASSERT_TRUE(coverage.ok());
  EXPECT_EQ(coverage->doors.dogs_known[0], 3);
  EXPECT_EQ(coverage->blocks.dogs_known[0], 4);
  EXPECT_EQ(coverage->blocks.dogs_met[0], 2);
}

TEST(CoverageTest, RecordsThatDoNotFitTogetherAreRefused) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  record.doors.block[0] = 1;
  EXPECT_EQ(coverageOf(record).problem().code, ProblemCode::InvalidArgument);
  record.doors.block[0] = 0;
  addLook(record, 0, day(2025, 6, 1));
  record.looks.dogs_met.clear();
  EXPECT_FALSE(coverageOf(record).ok());
  record.looks.dogs_met.push_back(0);
  record.half_life_days = 0;
  EXPECT_FALSE(coverageOf(record).ok());
}

}  // namespace leeward::test
