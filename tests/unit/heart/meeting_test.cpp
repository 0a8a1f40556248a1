#include "analysis/need/meeting.h"

#include <gtest/gtest.h>

#include "analysis/coverage/states.h"
#include "analysis/need/unmet.h"
#include "analysis/rounds/doors.h"
#include "tests/unit/heart/town.h"

namespace leeward::test {

TEST(MeetingTest, WithoutARecordEachShareIsHalfAndAKnockSeesWhatTheTeamSays) {
  Record record = emptyRecord(1);
  addDoor(record, 0);
  const Meeting meeting = meetingOf(record);
  EXPECT_NEAR(meeting.chance[0], 0.8 * 0.5 * 0.5, 1e-12);
  EXPECT_EQ(meeting.knocks, 0);
}

// Ten doors with one answered knock in two, each alike: the town's shares are (1 + yes) / (2 + all).
TEST(MeetingTest, AnswersAndPermissionsAreTheTownsShares) {
  Record record = emptyRecord(1);
  for (int i = 0; i < 10; ++i) {
    addDoor(record, 0);
    addLook(record, i, day(2025, 3, 1), {.result = DoorResult::NobodyHome});
    addLook(record, i, day(2025, 4, 1), {.result = i < 5 ? DoorResult::Welcomed : DoorResult::Declined, .seen = 1, .met = i < 5 ? 1 : 0});
    addLook(record, i, day(2025, 8, 1), {.result = DoorResult::NobodyHome});  // after as_of: not yet so
    addLook(record, i, day(2025, 4, 1), {.kind = LookKind::Street, .result = DoorResult::NotSaid});  // nobody was asked
  }
  const Meeting meeting = meetingOf(record);
  EXPECT_EQ(meeting.knocks, 20);
  EXPECT_EQ(meeting.asked, 10);
  EXPECT_NEAR(meeting.answers, 11.0 / 22, 1e-12);
  EXPECT_NEAR(meeting.permits, 6.0 / 12, 1e-12);
}

TEST(MeetingTest, ADoorsOwnRecordMovesItsChance) {
  Record record = emptyRecord(1);
  for (int i = 0; i < 4; ++i) addDoor(record, 0);
  for (int month = 1; month <= 3; ++month) {
    addLook(record, 1, day(2025, static_cast<unsigned>(month), 1), {.result = DoorResult::NobodyHome});
    addLook(record, 2, day(2025, static_cast<unsigned>(month), 1), {.result = DoorResult::Declined, .seen = 1});
    addLook(record, 3, day(2025, static_cast<unsigned>(month), 1), {.result = DoorResult::Welcomed, .seen = 1, .met = 1});
  }
  const Meeting meeting = meetingOf(record);
  EXPECT_LT(meeting.chance[1], meeting.chance[0]);
  EXPECT_LT(meeting.chance[2], meeting.chance[3]);
  EXPECT_LT(meeting.chance[2], meeting.chance[0]);
}

// Two doors alike with a dog seen at each; one declined again and again.
TEST(MeetingTest, OfTwoDoorsWithADogTheOneThatHasNotDeclinedIsKnockedAtFirst) {
  Record record = emptyRecord(2);
  addDoor(record, 0, {0, 0});
  addDoor(record, 1, {2000, 0});
  for (int d = 1; d <= 3; ++d) addLook(record, 0, day(2025, 6, static_cast<unsigned>(d)), {.why = WhyHere::Return, .result = DoorResult::Declined, .seen = 1});
  addAnimal(record, 0, day(2025, 6, 20));
  addAnimal(record, 1, day(2025, 6, 20));
  Progress progress;
  const auto coverage = coverageOf(record);
  const auto effort = plannedEffort(record);
  const auto unmet = expectedUnmet(record, *effort, {}, progress);
  ASSERT_TRUE(coverage.ok() && unmet.ok());
  DoorRequest request;
  request.outing.start = Point{1000, 0};
  const auto rounds = doorsToKnock(record, *coverage, *unmet, request, progress);
  ASSERT_TRUE(rounds.ok());
  ASSERT_EQ(rounds->size(), 2u);
  EXPECT_EQ(rounds->door[0], 1);
  EXPECT_NEAR(rounds->unmet_in_need[0], unmet->door_unmet[1] * unmet->share_in_need[1], 1e-12) << "what is there, not what a knock meets";
}

}  // namespace leeward::test
