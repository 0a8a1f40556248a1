#include "importers/visits.h"

#include <gtest/gtest.h>

#include "tests/unit/importers/files.h"
#include "tests/support/data.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::frame;
using test::refusedAt;
using test::remarks;

constexpr const char* kHead = "visit_id,date,time,crew,address,place,postcode,lon,lat,look,why_here,door_result,permission_by,dogs_seen,dogs_met,dog_name,"
                              "house,water,left_house,body_condition,body_scale,done,treatment,outcome,referred_to,notes\n";

class VisitsTest : public ::testing::Test {
 protected:
  CrewImport take(const std::string& rows) {
    Progress progress;
    auto import = importVisits(folder_.file("visits.csv", kHead + rows), {}, frame(), progress);
    EXPECT_OK(import);
    return import ? *std::move(import) : CrewImport{};
  }
  static const Table& table(const CrewImport& import, Entity entity) { return import.batch.rows.at(entity); }
  static std::string cell(const CrewImport& import, Entity entity, const char* column, std::size_t row = 0) {
    return table(import, entity).find(column)->asText(row);
  }
  Folder folder_;
};

TEST_F(VisitsTest, RowsOfOneVisitAreOneLookWithAllItsAnimals) {
  const auto import = take(
      "V1,2025-03-04,10:05,north,12 Elm St,Fairford,45014,-84.6,39.4,knock,planned,welcomed,owner,3,2,Rex,unmet,met,met,2,1 ideal to 5 emaciated,straw 2; swivel,drops|L1|12 kg,improved,,a\n"
      "V1,2025-03-04,,north,12 elm st,,,,,knock,planned,,,3,2,Bea,met,unmet,,,,,,given up: foster,city office,b\n"
      "V2,5 Mar 2025,,south,9 Oak Ave,,,,,knock,return,not home,,0,0,,,,,,,,,,,\n");
  EXPECT_TRUE(import.batch.report.refused.empty());
  EXPECT_EQ(import.batch.report.read, 3U);
  EXPECT_EQ(import.batch.report.kept, 3U);
  ASSERT_EQ(table(import, Entity::Looks).rows(), 2U);
  EXPECT_EQ(cell(import, Entity::Looks, "source_key"), "V1");
  EXPECT_EQ(cell(import, Entity::Looks, "dogs_met"), "2") << "said in both rows, counted once";
  EXPECT_EQ(cell(import, Entity::Looks, "notes"), "a; b");
  EXPECT_EQ(cell(import, Entity::Looks, "lon"), "-84.6");
  EXPECT_EQ(cell(import, Entity::Looks, "door_result", 1), "nobody_home");
  EXPECT_EQ(cell(import, Entity::Looks, "date", 1), "2025-03-05");
  EXPECT_TRUE(table(import, Entity::Looks).find("lon")->isMissing(1));
  ASSERT_EQ(table(import, Entity::Visits).rows(), 2U);
  EXPECT_EQ(cell(import, Entity::Visits, "name", 1), "Bea");
  EXPECT_EQ(cell(import, Entity::Visits, "ordinal", 1), "2");
  EXPECT_EQ(cell(import, Entity::Visits, "look_id"), cell(import, Entity::Looks, "id"));
  ASSERT_EQ(table(import, Entity::Checks).rows(), 3U);
  EXPECT_EQ(cell(import, Entity::Checks, "items"), "house=unmet;water=met");
  EXPECT_EQ(cell(import, Entity::Checks, "body_scale"), "five_ideal_first");
  EXPECT_EQ(cell(import, Entity::Checks, "moment", 1), "left");
  EXPECT_EQ(table(import, Entity::Services).rows(), 2U);
  EXPECT_EQ(cell(import, Entity::Treatments, "weight"), "12");
  EXPECT_EQ(cell(import, Entity::Outcomes, "followed", 1), "foster");
  EXPECT_EQ(cell(import, Entity::Referrals, "referred_to"), "city office");
  EXPECT_EQ(table(import, Entity::Permissions).rows(), 1U);
}

TEST_F(VisitsTest, NobodyMetAndNoPermissionMakesNoVisit) {
  const auto import = take("V1,2025-03-04,,north,12 Elm St,,,,,street,passing,,,1,0,,unmet,,,,,,,,,\n");
  EXPECT_EQ(table(import, Entity::Visits).rows(), 0U);
  EXPECT_EQ(table(import, Entity::Checks).rows(), 0U);
  EXPECT_NE(cell(import, Entity::Looks, "notes").find("house=unmet"), std::string::npos) << "what was seen is not lost";
  EXPECT_TRUE(remarks(import.batch.report, "kept in the look's notes"));
}

