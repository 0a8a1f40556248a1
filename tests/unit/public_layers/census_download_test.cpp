// Census tables and areas as people download them. What special values mean: the Census Bureau's "Notes on ACS Estimate and Annotation
// Values" (as quoted in the README of uva-bi-sdad/sdc.broadband.acs; the signs also on census.gov, ACS data notes).
#include "importers/public_layer.h"
#include "importers/vintage.h"
#include "tests/support/data.h"
#include "tests/unit/importers/files.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::refusedAt;
using test::remarks;

class CensusDownloadTest : public ::testing::Test {
 protected:
  Result<PublicLayer> take(Kind kind, const std::string& name, const std::string& content) {
    Progress progress;
    return importPublic(kind, {.source = folder_.file(name, content)}, {}, progress);
  }
  static std::string cell(const PublicLayer& layer, const std::string& column, std::size_t row) { return layer.layer.table.find(column)->asText(row); }
  /// The one id of a census table of this heading and code.
  std::string idOf(const std::string& heading, const std::string& code) {
    const auto census = take(Kind::Census, "one.csv", heading + ",estimate\n" + code + ",5\n");
    EXPECT_OK(census);
    return census ? cell(*census, "id", 0) : "";
  }
  Folder folder_;
};

// Levels by length: state 2, county 5, tract 11, block group 12, block 15 (Census Bureau, "Understanding Geographic Identifiers", from memory).
TEST_F(CensusDownloadTest, LostZerosComeBackByTheLevelsLength) {
  EXPECT_EQ(idOf("GEOID", "1"), "01");
  EXPECT_EQ(idOf("GEOID", "1001"), "01001");
  EXPECT_EQ(idOf("FIPS", "1001"), "01001");
  EXPECT_EQ(idOf("GEOID", "1001020100"), "01001020100");
  EXPECT_EQ(idOf("STFID", "10010201001000"), "010010201001000");
  EXPECT_EQ(idOf("GEOID", "250173525001"), "250173525001");
  EXPECT_EQ(idOf("GEOID", "25017352500"), "25017352500") << "eleven digits of a state that there is: a tract";
  EXPECT_EQ(idOf("GEOID", "30010201001"), "30010201001") << "Montana's number is 30";
  EXPECT_EQ(idOf("GEOID", "60010201001"), "60010201001") << "American Samoa's is 60";
  EXPECT_EQ(idOf("GEOID", "90010201001"), "090010201001") << "no state has 90: block group of Connecticut, 09";
  EXPECT_EQ(idOf("geography", "7"), "7") << "a number of somebody's own";
}

TEST_F(CensusDownloadTest, ElevenDigitsAreBlockGroupsWhereNamesSaySo) {
  const auto groups = take(Kind::Census, "c.csv", "GEOID,NAME,B01003_001E\n10010201001,\"Block Group 1, Census Tract 201, Autauga County, Alabama\",5\n");
  ASSERT_OK(groups);
  EXPECT_EQ(cell(*groups, "id", 0), "010010201001");
}

TEST_F(CensusDownloadTest, PrefixesOfBothKindsAreCut) {
  EXPECT_EQ(idOf("GEO_ID", "1500000US010010201001"), "010010201001");
  EXPECT_EQ(idOf("GEO.id", "15000US010010201001"), "010010201001") << "as files of before 2013 write it";
  EXPECT_EQ(idOf("AFFGEOID", "1400000US25017352500"), "25017352500");
  EXPECT_EQ(idOf("geoid20", "250173525001000"), "250173525001000");
}

TEST_F(CensusDownloadTest, SpecialNumbersAreMissingByMeaningAndControlledMarginsAreZero) {
  const auto census = take(Kind::Census, "ACSDT5Y2022.B19013-Data.csv",
                           "GEO_ID,NAME,B19013_001E,B19013_001M\nGeography,Geographic Area Name,Estimate!!Median household income,Margin of Error!!Median household income\n"
                           "1500000US010010201001,A,52000,9000\n1500000US010010201002,B,-666666666,-222222222\n1500000US010010201003,C,250001,-333333333\n"
                           "1500000US010010202001,D,41000,-555555555\n1500000US010010202002,E,-888888888,-888888888\n1500000US010010202003,F,-999999999,-999999999\n"
                           "1500000US010010202004,G,\"2,500-\",***\n1500000US010010202005,H,\"250,000+\",***\n1500000US010010202006,I,-,**\n1500000US010010202007,J,N,N\n"
                           "1500000US010010202008,K,(X),(X)\n1500000US010010202009,L,30000,*****\n");
  ASSERT_OK(census);
  ASSERT_EQ(census->layer.rows(), 12U);
  EXPECT_EQ(census->report.read, 12U) << "the row of labels is none";
  EXPECT_TRUE(census->report.refused.empty());
  const Column& estimate = *census->layer.table.find("B19013_001E");
  const Column& margin = *census->layer.table.find("B19013_001E_moe");
  for (const std::size_t row : {1U, 2U, 4U, 5U, 6U, 7U, 8U, 9U, 10U}) {
    EXPECT_TRUE(estimate.isMissing(row)) << row;
    EXPECT_TRUE(margin.isMissing(row)) << row;
  }
  EXPECT_EQ(estimate.asReal(3), 41000) << "controlled: the estimate stands";
  EXPECT_EQ(margin.asReal(3), 0);
  EXPECT_EQ(margin.asReal(11), 0);
  EXPECT_TRUE(remarks(census->report, "B19013_001E: 3 values are missing (the median lies in an open-ended interval)")) << "250,001 is a limit, its margin says so";
  EXPECT_TRUE(remarks(census->report, "2 values are zero (the estimate is controlled"));
  EXPECT_TRUE(remarks(census->report, "2 values are missing (no estimate: too few sample cases)"));
  EXPECT_TRUE(remarks(census->report, "2 values are missing (too few cases to show it)"));
  EXPECT_EQ(census->meanings.at("B19013_001E"), "Estimate!!Median household income");
  EXPECT_EQ(census->year, "2022");
}

