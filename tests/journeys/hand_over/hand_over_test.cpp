// hand-over, trace and forget as a lead drives them, on the invented town.
#include <set>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/base/text.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using testing::Not;

std::set<std::string> namesIn(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& file : filesIn(folder)) names.insert(file.filename().string());
  return names;
}

std::string allBytes(const fs::path& folder) {
  std::string all;
  for (const auto& file : filesIn(folder)) all += *readFile(file);
  return all;
}

TEST(HandOver, ThePublicGetsFiguresAMapAndMovedPlacesAndNothingOfTheStudy) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  const Ran ran = study.call("hand-over", {"-o", study.beside("out1").string(), "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(namesIn(study.beside("out1")), (std::set<std::string>{"area-map.pdf", "areas.csv", "areas.xlsx", "places.geojson", "places.gpkg", "read-me.txt"}));
  const auto said = nlohmann::json::parse(ran.out);
  EXPECT_GT(said["counts_withheld"].get<int>(), 0);
  EXPECT_LT(said["counts_withheld"].get<int>(), said["counts"].get<int>() / 2);

  // No small count is printed, and rows add up where they can be read.
  const Table areas = csvOfFile(study.beside("out1") / "areas.csv");
  for (const char* kind : {"looks", "visits", "dogs_first_met", "given_up", "improved", "neutered", "referred"}) {
    for (std::size_t row = 0; row < areas.rows(); ++row) {
      const std::string value = field(areas, kind, row);
      if (value.empty()) EXPECT_THAT(field(areas, "withheld", row), HasSubstr(kind));
      else EXPECT_TRUE(value == "0" || std::stoi(value) >= 5) << kind << " " << value;
    }
  }
  // No two points upon each other: they would tell a house of several flats.
  std::set<std::string> places;
  const auto points = nlohmann::json::parse(*readFile(study.beside("out1") / "places.geojson"));
  for (const auto& feature : points["features"]) EXPECT_TRUE(places.insert(feature["geometry"]["coordinates"].dump()).second);
  // Neither the stamp nor ids, paths or hashes of the ledger.
  const std::string bytes = allBytes(study.beside("out1"));
  for (const std::string& word : {std::string("Holds client data"), study.text(), std::string("ledger"), std::string("visits.csv"), std::string("address_points.csv")}) EXPECT_THAT(bytes, Not(HasSubstr(word)));
  // The lead's report lies with the team, stamped and private.
  const fs::path report = said["report"].get<std::string>();
  EXPECT_TRUE(isPrivate(report));
  EXPECT_THAT(*readFile(report), testing::StartsWith("Holds client data"));

  // The same study gives the same bytes; a later day leaves what was told as it was.
  ASSERT_EQ(study.call("hand-over", {"-o", study.beside("out2").string()}).status, 0);
  EXPECT_TRUE(bytes == allBytes(study.beside("out2")));
  EXPECT_EQ(study.call("hand-over", {"-o", study.beside("out2").string()}).status, 3) << "the folder is taken";
  // Nor does it matter where the study lies, in which zone and language the machine is set, or how many threads it has.
  const fs::path elsewhere = study.beside("copy of the study");
  fs::copy(study.path(), elsewhere, fs::copy_options::recursive);
  const Ran there = leeward({"hand-over", elsewhere.string(), "-o", study.beside("out4").string(), "--threads", "1", "--quiet"}, {{"TZ", "Pacific/Auckland"}, {"LC_ALL", "de_DE.UTF-8"}, {"LANG", "es_MX.UTF-8"}});
  ASSERT_EQ(there.status, 0) << there.err;
  EXPECT_TRUE(bytes == allBytes(study.beside("out4")));
  // A partner gets the same places, with the year of the first visit.
  ASSERT_EQ(study.call("hand-over", {"--audience", "partner", "-o", study.beside("partner").string()}).status, 0);
  const auto partners = nlohmann::json::parse(*readFile(study.beside("partner") / "places.geojson"));
  for (const auto& feature : partners["features"]) {
    EXPECT_TRUE(places.contains(feature["geometry"]["coordinates"].dump()));
    EXPECT_THAT(feature["properties"]["first_visit"].get<std::string>(), testing::MatchesRegex("202[0-9]"));
  }
  const Ran earlier = study.call("hand-over", {"-o", study.beside("out3").string(), "--as-of", "2025-06-30"});
  EXPECT_EQ(earlier.status, 3);
  EXPECT_THAT(earlier.err, HasSubstr("2025-09-30"));
  const Ran otherwise = study.call("hand-over", {"-o", study.beside("out3").string(), "--by", "jurisdictions"});
  EXPECT_EQ(otherwise.status, 3);
  EXPECT_THAT(otherwise.err, HasSubstr("differences"));
  EXPECT_FALSE(fs::exists(study.beside("out3")));
}

TEST(HandOver, ALeakStopsItAndLeavesNothingBehind) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  std::string text = *readFile(study.path() / "study.toml");
  text.replace(text.find("name = \"Tolverwick\""), 19, "name = \"For 1107 N Miller Ter\"");  // a home in the crew's log
  put(study.path() / "study.toml", text);
  const Ran ran = study.call("hand-over", {"-o", study.beside("out").string()});
  EXPECT_EQ(ran.status, 3);
  EXPECT_THAT(ran.err, HasSubstr("a house number with its street in read-me.txt"));
  EXPECT_THAT(ran.err, HasSubstr("area-map.pdf (page 1"));
  EXPECT_THAT(ran.err, Not(HasSubstr("1107")));
  EXPECT_FALSE(fs::exists(study.beside("out")));
  for (const auto& file : fs::directory_iterator(study.path().parent_path())) EXPECT_FALSE(file.path().filename().string().starts_with(".out"));
}