TEST_F(VisitsTest, DatesThatNothingDecidesAreAskedForAndOtherColumnsMayDecideThem) {
  Progress progress;
  const auto visits = [&](const std::string& text, const Overrides& overrides = {}) { return importVisits(folder_.file("d.csv", text), overrides, frame(), progress); };
  const auto day = [](const Result<CrewImport>& import) { return import.ok() ? import->batch.rows.at(Entity::Looks).find("date")->asText(0) : import.problem().text(); };
  const std::string unclear = "date,address,return_by\n3/4/2025,1 Elm St,\n5/6/2025,2 Elm St,5/7/2025\n";
  const auto asked = visits(unclear);
  ASSERT_FALSE(asked.ok());
  EXPECT_EQ(asked.problem().code, ProblemCode::BadData);
  EXPECT_EQ(asked.problem().where, "d.csv, column 'date'");
  EXPECT_NE(asked.problem().what.find("3/4/2025"), std::string::npos);
  EXPECT_NE(asked.problem().mend.find("date_order=dmy"), std::string::npos);
  EXPECT_EQ(day(visits(unclear, {{"date_order", "mdy"}})), "2025-03-04");
  EXPECT_EQ(day(visits(unclear, {{"date_order", "dmy"}})), "2025-04-03");
  EXPECT_EQ(visits(unclear, {{"date_order", "ymd"}}).problem().code, ProblemCode::InvalidArgument);
  const auto other = visits("date,address,return_by\n3/4/2025,1 Elm St,31/8/2025\n");
  EXPECT_EQ(day(other), "2025-04-03") << "the day to come back shows the order";
  EXPECT_TRUE(test::remarks(other->batch.report, "as those in column 'return_by' show"));
  const auto future = visits("date,address\n3/4/2025,1 Elm St\n5/9/2025,2 Elm St\n");
  EXPECT_EQ(day(future), "2025-03-04") << "on 30 June 2025 the ninth of May has been and the fifth of September has not";
}

TEST_F(VisitsTest, TimesWithAZoneAreConvertedOrKeptAndSaid) {
  Progress progress;
  const auto visits = [&](const Overrides& overrides) {
    return importVisits(folder_.file("z.csv", "date,address\n2025-03-05T01:30:00Z,1 Elm St\n2025-06-05T01:30:00Z,2 Elm St\n"), overrides, frame(), progress);
  };
  const auto moment = [](const CrewImport& import, std::size_t row) {
    const Table& looks = import.batch.rows.at(Entity::Looks);
    return looks.find("date")->asText(row) + " " + looks.find("time")->asText(row);
  };
  const auto kept = visits({});
  ASSERT_OK(kept);
  EXPECT_EQ(moment(*kept, 0), "2025-03-05 01:30");
  EXPECT_TRUE(test::remarks(kept->batch.report, "2 times in column 'date' are in UTC"));
  const auto eastern = visits({{"time_zone", "EST5EDT"}});
  ASSERT_OK(eastern);
  EXPECT_EQ(moment(*eastern, 0), "2025-03-04 20:30");
  EXPECT_EQ(moment(*eastern, 1), "2025-06-04 21:30") << "summer time";
  EXPECT_TRUE(test::remarks(eastern->batch.report, "were converted"));
  EXPECT_EQ(visits({{"time_zone", "here"}}).problem().code, ProblemCode::InvalidArgument);
}

TEST_F(VisitsTest, TheSameContentHasTheSameKeyAndHash) {
  const auto first = take(",2025-03-04,10:05,north,12 Elm St,,,,,knock,planned,welcomed,owner,1,1,Rex,unmet,,,,,,,,,\n");
  const auto second = take(",March 4th 2025,10:05 am,north,12 Elm St,,,,,door,route,welcomed,Owner,one,1,Rex,no,,,,,,,,,\n");
  const auto third = take(",2025-03-04,10:05,north,12 Elm St,,,,,knock,planned,welcomed,owner,1,1,Rex,met,,,,,,,,,\n");
  EXPECT_EQ(cell(first, Entity::Looks, "source_key"), cell(second, Entity::Looks, "source_key"));
  EXPECT_EQ(cell(first, Entity::Looks, "content_hash"), cell(second, Entity::Looks, "content_hash"));
  EXPECT_EQ(cell(first, Entity::Looks, "source_key"), cell(third, Entity::Looks, "source_key"));
  EXPECT_NE(cell(first, Entity::Looks, "content_hash"), cell(third, Entity::Looks, "content_hash"));
  EXPECT_NE(cell(first, Entity::Looks, "id"), cell(second, Entity::Looks, "id"));
}