TEST_F(CensusDownloadTest, LabelsAloneOrLabelsUnderCodesMakeThePairs) {
  const auto labels = take(Kind::Census, "c.csv", "Geography,Estimate!!Total:,Margin of Error!!Total:\n1500000US010010201001,\"1,120\",±85\n");
  ASSERT_OK(labels);
  EXPECT_EQ(cell(*labels, "Estimate!!Total:", 0), "1120");
  EXPECT_EQ(cell(*labels, "Estimate!!Total:_moe", 0), "85");
  const auto old = take(Kind::Census, "ACS_12_5YR_B19013_with_ann.csv",
                        "GEO.id,GEO.id2,GEO.display-label,HD01_VD01,HD02_VD01\nId,Id2,Geography,Estimate; Median household income,Margin of Error; Median household income\n"
                        "1500000US010010201001,10010201001,A,52000,9000\n");
  ASSERT_OK(old);
  EXPECT_EQ(old->layer.table.names(), (std::vector<std::string>{"id", "name", "HD01_VD01", "HD01_VD01_moe"}));
  EXPECT_EQ(old->meanings.at("HD01_VD01"), "Estimate; Median household income");
}

TEST_F(CensusDownloadTest, UncertainEstimatesAreCounted) {
  // 9000 / 1.645 / 10000 = 0.55, 9000 / 1.645 / 52000 = 0.11.
  const auto census = take(Kind::Census, "c.csv", "GEO_ID,B19013_001E,B19013_001M\n1500000US010010201001,52000,9000\n1500000US010010201002,10000,9000\n");
  ASSERT_OK(census);
  EXPECT_TRUE(remarks(census->report, "1 of 2 estimates are very uncertain"));
}

TEST_F(CensusDownloadTest, VintagesComeFromHeadingsThenFromNames) {
  const auto in = [](const std::vector<std::string>& headings, const char* layer, const char* file) {
    Table table;
    for (const auto& heading : headings) table.add(Column(heading, Column::Kind::Text));
    return vintageIn(table, layer, file);
  };
  EXPECT_EQ(in({"GEOID20", "POP20"}, "blocks", "blocks.gpkg"), "2020");
  EXPECT_EQ(in({"GEOID10"}, "", "tl_2021_25_tabblock10.shp"), "2010") << "a file of 2021 with areas of 2010";
  EXPECT_EQ(in({"GEOID20"}, "", "tl_2023_25_tabblock20.shp"), "2023");
  EXPECT_EQ(in({"GEOID"}, "acs5_2017", "boone_acs.gpkg"), "2017");
  EXPECT_EQ(in({"GEO_ID"}, "", "ACSDT5Y2022.B19013-Data.csv"), "2022");
  EXPECT_EQ(in({"GEOID"}, "", "acs_2015_2019.csv"), "2019");
  EXPECT_EQ(in({"STFID"}, "", "DEMOGRAPHICS_Blocks2000.geojson"), "2000");
  EXPECT_EQ(in({"GEOID", "POP100"}, "", "blocks.csv"), "");
  // Areas change with the census year: five-year tables of 2010 to 2019 are for the areas of 2010 (from memory).
  EXPECT_EQ(censusOf("2019"), 2010);
  EXPECT_EQ(censusOf("2015-2019"), 2010);
  EXPECT_EQ(censusOf("2020"), 2020);
  EXPECT_EQ(censusOf("2000"), 2000);
  EXPECT_FALSE(censusOf("").has_value());
  EXPECT_FALSE(censusOf("last spring").has_value());
}

}  // namespace
}  // namespace leeward::importers
