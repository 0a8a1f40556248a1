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
  // Neither the stamp nor ids, paths or hashes of the ledger.
  const std::string bytes = allBytes(study.beside("out1"));
  for (const std::string& word : {std::string("Holds client data"), study.text(), std::string("ledger"), std::string("visits.csv"), std::string("address_points.csv")}) EXPECT_THAT(bytes, Not(HasSubstr(word)));
  // The lead's report lies with the team, stamped and private.
  const fs::path report = said["report"].get<std::string>();
  EXPECT_TRUE(isPrivate(report));
  EXPECT_THAT(*readFile(report), testing::StartsWith("Holds client data"));

  // The same study gives the same bytes; a later day leaves what was told as it was.
  ASSERT_EQ(study.call("hand-over", {"-o", study.beside("out2").string()}).status, 0);
  EXPECT_EQ(bytes, allBytes(study.beside("out2")));
  EXPECT_EQ(study.call("hand-over", {"-o", study.beside("out2").string()}).status, 3) << "the folder is taken";
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

}  // namespace
}  // namespace leeward::test
