// What is due, on a record made by hand.
#include <gtest/gtest.h>

#include "shared/base/dates.h"
#include "shared/base/files.h"
#include "tests/journeys/record/record_study.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

/// Ten doors as of 31 December 2025; by hand what each has due by 7 January 2026.
struct DueStudy : RecordStudy {
  DueStudy();
};

DueStudy::DueStudy() : RecordStudy(10) {
  Log log;
  log.add(0, {"2025-12-20 promised=straw; return_by=2026-01-03; crew=North"});                                   // promise, 3 January
  log.add(1, {"2025-12-20 treatment=dewormer|L1|18 kg|2026-01-05", "2025-12-28 bare; crew=South"});                // treatment, 5 January
  log.add(2, {"2025-10-01 treatment=dewormer|L1|18 kg|2025-12-01", "2025-12-01 treatment=Dewormer|L2|18 kg|2026-05-01"});  // given since: May, too far
  log.add(3, {"2025-09-01"});                                                                                    // 120 days: 30 December
  log.add(4, {"2025-12-20 bare; name=; met=0; seen=0; door=nobody_home; note_left=yes; time=10:15"});               // note: 27 December
  log.add(5, {"2025-12-01 bare; name=; met=0; seen=1; door=declined; referred_to=county"});                        // referral: 15 December
  log.add(6, {"2025-12-20 permission_by=owner; permission_for=enter; permission_until=2026-01-06"});               // permission, 6 January
  log.add(7, {"2025-12-20 promised=straw; return_by=2026-01-03", "2025-12-28 bare; name=; met=0; door=asked_not_to_return"});  // nobody knocks there
  log.add(8, {"2025-12-20 treatment=dewormer|L1|18 kg|2026-01-05", "2025-12-28 bare; met=0; outcome=died"});       // the dog died
  log.add(9, {"2025-12-20 promised=a house"});                                                                   // promised without a day
  const Ran taken = call("take-in", {"visits", put(beside("visits.csv"), log.csv())});
  EXPECT_EQ(taken.status, 0) << taken.err;
}

TEST(DueJourney, WhatIsDueIsListedByDayWithItsReason) {
  const DueStudy study;
  const auto file = study.beside("due.csv");
  const Ran ran = study.call("due", {"--as-of", kRecordDay, "-o", file.string()});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_TRUE(isPrivate(file));
  const Table due = csvOfFile(file);
  std::vector<std::string> got;
  for (std::size_t row = 0; row < due.rows(); ++row) {
    got.push_back(field(due, "due", row) + " " + field(due, "premises_id", row) + " " + field(due, "kind", row));
    EXPECT_NE(field(due, "because", row), "") << got.back();
  }
  const std::vector<std::string> by_hand = {"2025-12-15 P105 referral", "2025-12-20 P109 promise",   "2025-12-27 P104 note",      "2025-12-30 P103 visit",
                                            "2026-01-03 P100 promise",  "2026-01-05 P101 treatment", "2026-01-06 P106 permission"};
  EXPECT_EQ(got, by_hand);
  EXPECT_EQ(field(due, "crew", 5), "South") << "who was there last";
  EXPECT_NE(field(due, "because", 2).find("10:15"), std::string::npos);
}

TEST(DueJourney, ACalendarTellsHowManyAndNobodysNameOrAddress) {
  const DueStudy study;
  const auto file = study.beside("due.ics");
  ASSERT_EQ(study.call("due", {"--as-of", kRecordDay, "-o", file.string()}).status, 0);
  const auto text = readFile(file);
  ASSERT_OK(text);
  EXPECT_NE(text->find("DTSTART;VALUE=DATE:20260103\r\nSUMMARY:Due: 1 promise\r\n"), std::string::npos);
  for (const char* told : {"Elm", "Rex", "P100", "straw", "county"}) EXPECT_EQ(text->find(told), std::string::npos) << told;
}

/// Days of two winters: frost from 20 November 2022 to 15 March 2023, and from 4 November 2023 to 1 March 2024.
std::string winterDays() {
  std::string text = "date,tmax,tmin\n";
  for (Date day = *makeDate(2022, 7, 1); day <= *makeDate(2024, 6, 30); day = day + 1) {
    const std::string iso = toIso(day);
    const bool frost = iso == "2022-11-20" || iso == "2023-03-15" || iso == "2023-11-04" || iso == "2024-03-01";
    text += iso + (frost ? ",3,-2\n" : ",12,4\n");
  }
  return text;
}

