// A first study as a new person makes it: a folder of files with unhelpful names, what each is told, taken in, a map; files taken back.
#include <future>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/base/hash.h"
#include "shared/ledger/ledger.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {
namespace fs = std::filesystem;
using Answer = nlohmann::json;

Answer answerOf(const Ran& ran) {
  EXPECT_EQ(ran.status, 0) << ran.err;
  const auto json = Answer::parse(ran.out, nullptr, false);
  EXPECT_FALSE(json.is_discarded()) << ran.out;
  return json.is_discarded() ? Answer::object() : json;
}

/// Copies files under names that say nothing.
fs::path copiedAs(const TemporaryFolder& folder, const std::vector<fs::path>& files) {
  const fs::path into = folder.path() / "downloads";
  fs::create_directories(into);
  int number = 1;
  for (const auto& file : files) fs::copy_file(file, into / ("export (" + std::to_string(number++) + ")" + file.extension().string()));
  return into;
}

TEST(FirstStudyJourney, TenFilesWithUnhelpfulNamesBecomeAMap) {
  const TemporaryFolder folder;
  std::vector<fs::path> files;
  const std::vector<std::pair<const char*, const char*>> town = {
      {"visits.csv", "visits"}, {"sightings.csv", "sightings"}, {"address_points.csv", "premises"}, {"streets.geojson", "streets"}, {"blocks.geojson", "blocks"},
      {"block_groups.geojson", "areas"}, {"acs_block_groups.csv", "census"}, {"weather.csv", "weather"}, {"city_boundary.geojson", "boundary"}, {"heat.tif", "heat"}};
  for (const auto& [name, kind] : town) files.push_back(townFile(name));
  const fs::path downloads = copiedAs(folder, files);
  const std::string study = (folder.path() / "study").string();
  const auto made = answerOf(leeward({"new", study, "--name", "First", "--from", downloads.string(), "--yes", "--json"}));
  std::map<std::string, std::string> taken;
  for (const auto& file : made["files"]) taken[file["file"]] = file["taken_as"];
  for (std::size_t i = 0; i < town.size(); ++i) {
    const std::string name = "export (" + std::to_string(i + 1) + ")" + files[i].extension().string();
    EXPECT_EQ(taken[name], town[i].second) << name;
  }
  EXPECT_NE(made["next"].dump().find("leeward run"), std::string::npos);
  const std::string map = (folder.path() / "coverage.png").string();
  const Ran sheet = leeward({"sheet", study, "coverage", "-o", map, "--quiet"});
  EXPECT_EQ(sheet.status, 0) << sheet.err;
  EXPECT_GT(fs::file_size(map), 20000U);
  const auto next = answerOf(leeward({"next", study, "--top", "5", "--json"}));
  EXPECT_EQ(next["blocks"].size(), 5U);
}

TEST(FirstStudyJourney, FilesOfARealCityBecomeAMap) {
  LEEWARD_OUTSIDE_DATA(city, "data/cambridge");
  const TemporaryFolder folder;
  const fs::path downloads = copiedAs(folder, {city / "DEMOGRAPHICS_Blocks2020.geojson", city / "TRANS_Centerlines.geojson", city / "cambridge_address_truth_DERIVED.csv",
                                              city / "BOUNDARY_CityBoundary.geojson", city / "HYDRO_WaterBodies.geojson", city / "DEMOGRAPHICS_BlockGroups2020.geojson",
                                              city / "BOUNDARY_CDDNeighborhoods.geojson", city / "doorway_points_17.csv", city / "DEMOGRAPHICS_Blocks2000.geojson"});
  const std::string study = (folder.path() / "study").string();
  const auto made = answerOf(leeward({"new", study, "--name", "City", "--from", downloads.string(), "--yes", "--json"}));
  std::map<std::string, std::string> taken;
  for (const auto& file : made["files"]) taken[file["file"]] = file["taken_as"];
  EXPECT_EQ(taken["export (1).geojson"], "blocks");
  EXPECT_EQ(taken["export (2).geojson"], "streets");
  EXPECT_EQ(taken["export (3).csv"], "premises");
  EXPECT_EQ(taken["export (8).csv"], "") << "17 doorways are points too, but fewer";
  EXPECT_EQ(taken["export (9).geojson"], "") << "blocks of an older census";
  EXPECT_EQ(taken["export (4).geojson"], "boundary");
  EXPECT_EQ(taken["export (6).geojson"], "areas");
  const std::string map = (folder.path() / "coverage.png").string();
  const Ran sheet = leeward({"sheet", study, "coverage", "-o", map, "--quiet"});
  EXPECT_EQ(sheet.status, 0) << sheet.err;
}

TEST(FirstStudyJourney, WithoutAnAnswerNothingUnsureIsTakenAndTheCommandIsSaid) {
  const TemporaryFolder folder;
  const fs::path downloads = copiedAs(folder, {townFile("blocks.geojson"), townFile("jurisdictions.geojson")});
  const std::string study = (folder.path() / "study").string();
  const Ran made = leeward({"new", study, "--name", "First", "--from", downloads.string()});
  EXPECT_EQ(made.status, 0) << made.err;
  EXPECT_NE(made.err.find("export (1).geojson: blocks (0.9"), std::string::npos) << made.err;
  EXPECT_NE(made.err.find("leeward take-in " + study + " blocks"), std::string::npos) << made.err;
  EXPECT_EQ(readFile(fs::path(study) / "study.toml")->find("[blocks]"), std::string::npos);
  EXPECT_EQ(leeward({"new", (folder.path() / "other").string()}).status, 2) << "nobody to ask for the name";
}