TEST(HandOver, AnAuthorityGetsOneCaseStamped) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  EXPECT_EQ(study.call("hand-over", {"--audience", "authority", "-o", study.beside("out").string()}).status, 2);
  EXPECT_EQ(study.call("hand-over", {"--case", "V00001", "-o", study.beside("out").string()}).status, 2);
  EXPECT_EQ(study.call("hand-over", {"--audience", "authority", "--case", "V99999", "-o", study.beside("out").string()}).status, 3);
  const Ran ran = study.call("hand-over", {"--audience", "authority", "--case", "V00001", "-o", study.beside("out").string()});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(namesIn(study.beside("out")), (std::set<std::string>{"case.xlsx", "read-me.txt"}));
  EXPECT_TRUE(isPrivate(study.beside("out") / "case.xlsx"));
  EXPECT_THAT(*readFile(study.beside("out") / "read-me.txt"), testing::StartsWith("Holds client data"));
}

TEST(HandOver, ItsFilesCanBeTracedByTheirContent) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  ASSERT_EQ(study.call("hand-over", {"-o", study.beside("out").string()}).status, 0);
  fs::copy_file(study.beside("out") / "areas.csv", study.beside("renamed.csv"));
  const Ran ran = leeward({"trace", study.beside("renamed.csv").string(), "--study", study.text(), "--json", "--quiet"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const auto said = nlohmann::json::parse(ran.out);
  EXPECT_EQ(said["audience"], "public");
  EXPECT_EQ(said["file"], "areas.csv");
  EXPECT_EQ(said["receipt"]["as_of"], "2025-09-30");
  const Ran told = leeward({"trace", study.beside("renamed.csv").string(), "--study", study.text()});
  EXPECT_EQ(told.status, 0);
  EXPECT_THAT(told.out, HasSubstr("from visits: visits.csv  sha256 "));
  EXPECT_THAT(told.out, HasSubstr("with improved.days_apart = 28"));
  EXPECT_GT(said["receipt"]["inputs"].size(), 8U);
  for (const auto& input : said["receipt"]["inputs"]) EXPECT_EQ(input["sha256"].get<std::string>().size(), 64U);
  put(study.beside("renamed.csv"), *readFile(study.beside("renamed.csv")) + "1\n");
  EXPECT_EQ(leeward({"trace", study.beside("renamed.csv").string(), "--study", study.text(), "--quiet"}).status, 3);
}

TEST(Forget, NoByteOfAHouseholdIsLeftInTheStudyAndItStaysOut) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  ASSERT_EQ(study.call("run").status, 0);
  ASSERT_EQ(study.call("hand-over", {"-o", study.beside("out").string()}).status, 0);
  // A reported day keeps a copy of the ledger: they leave it too.
  ASSERT_EQ(study.call("changed").status, 0);
  const auto frozen = study.path() / "frozen" / "2025-09-30.sqlite";
  ASSERT_TRUE(std::filesystem::exists(frozen));
  // The first row of the log with a household's name and without a referral.
  const Table visits = csvOfFile(townFile("visits.csv"));
  std::size_t row = 0;
  while (field(visits, "household", row).empty() || !field(visits, "referred_to", row).empty()) ++row;
  const std::string name = field(visits, "household", row);
  ASSERT_THAT(lowerAscii(*readFile(frozen)), HasSubstr(lowerAscii(name)));
  const Ran dry = study.call("forget", {"--household", name, "--dry-run", "--json"});
  ASSERT_EQ(dry.status, 0) << dry.err;
  EXPECT_GT(nlohmann::json::parse(dry.out)["looks"].get<int>(), 0);
  // A copy that can't be read stops it before anything is gone, and it can be tried again.
  const std::string copy = *readFile(frozen);
  put(frozen, "damaged");
  EXPECT_NE(study.call("forget", {"--household", name}).status, 0);
  put(frozen, copy);
  const Ran done = study.call("forget", {"--household", upperAscii(name), "--json"});
  ASSERT_EQ(done.status, 0) << done.err;
  EXPECT_EQ(nlohmann::json::parse(done.out)["looks"], nlohmann::json::parse(dry.out)["looks"]);
  EXPECT_EQ(nlohmann::json::parse(done.out)["log_lines"].get<int>() > 0, true);
  EXPECT_THAT(done.out, HasSubstr("visits.csv (the crew's file"));
  const auto says = [&](const std::string& words) {
    for (const auto& file : filesIn(study.path())) {
      if (lowerAscii(*readFile(file)).find(lowerAscii(words)) != std::string::npos) return true;
    }
    return false;
  };
  EXPECT_FALSE(says(name));
  // The whole log comes in again with another row at its end: the household doesn't.
  const std::string again = *readFile(townFile("visits.csv")) + "\n";
  put(study.beside("again.csv"), again);
  ASSERT_EQ(study.call("take-in", {"visits", study.beside("again.csv").string()}).status, 0);
  ASSERT_EQ(study.call("run").status, 0);
  EXPECT_FALSE(says(name));
  EXPECT_EQ(study.call("forget", {"--household", name}).status, 3) << "nothing is left to forget";
}

