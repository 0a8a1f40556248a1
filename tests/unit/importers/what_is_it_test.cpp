// What kind a file is, whatever it is called; and files that are refused because they are clearly something else.
#include "importers/what_is_it.h"

#include <gtest/gtest.h>

#include "importers/public_layer.h"
#include "importers/sightings.h"
#include "importers/source.h"
#include "tests/support/data.h"
#include "tests/unit/importers/files.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::frame;

std::filesystem::path town(const std::string& name) { return leeward::test::sourceFolder() / "sample-data/town" / name; }

std::vector<KindGuess> guessed(const std::filesystem::path& file, const std::string& called = "export (3)") {
  Progress progress;
  LayerRequest request;
  request.source = file.string();
  request.row_limit = 400;
  const auto source = readSource(request, progress);
  EXPECT_OK(source);
  return source ? whatIsIt(source->layer, called) : std::vector<KindGuess>{};
}

TEST(WhatIsItTest, EveryFileOfTheSampleTownIsKnownWithoutItsName) {
  const std::vector<std::pair<const char*, const char*>> files = {{"visits.csv", "visits"},   {"sightings.csv", "sightings"},       {"address_points.csv", "premises"},
                                                                  {"streets.geojson", "streets"}, {"blocks.geojson", "blocks"},     {"block_groups.geojson", "areas"},
                                                                  {"acs_block_groups.csv", "census"}, {"weather.csv", "weather"},   {"city_boundary.geojson", "boundary"},
                                                                  {"jurisdictions.geojson", "jurisdictions"}};
  for (const auto& [file, kind] : files) {
    const auto guesses = guessed(town(file));
    ASSERT_FALSE(guesses.empty()) << file;
    EXPECT_EQ(guesses.front().kind, kind) << file;
    EXPECT_FALSE(guesses.front().shown.empty()) << file;
    for (std::size_t i = 1; i < guesses.size(); ++i) EXPECT_LE(guesses[i].confidence, guesses[i - 1].confidence);
  }
}

TEST(WhatIsItTest, OpenFilesOfARealCityAreKnown) {
  LEEWARD_OUTSIDE_DATA(city, "data/cambridge");
  const std::vector<std::pair<const char*, const char*>> files = {{"TRANS_Centerlines.geojson", "streets"},
                                                                  {"DEMOGRAPHICS_Blocks2020.geojson", "blocks"},
                                                                  {"DEMOGRAPHICS_BlockGroups2020.geojson", "areas"},
                                                                  {"DEMOGRAPHICS_Tracts2020.geojson", "areas"},
                                                                  {"BOUNDARY_CityBoundary.geojson", "boundary"},
                                                                  {"cambridge_address_truth_DERIVED.csv", "premises"},
                                                                  {"HYDRO_WaterBodies.geojson", "water"}};
  for (const auto& [file, kind] : files) {
    const auto guesses = guessed(city / file);
    ASSERT_FALSE(guesses.empty()) << file;
    EXPECT_EQ(guesses.front().kind, kind) << file;
  }
}

TEST(WhatIsItTest, AFileOfAnotherKindIsRefusedBeforeItsRowsAreLookedAt) {
  Progress progress;
  const StudyFrame anywhere{Bbox{}, *makeDate(2026, 1, 1)};
  const auto sightings = importVisits(town("sightings.csv").string(), {}, anywhere, progress);
  ASSERT_FALSE(sightings.ok());
  EXPECT_EQ(sightings.problem().code, ProblemCode::BadData);
  EXPECT_NE(sightings.problem().what.find("looks like sightings"), std::string::npos) << sightings.problem().text();
  EXPECT_NE(sightings.problem().mend.find("--anyway"), std::string::npos);
  const auto visits = importSightings(town("visits.csv").string(), {}, anywhere, progress);
  ASSERT_FALSE(visits.ok());
  EXPECT_NE(visits.problem().what.find("looks like visits"), std::string::npos) << visits.problem().text();
  const auto premises = importVisits(town("address_points.csv").string(), {}, anywhere, progress);
  ASSERT_FALSE(premises.ok());
  EXPECT_NE(premises.problem().what.find("looks like premises"), std::string::npos) << premises.problem().text();
  const auto streets = importPublic(Kind::Blocks, {.source = town("streets.geojson").string()}, {}, progress, false);
  ASSERT_FALSE(streets.ok());
  EXPECT_NE(streets.problem().what.find("looks like streets"), std::string::npos) << streets.problem().text();
  StudyFrame sure = anywhere;
  sure.anyway = true;
  EXPECT_OK(importVisits(town("sightings.csv").string(), {}, sure, progress));
}

TEST(WhatIsItTest, ShortAndOddLogsAreStillVisits) {
  const Folder folder;
  Progress progress;
  for (const char* text : {"date,address\n2025-03-04,1 Elm St\n", "When,Where,Comments\n3/14/2025,12 Oak St,brown dog on chain\n3/15/2025,14 Oak St,no one\n",
                           "Visit date,Street address,Dogs,Result\n2025-03-04,12 Elm St,2,not home\n"}) {
    EXPECT_OK(importVisits(folder.file("v.csv", text), {}, frame(), progress));
  }
}

TEST(WhatIsItTest, ALogOfAnotherTownIsRefusedWholeUnlessOneIsSure) {
  const Folder folder;
  Progress progress;
  // The study lies around 84.6 W, 39.4 N; two of three rows may be slips, three of three are another town.
  const std::string head = "date,address,lon,lat,look\n", near = "2025-03-04,1 Elm St,-84.6,39.4,knock\n", far = "2025-03-05,2 Elm St,-71.1,42.3,knock\n";
  const auto refused = importVisits(folder.file("far.csv", head + far + far + far), {}, frame(), progress);
  ASSERT_FALSE(refused.ok());
  EXPECT_EQ(refused.problem().code, ProblemCode::BadData);
  EXPECT_NE(refused.problem().what.find("3 of 3 positions"), std::string::npos) << refused.problem().text();
  const auto some = importVisits(folder.file("some.csv", head + near + far + far), {}, frame(), progress);
  ASSERT_OK(some);
  EXPECT_EQ(some->batch.report.refused.size(), 2U);
  StudyFrame sure = frame();
  sure.anyway = true;
  const auto all = importVisits(folder.path("far.csv"), {}, sure, progress);
  ASSERT_OK(all);
  EXPECT_EQ(all->batch.report.refused.size(), 3U);
}

TEST(WhatIsItTest, ColumnsOfTheLastFileServeWhereTheNextHasThem) {
  const Folder folder;
  Progress progress;
  StudyFrame later = frame();
  later.remembered = {{"address", "Spot"}, {"notes", "Gone column"}, {"date_order", "dmy"}};
  // "Spot" tells nobody that it is an address; 3/4 is 3 April as the last file was read.
  const auto import = importVisits(folder.file("v.csv", "Day,Spot,look\n3/4/2025,the yellow house by the mill,knock\n"), {}, later, progress);
  ASSERT_OK(import);
  EXPECT_EQ(import->map.find("address")->heading, "Spot");
  EXPECT_EQ(import->map.find("notes"), nullptr);
  EXPECT_EQ(import->batch.rows.at(Entity::Looks).find("date")->textAt(0), "2025-04-03");
  const auto given = importVisits(folder.file("w.csv", "Day,Spot,Street\n3/4/2025,left,12 Oak St\n"), {{"address", "Street"}}, later, progress);
  ASSERT_OK(given);
  EXPECT_EQ(given->map.find("address")->heading, "Street") << "what the call says comes first";
}

}  // namespace
}  // namespace leeward::importers
