// What was said at doors, on a record made by hand: appointments of animals, knocks that nobody answered, permission that was taken back.
#include <algorithm>

#include <gtest/gtest.h>

#include "shared/base/dates.h"
#include "shared/base/files.h"
#include "tests/journeys/record/record_study.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

/// "day premises kind" and the reason of each row of these kinds.
std::vector<std::pair<std::string, std::string>> dueOf(const RecordStudy& study, const std::vector<std::string>& kinds, const char* until) {
  const auto file = study.beside("due.csv");
  const Ran ran = leeward({"due", study.text(), "--as-of", kRecordDay, "--until", until, "-o", file.string()});
  EXPECT_EQ(ran.status, 0) << ran.err;
  const Table table = csvOfFile(file);
  std::vector<std::pair<std::string, std::string>> rows;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (std::ranges::find(kinds, field(table, "kind", row)) == kinds.end()) continue;
    rows.emplace_back(field(table, "due", row) + " " + field(table, "premises_id", row) + " " + field(table, "kind", row), field(table, "because", row));
  }
  return rows;
}

TEST(DueSaid, AnAppointmentStandsUntilItsDayWhoeverComesByBefore) {
  const RecordStudy study(6);
  Log log;
  log.add(0, {"2025-12-01 promised=neuter appointment, van at 8; return_by=2026-01-20", "2025-12-20 done=straw 2"});
  log.add(1, {"2025-12-01 promised=neuter appointment, van at 8; return_by=2026-01-20; permission_by=owner; permission_for=handle, transport"});
  log.add(2, {"2025-11-01 promised=spay appt - owner brings her; return_by=2025-12-10", "2025-12-11 outcome=neutered"});  // done
  log.add(3, {"2025-11-01 promised=vet appointment 9:30; return_by=2025-12-10"});                                                      // nobody heard of it since
  log.add(4, {"2025-12-01 promised=neuter appointment to arrange; return_by=2026-01-20"});                                             // a promise like others
  log.add(5, {"2025-12-01 promised=neuter appointment; return_by=2026-01-20", "2025-12-28 bare; met=0; name=; door=asked_not_to_return"});
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())}).status, 0);
  const std::vector<std::pair<std::string, std::string>> by_hand = {
      {"2025-12-10 P103 appointment", "said on 1 November 2025; who brings the animal isn't said: settle it before the day"},
      {"2026-01-20 P100 appointment", "said on 1 December 2025; the team brings it: no permission to transport is on record, ask for it"},
      {"2026-01-20 P101 appointment", "said on 1 December 2025; the team brings it"},
      {"2026-01-20 P104 promise", "said on 1 December 2025"}};
  EXPECT_EQ(dueOf(study, {"appointment", "promise"}, "2026-02-01"), by_hand);
}

TEST(DueSaid, ADoorThatNobodyEverAnsweredIsKnockedAtAnotherHour) {
  const RecordStudy study(4);
  Log log;
  const std::string nobody = " bare; name=; met=0; seen=0; door=nobody_home";
  log.add(0, {"2025-12-01" + nobody + "; time=10:15", "2025-12-09" + nobody + "; time=14:40"});                    // a Monday and a Tuesday
  log.add(1, {"2025-12-01" + nobody + "; time=10:15"});                                                            // once says nothing yet
  log.add(2, {"2025-12-01" + nobody + "; time=10:15", "2025-12-06" + nobody + "; time=10:20", "2025-12-10"});         // reached since
  log.add(3, {"2025-12-06" + nobody + "; time=18:30", "2025-12-09" + nobody + "; time=14:40; note_left=yes"});        // a note: one call back, not two
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())}).status, 0);
  const std::vector<std::pair<std::string, std::string>> by_hand = {
      {"2025-12-16 P100 unanswered", "knocked 2 times, last on 9 December 2025, never answered; nobody home at 10:15, 14:40; not tried yet: evening, weekend"},
      {"2025-12-16 P103 note", "note left on 9 December 2025; nobody home at 14:40, 18:30"}};
  EXPECT_EQ(dueOf(study, {"unanswered", "note"}, "2026-01-07"), by_hand);
}

TEST(DueSaid, PermissionThatWasTakenBackIsNoPermissionOnTheDoorSheet) {
  const RecordStudy study(2);
  Log log;
  log.add(0, {"2025-10-01 permission_by=owner; permission_for=enter; permission_until=2026-01-03", "2025-12-01 bare; name=; met=0; seen=1; permission_by=Withdrawn"});
  log.add(1, {"2025-10-01 permission_by=owner; permission_for=enter; permission_until=2026-01-03; promised=straw; return_by=2026-01-02"});
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())}).status, 0);
  const std::vector<std::pair<std::string, std::string>> by_hand = {{"2026-01-03 P101 permission", "given by owner on 1 October 2025"}};
  EXPECT_EQ(dueOf(study, {"permission"}, "2026-01-07"), by_hand) << "what was taken back doesn't run out";
  const Ran ran = study.call("next", {"--doors", "--hours", "8", "--as-of", kRecordDay});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Table doors = csvOfText(ran.out);
  const auto row = rowsBy(doors, "premises_id");
  ASSERT_TRUE(row.contains("P100")) << ran.out;
  EXPECT_EQ(field(doors, "permission", row.at("P100")), "withdrawn on 1 December 2025: ask at the door, look from public ground only");
}

}  // namespace
}  // namespace leeward::test
