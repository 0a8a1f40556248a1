// Visit logs as people keep them: several animals in a row, words that aren't known, places on a map.
#include <gtest/gtest.h>

#include "importers/sightings.h"
#include "importers/source.h"
#include "tests/support/data.h"
#include "tests/unit/importers/files.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::frame;
using test::refusedAt;
using test::remarks;

class CrewValuesTest : public ::testing::Test {
 protected:
  CrewImport take(const std::string& text, const Overrides& overrides = {}) {
    Progress progress;
    auto import = importVisits(folder_.file("log.csv", text), overrides, frame(), progress);
    EXPECT_OK(import);
    return import ? *std::move(import) : CrewImport{};
  }
  static std::string column(const CrewImport& import, Entity entity, const char* name) {
    std::string out;
    const Table& table = import.batch.rows.at(entity);
    for (std::size_t row = 0; row < table.rows(); ++row) out += (row == 0 ? "" : "|") + table.find(name)->asText(row);
    return out;
  }
  Folder folder_;
};

constexpr const char* kAnimals = "date,address,door_result,dogs_met,dog_name,sex,age,description,house,body_condition,body_scale,done,outcome,treatment\n";

TEST_F(CrewValuesTest, ARowThatNamesSeveralAnimalsBecomesAsMany) {
  const auto import = take(std::string(kAnimals) +
                           "2025-03-04,1 Elm St,welcomed,2,Rex; Luna,M; F,3;5,brown; black and white,unmet;met,2;3,five_ideal_first,straw 2,,\n"
                           "2025-03-05,2 Elm St,welcomed,3,\"Bo, Max and Tia\",M/F/F,,,unmet,,,swivel,,\n"
                           "2025-03-06,3 Elm St,welcomed,2,Ana y Sol,F,,,,,,,,\n"
                           "2025-03-07,4 Elm St,welcomed,1,\"Salt and Pepper\",F,,,,,,,,\n");
  EXPECT_TRUE(import.batch.report.refused.empty());
  EXPECT_EQ(import.batch.report.read, 4U);
  EXPECT_EQ(import.batch.report.kept, 4U) << "rows of the file, not animals";
  EXPECT_EQ(import.batch.rows.at(Entity::Looks).rows(), 4U);
  EXPECT_EQ(column(import, Entity::Visits, "name"), "Rex|Luna|Bo|Max|Tia|Ana|Sol|Salt and Pepper");
  EXPECT_EQ(column(import, Entity::Visits, "sex"), "male|female|male|female|female|female|female|female");
  EXPECT_EQ(column(import, Entity::Visits, "description"), "brown|black and white||||||");
  EXPECT_EQ(column(import, Entity::Visits, "age"), "3|5||||||");
  EXPECT_EQ(column(import, Entity::Checks, "items"), "house=unmet|house=met|house=unmet|house=unmet|house=unmet");
  EXPECT_EQ(column(import, Entity::Checks, "body_condition"), "2|3|||");
  EXPECT_EQ(column(import, Entity::Services, "item"), "straw|swivel") << "given once, not once an animal";
  EXPECT_EQ(column(import, Entity::Looks, "dogs_met"), "2|3|2|1");
  EXPECT_TRUE(remarks(import.batch.report, "3 rows name several animals"));
  EXPECT_TRUE(remarks(import.batch.report, "counts for all of the animals"));
  EXPECT_TRUE(remarks(import.batch.report, "1 row have a name with a comma"));
}

TEST_F(CrewValuesTest, ListsThatDoNotMatchRefuseTheWholeRowOnceAndAsItStands) {
  const std::vector<std::string> rows = {"2025-03-04,1 Elm St,welcomed,2,Rex; Luna,,,,,2;3;1,five_ideal_first,,,", "2025-03-04,2 Elm St,welcomed,2,Rex; Luna,,,,,2,five_ideal_first,,,",
                                         "2025-03-04,3 Elm St,welcomed,2,Rex; Luna,,,,,,,,neutered,",              "2025-03-04,4 Elm St,welcomed,2,Rex; Luna,,,,,,,,,drops|L1|12 kg",
                                         "2025-03-04,5 Elm St,welcomed,2,Rex; Luna,,,,met;bad;ok,,,,,",            "2025-03-04,6 Elm St,welcomed,2,Rex; Luna,,,,,2;9,five_ideal_first,,,"};
  std::string text = kAnimals;
  for (const auto& row : rows) text += row + "\n";
  const auto import = take(text + "2025-03-04,7 Elm St,welcomed,1,Bo,,,,,,,,,\n");
  ASSERT_EQ(import.batch.report.refused.size(), rows.size());
  EXPECT_EQ(import.batch.report.kept, 1U);
  const std::vector<std::pair<const char*, const char*>> said = {{"body_condition", "2 animals are named, but here 3 values are given"},
                                                                 {"body_condition", "1 value is given"},
                                                                 {"outcome", "1 value is given"},
                                                                 {"treatment", "which of them was treated"},
                                                                 {"house", "3 values are given"},
                                                                 {"body_condition", "steps 1 to 5"}};
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const RefusedRow refused = refusedAt(import.batch.report, i + 2);
    EXPECT_EQ(refused.column, said[i].first) << rows[i];
    EXPECT_NE(refused.reason.find(said[i].second), std::string::npos) << refused.reason;
    EXPECT_EQ(refused.row, rows[i]);
  }
  EXPECT_EQ(column(import, Entity::Visits, "name"), "Bo") << "no half of a refused row went in";
}