TEST(DueJourney, StrawGoesInBeforeTheEarliestFrostAndOutAfterTheLatestAndDangerIsSaidApart) {
  const RecordStudy study(4);
  Log log;
  log.add(0, {"2025-12-20"});                                                         // no straw yet: 14 days before 4 November
  log.add(1, {"2025-11-02 done=straw 2", "2025-12-20"});                               // out on the day after 15 March
  log.add(2, {"2025-11-02 done=straw 2; water=unmet", "2025-12-29 water=unmet"});       // without water: 24 hours
  log.add(3, {"2025-11-02 done=straw 1; wound=unmet", "2025-12-20"});                   // the wound healed
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())}).status, 0);
  const auto due = [&] {
    const auto file = study.beside("due.csv");
    const Ran ran = leeward({"due", study.text(), "--as-of", kRecordDay, "--until", "2026-03-31", "-o", file.string()});
    EXPECT_EQ(ran.status, 0) << ran.err;
    return std::pair(csvOfFile(file), ran.err);
  };
  const auto rowsOf = [](const Table& table) {
    std::vector<std::string> rows;
    for (std::size_t row = 0; row < table.rows(); ++row) {
      if (field(table, "kind", row) == "straw" || field(table, "kind", row) == "urgent") rows.push_back(field(table, "due", row) + " " + field(table, "premises_id", row) + " " + field(table, "what", row));
    }
    return rows;
  };
  EXPECT_EQ(rowsOf(due().first), (std::vector<std::string>{"2025-12-30 P102 no drinkable water"})) << "no weather days, no straw";
  const Ran weather = study.call("take-in", {"weather", put(study.beside("days.csv"), winterDays()), "--map", "unit=C"});
  ASSERT_EQ(weather.status, 0) << weather.err;
  std::string settings = readFile(study.path() / "study.toml").value();
  const auto at = settings.find("[due]");
  settings.insert(settings.find('\n', at) + 1, "urgent_call = [\"the veterinarian on call\"]\n");
  put(study.path() / "study.toml", settings);
  const auto [table, said] = due();
  EXPECT_EQ(rowsOf(table), (std::vector<std::string>{"2025-10-21 P100 straw in: 1 bale", "2025-12-30 P102 no drinkable water", "2026-03-16 P101 straw out",
                                                     "2026-03-16 P102 straw out", "2026-03-16 P103 straw out"}));
  EXPECT_NE(field(table, "because", 0).find("of 2 whole winters on record, too few to be a climate: 4 November 2023"), std::string::npos) << field(table, "because", 0);
  EXPECT_NE(said.find("URGENT, P102: no drinkable water (within 24 hours; call the veterinarian on call; left so on 29 December 2025)"), std::string::npos) << said;
}

// The rule: straw comes out after the latest frost, where it went in; until somebody took it out it is due. Straw goes in for each winter anew.
TEST(DueJourney, StrawThatNobodyTookOutStaysInTheListThroughSummerAndTheNextWinter) {
  const RecordStudy study(4);
  Log log;
  log.add(0, {"2024-11-02 done=straw 2", "2025-09-20"});                                     // never taken out
  log.add(1, {"2024-11-02 done=straw 2", "2025-04-02 done=straw out", "2025-09-20"});          // taken out
  log.add(2, {"2024-11-02 done=straw 2", "2025-09-20 done=straw out; v=a", "2025-09-20 done=straw 1; v=b"});  // changed for fresh, for the winter to come
  log.add(3, {"2025-03-20 done=straw 1", "2025-09-20"});                                     // put in after the latest frost: out from the next day on
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())}).status, 0);
  ASSERT_EQ(study.call("take-in", {"weather", put(study.beside("days.csv"), winterDays()), "--map", "unit=C"}).status, 0);
  const auto straw = [&](const char* as_of, const char* until) {
    const auto file = study.beside("due.csv");
    const Ran ran = leeward({"due", study.text(), "--as-of", as_of, "--until", until, "-o", file.string()});
    EXPECT_EQ(ran.status, 0) << ran.err;
    std::vector<std::string> rows;
    const Table table = csvOfFile(file);
    for (std::size_t row = 0; row < table.rows(); ++row) {
      if (field(table, "kind", row) == "straw") rows.push_back(field(table, "due", row) + " " + field(table, "premises_id", row) + " " + field(table, "what", row));
    }
    return rows;
  };
  for (const char* day : {"2025-07-15", "2025-08-31"}) {
    EXPECT_EQ(straw(day, day), (std::vector<std::string>{"2025-03-16 P100 straw out", "2025-03-16 P102 straw out", "2025-03-21 P103 straw out"})) << day;
  }
  EXPECT_EQ(straw(kRecordDay, "2026-03-31"), (std::vector<std::string>{"2025-03-16 P100 straw out", "2025-03-21 P103 straw out", "2025-10-21 P100 straw in: 1 bale", "2025-10-21 P101 straw in: 1 bale",
                                                                       "2025-10-21 P103 straw in: 1 bale", "2026-03-16 P102 straw out"}));
}

