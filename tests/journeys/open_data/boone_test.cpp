// Block groups with margins of error, wholly through the command. Data: US Census Bureau, ACS B19013 for Boone County, Missouri, as packaged in
// stcos 0.3.1. Counts of missing and uncertain estimates: SQL on the same file, and its README.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

bool says(const nlohmann::json& told, const std::string& words) {
  return std::ranges::any_of(told["remarks"], [&](const auto& remark) { return remark.template get<std::string>().find(words) != std::string::npos; });
}

nlohmann::json takenIn(const StudyFolder& study, const std::string& kind, const std::string& file) {
  const Ran ran = study.call("take-in", {kind, file, "--json"});
  EXPECT_EQ(ran.status, 0) << file << ": " << ran.err;
  return ran.status == 0 ? nlohmann::json::parse(ran.out) : nlohmann::json{};
}

TEST(BooneTest, AllVintagesAndTheLayerWithoutACodeGoIn) {
  LEEWARD_OUTSIDE_DATA(file, "data/boone/boone_acs.gpkg");
  const StudyFolder study("Boone");
  struct Vintage {
    const char* year;
    int rows, missing, uncertain;
  };
  for (const Vintage& v : {Vintage{"2013", 87, 2, 2}, {"2014", 87, 2, 6}, {"2015", 85, 2, 3}, {"2016", 87, 2, 2}, {"2017", 87, 4, 6}}) {
    const auto told = takenIn(study, "census", file.string() + "#acs5_" + v.year);
    ASSERT_FALSE(told.empty());
    EXPECT_EQ(told["read"], v.rows);
    EXPECT_EQ(told["refused"], 0);
    EXPECT_TRUE(says(told, "DirectEst: " + std::to_string(v.uncertain) + " of " + std::to_string(v.rows - v.missing) + " estimates are very uncertain")) << told["remarks"].dump();
    EXPECT_TRUE(says(told, std::string("of ") + v.year));
  }
  const auto parts = takenIn(study, "jurisdictions", file.string() + "#columbia_neighbs");
  ASSERT_FALSE(parts.empty());
  EXPECT_EQ(parts["kept"], 4);
}

/// Fills a study with Boone's block groups of 2017, the table of that vintage, and one indicator.
void fillWithBoone(const StudyFolder& study, const std::string& file) {
  takenIn(study, "blocks", file + "#acs5_2017");
  takenIn(study, "census", file + "#acs5_2017");
  takenIn(study, "jurisdictions", file + "#columbia_neighbs");
  auto settings = readFile(study.path() / "study.toml");
  EXPECT_OK(settings);
  const std::string heading = "[need] ";
  settings->insert(settings->find('\n', settings->find(heading)) + 1, "indicators = [{ column = \"DirectEst\", direction = \"less\" }]\n");
  put(study.path() / "study.toml", *settings);
}

void setYear(const StudyFolder& study, const std::string& from, const std::string& to) {
  auto settings = readFile(study.path() / "study.toml");
  ASSERT_OK(settings);
  const auto at = settings->find("year = '" + from + "'", settings->find("[census]"));
  ASSERT_NE(at, std::string::npos);
  settings->replace(at + 8, from.size(), to);
  put(study.path() / "study.toml", *settings);
}

TEST(BooneTest, AJoinIsReportedOnBothSidesAndRefusedAcrossCensuses) {
  LEEWARD_OUTSIDE_DATA(file, "data/boone/boone_acs.gpkg");
  const StudyFolder study("Boone");
  fillWithBoone(study, file.string());
  const Ran whole = study.call("next", {"--json"});
  ASSERT_EQ(whole.status, 0) << whole.err;

  // A plain table of two rows, one of them foreign: 86 of the 87 block groups and one row find no partner.
  const auto table = put(study.beside("acs5_2017.csv"), "GEOID,DirectEst,DirectMOE\n290190005001,10995,5563\n250173525001,52000,9000\n");
  ASSERT_EQ(study.call("take-in", {"census", table}).status, 0);
  const Ran ran = leeward({"run", study.text()});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE((ran.out + ran.err).find("86 of 87 blocks found no row in the census table"), std::string::npos) << ran.out << ran.err;
  EXPECT_NE((ran.out + ran.err).find("1 of 2 rows of the census table belong to no block (250173525001)"), std::string::npos);

  setYear(study, "2017", "2022");
  const Ran across = study.call("run");
  EXPECT_EQ(across.status, 3);
  EXPECT_NE(across.err.find("of the census of 2010"), std::string::npos) << across.err;
  EXPECT_NE(across.err.find("2020"), std::string::npos);
  EXPECT_NE(across.err.find("take-in DIR areas"), std::string::npos);

  // With the table's own areas the blocks are joined by place.
  ASSERT_EQ(study.call("take-in", {"areas", file.string() + "#acs5_2016", "--year", "2022"}).status, 0);
  const Ran by_place = leeward({"run", study.text()});
  EXPECT_EQ(by_place.status, 0) << by_place.err;
  EXPECT_NE((by_place.out + by_place.err).find("joined by place"), std::string::npos);
}

TEST(BooneTest, ATableOfAnotherPlaceIsRefused) {
  LEEWARD_OUTSIDE_DATA(file, "data/boone/boone_acs.gpkg");
  const StudyFolder study("Boone");
  fillWithBoone(study, file.string());
  const auto table = put(study.beside("acs5_2017.csv"), "GEOID,DirectEst,DirectMOE\n250173525001,52000,9000\n");
  ASSERT_EQ(study.call("take-in", {"census", table}).status, 0);
  const Ran ran = study.call("run");
  EXPECT_EQ(ran.status, 3);
  EXPECT_NE(ran.err.find("no block found its row"), std::string::npos) << ran.err;
}

}  // namespace
}  // namespace leeward::test