struct BadRow {
  const char* name;
  const char* row;
  const char* column;
  const char* reason;
};

class BadVisitRows : public ::testing::TestWithParam<BadRow> {};

TEST_P(BadVisitRows, AreRefusedWithLineColumnValueAndReason) {
  Folder folder;
  Progress progress;
  const std::string good = "G,2025-03-04,,north,1 Elm St,,,-84.6,39.4,knock,planned,welcomed,owner,1,1,,,,,,,,,,,\n";
  const auto import = importVisits(folder.file("visits.csv", kHead + good + GetParam().row + "\n"), {}, frame(), progress);
  ASSERT_OK(import);
  ASSERT_EQ(import->batch.report.refused.size(), 1U);
  const RefusedRow row = refusedAt(import->batch.report, 3);
  EXPECT_EQ(row.column, GetParam().column);
  EXPECT_NE(row.reason.find(GetParam().reason), std::string::npos) << row.reason;
  EXPECT_EQ(row.row, GetParam().row);
  EXPECT_EQ(import->batch.report.kept, 1U);
  EXPECT_EQ(import->batch.rows.at(Entity::Looks).rows(), 1U) << "the rest goes in";
}

INSTANTIATE_TEST_SUITE_P(
    Each, BadVisitRows,
    ::testing::Values(
        BadRow{"NoSuchDay", "B,2025-02-31,,n,2 Elm St,,,,,knock,planned,,,0,0,,,,,,,,,,,", "date", "no day 31"},
        BadRow{"Future", "B,2026-02-01,,n,2 Elm St,,,,,knock,planned,,,0,0,,,,,,,,,,,", "date", "future"},
        BadRow{"Exchanged", "B,2025-02-01,,n,2 Elm St,,,39.4,-84.6,knock,planned,,,0,0,,,,,,,,,,,", "lat", "exchanged"},
        BadRow{"FarAway", "B,2025-02-01,,n,2 Elm St,,,-80.1,39.4,knock,planned,,,0,0,,,,,,,,,,,", "lat", "50 km"},
        BadRow{"NoFix", "B,2025-02-01,,n,2 Elm St,,,0,0,knock,planned,,,0,0,,,,,,,,,,,", "lat", "without a fix"},
        BadRow{"HalfPosition", "B,2025-02-01,,n,2 Elm St,,,-84.6,,knock,planned,,,0,0,,,,,,,,,,,", "lat", "one is blank"},
        BadRow{"NoPlace", "B,2025-02-01,,n,,,,,,knock,planned,,,0,0,,,,,,,,,,,", "address", "neither an address nor a position"},
        BadRow{"NoDate", "B,,,n,2 Elm St,,,,,knock,planned,,,0,0,,,,,,,,,,,", "date", "no date"},
        BadRow{"Count", "B,2025-02-01,,n,2 Elm St,,,,,knock,planned,,,999,0,,,,,,,,,,,", "dogs_seen", "between 0 and 200"},
        BadRow{"Word", "B,2025-02-01,,n,2 Elm St,,,,,knock,planned,hmm,,1,0,,,,,,,,,,,", "door_result", "welcomed"},
        BadRow{"NoScale", "B,2025-02-01,,n,2 Elm St,,,,,knock,planned,welcomed,owner,1,1,Rex,,,,3,,,,,,", "body_condition", "without its scale"},
        BadRow{"OffScale", "B,2025-02-01,,n,2 Elm St,,,,,knock,planned,welcomed,owner,1,1,Rex,,,,7,five_ideal_first,,,,,", "body_condition", "1 to 5"},
        BadRow{"Check", "B,2025-02-01,,n,2 Elm St,,,,,knock,planned,welcomed,owner,1,1,Rex,x,,,,,,,,,", "house", "met or unmet"}),
    [](const auto& each) { return std::string(each.param.name); });

TEST_F(VisitsTest, RowsOfOneVisitThatContradictAreRefusedTogether) {
  const auto import = take(
      "V1,2025-03-04,,n,12 Elm St,,,,,knock,planned,,,1,0,,,,,,,,,,,\n"
      "V1,2025-03-05,,n,12 Elm St,,,,,knock,planned,,,1,0,,,,,,,,,,,\n"
      "V2,2025-03-04,,n,12 Elm St,,,,,knock,planned,,,1,0,,,,,,,,,,,\n"
      "V2,2025-03-04,,n,14 Elm St,,,,,knock,planned,,,1,0,,,,,,,,,,,\n");
  EXPECT_EQ(import.batch.report.refused.size(), 4U);
  EXPECT_NE(refusedAt(import.batch.report, 2).reason.find("lines 2 and 3"), std::string::npos);
  EXPECT_NE(refusedAt(import.batch.report, 5).reason.find("lines 4 and 5"), std::string::npos);
  EXPECT_EQ(table(import, Entity::Looks).rows(), 0U);
}