TEST_F(CrewValuesTest, UnknownWordsAreCountedWithExamplesAndTheNearest) {
  std::string text = "date,address,What happened\n";
  for (int i = 1; i <= 6; ++i) text += "2025-03-04," + std::to_string(i) + " Elm St,Not home\n";
  const auto import = take(text + "2025-03-04,11 Elm St,nobdy home\n2025-03-04,12 Elm St,nobdy home\n2025-03-04,13 Elm St,xyzzy\n");
  EXPECT_EQ(import.batch.report.kept, 6U);
  EXPECT_TRUE(remarks(import.batch.report, "3 rows were refused for words in column 'What happened'"));
  EXPECT_TRUE(remarks(import.batch.report, "'nobdy home' (2; nearest: nobody_home), 'xyzzy' (1)"));
  EXPECT_TRUE(remarks(import.batch.report, "looks without visits"));
  EXPECT_TRUE(remarks(import.batch.report, "'What happened'"));
}

TEST_F(CrewValuesTest, WhyTheCrewWasThereMayBeSaidForTheWholeFile) {
  const std::string log = "date,address,why_here\n2025-03-04,1 Elm St,\n2025-03-05,2 Elm St,caller\n";
  const auto silent = take(log);
  EXPECT_EQ(column(silent, Entity::Looks, "why_here"), "passing|caller");
  EXPECT_TRUE(remarks(silent.batch.report, "--map why=planned"));
  const auto said = take(log, {{"why", "Planned"}});
  EXPECT_EQ(column(said, Entity::Looks, "why_here"), "planned|caller");
  EXPECT_FALSE(remarks(said.batch.report, "taken as passing"));
  EXPECT_NE(column(said, Entity::Looks, "content_hash"), column(silent, Entity::Looks, "content_hash")) << "so that the file can be taken in again with its reason";
  Progress progress;
  const auto wrong = importVisits(folder_.file("log.csv", log), {{"why", "because"}}, frame(), progress);
  ASSERT_FALSE(wrong.ok());
  EXPECT_EQ(wrong.problem().code, ProblemCode::InvalidArgument);
}

TEST_F(CrewValuesTest, AScoreWithoutScaleNamesTheColumnsAsTheFileHasThem) {
  const auto import = take("date,address,Result,BCS\n2025-03-04,1 Elm St,welcomed,3\n");
  const RefusedRow refused = refusedAt(import.batch.report, 2);
  EXPECT_EQ(refused.column, "BCS");
  EXPECT_NE(refused.reason.find("'BCS'"), std::string::npos);
}

TEST_F(CrewValuesTest, BlankRowsOfASpreadsheetAreLeftOutAndLinesStay) {
  const auto import = take("date,address,dogs_seen\n,,\n2025-03-04,1 Elm St,2\n , ,\n2025-02-31,2 Elm St,1\n,,\n");
  EXPECT_EQ(import.batch.report.read, 2U);
  EXPECT_TRUE(remarks(import.batch.report, "3 blank rows were left out"));
  ASSERT_EQ(import.batch.report.refused.size(), 1U);
  EXPECT_EQ(import.batch.report.refused[0].line, 5U);
}

TEST_F(CrewValuesTest, MarksOfAPhoneGoInAsSightings) {
  const std::string gpx = folder_.file("marks.gpx", R"(<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="39.41" lon="-84.61"><time>2025-03-05T01:05:00Z</time><name>Brown dog</name><desc>chained</desc></wpt>
<wpt lat="39.42" lon="-84.62"><name>no time</name></wpt></gpx>)");
  Progress progress;
  const auto import = importSightings(gpx, {{"time_zone", "EST5EDT"}}, frame(), progress);
  ASSERT_OK(import);
  const Table& sightings = import->batch.rows.at(Entity::Sightings);
  ASSERT_EQ(sightings.rows(), 1U);
  EXPECT_EQ(sightings.find("date")->asText(0), "2025-03-04");
  EXPECT_EQ(sightings.find("time")->asText(0), "20:05");
  EXPECT_EQ(sightings.find("lon")->asReal(0), -84.61);
  EXPECT_EQ(sightings.find("description")->asText(0), "chained");
  ASSERT_EQ(import->batch.report.refused.size(), 1U);
  EXPECT_EQ(import->batch.report.refused[0].reason, "there is no date");
}

TEST_F(CrewValuesTest, VisitsOnAMapGetTheirPlaceFromIt) {
  const std::string file = folder_.file("visits.geojson", R"({"type":"FeatureCollection","features":[
    {"type":"Feature","properties":{"date":"2025-03-04","result":"no answer"},"geometry":{"type":"Point","coordinates":[-84.6,39.4]}},
    {"type":"Feature","properties":{"date":"2025-03-05","result":"no answer"},"geometry":{"type":"LineString","coordinates":[[-84.6,39.4],[-84.61,39.41]]}},
    {"type":"Feature","properties":{"date":"2025-03-06","result":"no answer"},"geometry":null}]})");
  Progress progress;
  const auto import = importVisits(file, {}, frame(), progress);
  ASSERT_OK(import);
  const Table& looks = import->batch.rows.at(Entity::Looks);
  ASSERT_EQ(looks.rows(), 2U);
  EXPECT_EQ(looks.find("lat")->asReal(0), 39.4);
  EXPECT_EQ(looks.find("lat")->asReal(1), 39.405);
  EXPECT_TRUE(remarks(import->batch.report, "the middle of their extent"));
  EXPECT_EQ(import->batch.report.refused.size(), 1U) << "neither place nor address";
}

TEST_F(CrewValuesTest, AGeodatabasesHashCoversAllItsParts) {
  const std::string one = folder_.shapefile("a");
  const auto before = sourceHash(one);
  ASSERT_OK(before);
  folder_.file("a.dbf", "changed");
  EXPECT_NE(*sourceHash(one), *before) << "a table that changed beside the same shapes";
  EXPECT_FALSE(sourceHash(folder_.path("none.csv")).ok());
}

}  // namespace
}  // namespace leeward::importers