TEST(FirstStudyJourney, AFileTakenBackLeavesTheFiguresAsTheyWere) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  const std::vector<std::string> figures = {"--as-of", "2025-06-30", "--json", "--top", "1000"};
  const Ran before = study.call("next", figures);
  ASSERT_EQ(before.status, 0) << before.err;
  const std::string extra = put(study.beside("extra.csv"),
      "visit_id,date,crew,address,place,look,why_here,door_result,dogs_seen,dogs_met,dog_name,kind,house,tether\n"
      "E1,2025-05-05,Van B,485 W Vine St,Tolverwick,knock,planned,welcomed,2,1,Zora,dog,unmet,met\n"
      "E2,2025-05-06,Van B,504 Pine St,Tolverwick,knock,planned,no_dog,0,0,,,,\n");
  EXPECT_EQ(answerOf(study.call("take-in", {"visits", extra, "--json"}))["added"], 2);
  const Ran with = study.call("next", figures);
  EXPECT_NE(with.out, before.out);
  const auto list = answerOf(study.call("take-back", {"--json"}))["imports"];
  ASSERT_EQ(list.size(), 3U);
  EXPECT_EQ(list[2]["file"], "extra.csv");
  EXPECT_EQ(list[2]["rows"], 2);
  const Ran back = leeward({"take-back", study.text(), "extra.csv"});
  EXPECT_EQ(back.status, 0) << back.err;
  EXPECT_NE(back.err.find("2 looks left the ledger"), std::string::npos) << back.err;
  EXPECT_EQ(study.call("next", figures).out, before.out);
  EXPECT_EQ(answerOf(study.call("take-in", {"visits", extra, "--json"}))["added"], 2);
  EXPECT_EQ(study.call("next", figures).out, with.out) << "rows that came again are placed again";
  EXPECT_EQ(study.call("take-back", {"nothing.csv"}).status, 3);
}

TEST(FirstStudyJourney, TwoProgramsAtOnceBothEndWell) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  auto other = std::async(std::launch::async, [&] { return study.call("next", {"--json"}); });
  const Ran one = study.call("next", {"--json"});
  const Ran two = other.get();
  EXPECT_EQ(one.status, 0) << one.err;
  EXPECT_EQ(two.status, 0) << two.err;
  EXPECT_EQ(one.out, two.out);
}

TEST(FirstStudyJourney, AReceiptNamesEveryInputByItsHash) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  const std::string map = study.beside("map.png").string();
  ASSERT_EQ(study.call("sheet", {"coverage", "-o", map}).status, 0);
  auto ledger = Ledger::open(study.ledger());
  ASSERT_OK(ledger);
  const auto outputs = ledger->read(Entity::Outputs);
  ASSERT_OK(outputs);
  ASSERT_EQ(outputs->rows(), 1U);
  EXPECT_EQ(outputs->find("sha256")->textAt(0), *sha256OfFile(map));
  const auto receipt = Answer::parse(outputs->find("receipt")->textAt(0));
  std::map<std::string, std::string> sha_of;
  for (const auto& input : receipt["inputs"]) sha_of[input["file"]] = input["sha256"];
  for (const char* file : {"visits.csv", "sightings.csv", "blocks.geojson", "address_points.csv", "streets.geojson", "heat.tif"}) {
    EXPECT_EQ(sha_of[file], *sha256OfFile(townFile(file))) << file;
  }
  EXPECT_EQ(receipt["as_of"], "2025-09-30");
  EXPECT_EQ(receipt["parameters"]["study.service_interval_days"], "120");
}

TEST(FirstStudyJourney, TotalsCountEachDogOnceAndTheLastQuarterSaysHowFarItReaches) {
  const StudyFolder study = townStudy();
  const std::string log = put(study.beside("log.csv"),
      "visit_id,date,crew,address,place,look,why_here,door_result,dogs_seen,dogs_met,dog_name,kind,outcome,referred_to\n"
      "E1,2025-02-05,Van B,485 W Vine St,Tolverwick,knock,planned,welcomed,1,1,Zora,dog,referred,county\n"
      "E2,2025-05-06,Van B,485 W Vine St,Tolverwick,knock,return,welcomed,1,1,Zora,dog,referred,county\n"
      "E3,2025-08-06,Van B,485 W Vine St,Tolverwick,knock,return,welcomed,1,1,Zora,dog,referred,county\n");
  ASSERT_EQ(study.call("take-in", {"visits", log}).status, 0);
  // One dog, referred in three quarters: each quarter says 1, all together 1. On 14 September the third quarter isn't over.
  const auto changed = answerOf(study.call("changed", {"--every", "quarter", "--as-of", "2025-09-14", "--json"}));
  ASSERT_EQ(changed["rows"].size(), 3U);
  for (const auto& row : changed["rows"]) EXPECT_EQ(row["referred"], 1);
  EXPECT_TRUE(changed["rows"][1]["up_to"].is_null());
  EXPECT_EQ(changed["rows"][2]["up_to"], "2025-09-14");
  bool found = false;
  for (const auto& total : changed["totals"]) {
    if (total["area_name"] != "together" || total["span"] != "all") continue;
    found = true;
    EXPECT_EQ(total["referred"], 1);
    EXPECT_EQ(total["dogs_met"], 1);
    EXPECT_EQ(total["visits"], 3);
  }
  EXPECT_TRUE(found);
}

}  // namespace
}  // namespace leeward::test