// Three flats behind one door: one household asks to be forgotten, the others stay.
TEST(Forget, OneFlatOfAHouseOfThree) {
  const StudyFolder study("Flats");
  put(study.beside("points.csv"), "id,number,street,unit,place,postcode,lon,lat\nF1,700,Elm St,1,,,-30,40\nF2,700,Elm St,2,,,-30,40\nF3,700,Elm St,3,,,-30,40\nH4,702,Elm St,,,,-30.0005,40\n");
  put(study.beside("blocks.geojson"), R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"block_id":"990010001001001"},"geometry":{"type":"Polygon","coordinates":[[[-30.01,39.99],[-29.99,39.99],[-29.99,40.01],[-30.01,40.01],[-30.01,39.99]]]}}]})");
  ASSERT_EQ(study.call("take-in", {"blocks", study.beside("blocks.geojson").string()}).status, 0);
  ASSERT_EQ(study.call("take-in", {"premises", study.beside("points.csv").string()}).status, 0);
  const std::string head = "visit_id,date,address,look,why_here,door_result,dogs_seen,dogs_met,dog_name,household,notes\n";
  std::string log = head;
  for (const auto& [flat, dog, who] : {std::tuple("1", "Rexibald", "Quillfeather"), std::tuple("2", "Lunabelle", "Marrowby"), std::tuple("3", "Maximund", "Thistlewick")}) {
    log += fmt::format("V{0},2025-03-0{0},700 Elm St Apt {0},knock,planned,welcomed,1,1,{1},{2},met {1} at flat {0}\n", flat, dog, who);
  }
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("visits.csv"), log)}).status, 0);
  const Ran first = study.call("run");
  ASSERT_EQ(first.status, 0) << first.err;
  ASSERT_EQ(study.call("changed", {"--as-of", "2025-06-30"}).status, 0) << "a reported day keeps a copy";
  const auto says = [&](const std::string& words) {
    for (const auto& file : filesIn(study.path())) {
      if (lowerAscii(*readFile(file)).find(lowerAscii(words)) != std::string::npos) return true;
    }
    return false;
  };
  for (const char* word : {"Marrowby", "Lunabelle", "700 Elm St Apt 2", "Quillfeather", "Thistlewick"}) ASSERT_TRUE(says(word)) << word;
  const Ran done = study.call("forget", {"--premises", "F2", "--json"});
  ASSERT_EQ(done.status, 0) << done.err;
  EXPECT_EQ(nlohmann::json::parse(done.out)["looks"], 1);
  for (const char* word : {"Marrowby", "Lunabelle", "700 Elm St Apt 2", "at flat 2"}) EXPECT_FALSE(says(word)) << word;
  for (const char* word : {"Quillfeather", "Thistlewick", "Rexibald", "Maximund"}) EXPECT_TRUE(says(word)) << word;
  // The same rows again in another file stay out; a later visit to that flat is another household's, or a new beginning.
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("again.csv"), log + "\n")}).status, 0);
  EXPECT_FALSE(says("Marrowby"));
  ASSERT_EQ(study.call("take-in", {"visits", put(study.beside("later.csv"), head + "V9,2099-01-01,700 Elm St Apt 2,knock,planned,welcomed,1,1,Bella,Newcombe,\n"), "--anyway"}).status, 3) << "no day of the future";
  const Ran ran = study.call("run", {"--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
}

}  // namespace
}  // namespace leeward::test