TEST(DueJourney, TheDoorsOfADaySayWhoPermissionWhatIsDueAndWhatToBring) {
  const RecordStudy study(4);
  Log log;
  log.add(0, {"2025-06-20 permission_by=owner; permission_for=enter, handle; permission_until=2026-06-06; time=17:10; promised=2 bowls; return_by=2026-01-03", "2025-06-21 bare; met=0; name=; door=nobody_home; time=10:15"});
  log.add(1, {"2025-06-20 permission_by=owner; permission_until=2025-09-01"});
  log.add(2, {"2025-06-20 permission_by=owner", "2025-08-20 bare; met=0; name=; door=declined"});
  log.add(3, {"2025-06-20 permission_by=owner", "2025-08-20 bare; met=0; name=; door=asked_not_to_return"});
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv())}).status, 0);
  const Ran ran = study.call("next", {"--doors", "--hours", "8", "--as-of", kRecordDay});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Table doors = csvOfText(ran.out);
  const auto row = rowsBy(doors, "premises_id");
  ASSERT_TRUE(row.contains("P100") && row.contains("P101") && row.contains("P102")) << ran.out;
  EXPECT_FALSE(row.contains("P103")) << "asked not to return is no door to knock";
  EXPECT_EQ(field(doors, "permission", row.at("P100")), "from owner: enter, handle; on 20 June 2025, until 6 June 2026");
  EXPECT_EQ(field(doors, "who", row.at("P100")), "animals: Rex; somebody answered at 17 h; nobody at 10 h");
  EXPECT_EQ(field(doors, "what_due", row.at("P100")), "promised: 2 bowls (3 January 2026)");
  EXPECT_EQ(field(doors, "bring", row.at("P100")), "bowl 2");
  EXPECT_TRUE(field(doors, "permission", row.at("P101")).starts_with("ended on 1 September 2025")) << field(doors, "permission", row.at("P101"));
  // The log of the day comes back: the doors that got a date are looks, the others none.
  const auto log_file = study.beside("today.csv");
  ASSERT_EQ(study.call("next", {"--doors", "--hours", "8", "--as-of", kRecordDay, "--log", log_file.string()}).status, 0);
  EXPECT_TRUE(isPrivate(log_file));
  std::string filled = readFile(log_file).value();
  EXPECT_EQ(csvOfText(filled).rows(), doors.rows());
  const auto visited = filled.find("100 Elm St");
  ASSERT_NE(visited, std::string::npos);
  const auto begins = filled.rfind('\n', visited) + 1;
  ASSERT_EQ(filled.substr(begins, 2), ",,") << "visit_id, date";
  filled.insert(begins + 1, "2025-12-31");
  const Ran back = leeward({"take-in", study.text(), "visits", put(log_file, filled)});
  EXPECT_EQ(back.status, 0) << back.err;
  EXPECT_NE(back.err.find("1 of " + std::to_string(doors.rows()) + " rows went in: 1 new look"), std::string::npos) << back.err;
  EXPECT_TRUE(field(doors, "permission", row.at("P102")).starts_with("declined on 20 August 2025")) << field(doors, "permission", row.at("P102"));
}

TEST(DueJourney, AListThatIsCurrentIsReadAndOneThatIsNotIsMadeAnew) {
  const DueStudy study;
  const auto rows = [&] { return csvOfText(study.call("due", {"--as-of", kRecordDay}).out).rows(); };
  EXPECT_EQ(rows(), 7U);
  EXPECT_EQ(rows(), 7U);
  Log more;
  more.add(0, {"2025-12-30"});
  std::string later = more.csv();
  later.replace(later.find("V00000"), 6, "W00000");
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("later.csv"), later)}).status, 0);
  EXPECT_EQ(rows(), 6U) << "the promise at the first door was kept";
  EXPECT_EQ(study.call("due", {"--as-of", kRecordDay, "--until", "2028-01-01"}).status, 2);
}

}  // namespace
}  // namespace leeward::test