TEST_F(VisitsTest, LonAndLatExchangedInAllRowsIsAProblemOfTheFile) {
  Progress progress;
  const auto import = importVisits(folder_.file("v.csv", "date,address,lon,lat\n2025-03-04,1 Elm St,39.4,-84.6\n2025-03-05,2 Elm St,39.41,-84.61\n"), {},
                                   frame(), progress);
  ASSERT_FALSE(import.ok());
  EXPECT_EQ(import.problem().code, ProblemCode::BadData);
  EXPECT_NE(import.problem().mend.find("lon=lat,lat=lon"), std::string::npos) << import.problem().text();
  const auto mended = importVisits(folder_.path("v.csv"), {{"lon", "lat"}, {"lat", "lon"}}, frame(), progress);
  ASSERT_OK(mended);
  EXPECT_EQ(mended->batch.report.kept, 2U);
}

TEST_F(VisitsTest, AScaleNamedForTheFileServesScoresThatDoNotSayTheirOwn) {
  Progress progress;
  const std::string file = folder_.file("v.csv",
      "visit_id,date,address,look,door_result,dogs_met,dog_name,body_condition,body_scale\nA,2025-03-04,1 Elm St,knock,welcomed,1,Rex,3,\n"
      "B,2025-03-05,2 Elm St,knock,welcomed,1,Bo,8,nine_thin_first\n");
  const auto none = importVisits(file, {}, frame(), progress);
  ASSERT_OK(none);
  EXPECT_EQ(none->batch.report.refused.size(), 1U) << "a score without a scale can mean opposite things";
  const auto named = importVisits(file, {{"scale", "five_thin_first"}}, frame(), progress);
  ASSERT_OK(named);
  EXPECT_TRUE(named->batch.report.refused.empty());
  const Column& scales = *table(*named, Entity::Checks).find("body_scale");
  EXPECT_EQ(scales.textAt(0), "five_thin_first");
  EXPECT_EQ(scales.textAt(1), "nine_thin_first");
  EXPECT_EQ(importVisits(file, {{"scale", "1-5"}}, frame(), progress).problem().code, ProblemCode::InvalidArgument) << "it doesn't say which way it runs";
}

TEST_F(VisitsTest, SecondRowsMayLeaveOutWhatTheFirstSaid) {
  const auto import = take(
      "V1,2025-03-04,,n,12 Elm St,,,,,knock,planned,welcomed,owner,2,2,Rex,,,,,,,,,,\n"
      "V1,,,,,,,,,,,,,,,Bea,,,,,,,,,,\n");
  EXPECT_TRUE(import.batch.report.refused.empty());
  EXPECT_EQ(table(import, Entity::Looks).rows(), 1U);
  EXPECT_EQ(table(import, Entity::Visits).rows(), 2U);
}

TEST_F(VisitsTest, ResultsDoNotDependOnThreads) {
  std::string rows;
  for (int i = 0; i < 9000; ++i) {
    rows += fmt::format("V{},2025-0{}-{},,n,{} Elm St,,,,,knock,planned,,,1,0,,,,,,,,,,,\n", i, 1 + i % 6, i % 40, i);
  }
  const std::string file = folder_.file("many.csv", kHead + rows);
  Progress one;
  Progress four(Progress::Sink{}, std::stop_token{}, 4);
  const auto a = importVisits(file, {}, frame(), one);
  const auto b = importVisits(file, {}, frame(), four);
  ASSERT_OK(a);
  ASSERT_OK(b);
  ASSERT_GT(a->batch.report.refused.size(), 1000U);
  ASSERT_EQ(a->batch.report.refused.size(), b->batch.report.refused.size());
  EXPECT_EQ(a->batch.report.refused.back().row, b->batch.report.refused.back().row);
  const Column& hashes = *a->batch.rows.at(Entity::Looks).find("content_hash");
  const Column& again = *b->batch.rows.at(Entity::Looks).find("content_hash");
  for (std::size_t row = 0; row < hashes.size(); ++row) ASSERT_EQ(hashes.textAt(row), again.textAt(row));
}

}  // namespace
}  // namespace leeward::importers
