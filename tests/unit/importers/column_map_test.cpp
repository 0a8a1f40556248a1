#include "importers/column_map.h"

#include <gtest/gtest.h>

#include "tests/support/data.h"

namespace leeward::importers {
namespace {

Table tableOf(const std::vector<std::pair<std::string, std::vector<std::string>>>& columns) {
  Table table;
  for (const auto& [name, values] : columns) table.add(Column::text(name, values));
  return table;
}

Table log() {
  return tableOf({{"When", {"3/4/2025", "3/5/2025", "3/25/2025"}},
                  {"Street address", {"1402 Oak St", "9 Elm Ave", "77 Birch Ct"}},
                  {"# of dogs", {"1", "2", "0"}},
                  {"Result", {"welcomed", "not home", "declined"}},
                  {"Return date", {"4/4/2025", "", ""}},
                  {"Odd thing", {"a", "b", "c"}}});
}

TEST(ColumnMapTest, HeadingsAreComparedWithoutCaseMarksAndUnits) {
  std::string unit;
  EXPECT_EQ(normalHeading("Max temp (\xC2\xB0" "F)", &unit), "max temp");
  EXPECT_EQ(unit, "f");
  EXPECT_EQ(normalHeading("tmax_c", &unit), "tmax");
  EXPECT_EQ(unit, "c");
  EXPECT_EQ(normalHeading("StreetName"), "street name");
  EXPECT_EQ(normalHeading("House #"), "house number");
}

TEST(ColumnMapTest, ColumnsAreGuessedWithConfidenceAndSamples) {
  const ColumnMap map = guessColumns(Kind::Visits, log());
  ASSERT_NE(map.find("address"), nullptr);
  EXPECT_EQ(map.find("address")->heading, "Street address");
  EXPECT_GT(map.find("address")->confidence, 0.9);
  EXPECT_EQ(map.find("address")->samples.size(), 3U);
  EXPECT_EQ(map.find("date")->heading, "When");
  EXPECT_EQ(map.find("return_by")->heading, "Return date");
  EXPECT_EQ(map.find("dogs_seen")->heading, "# of dogs");
  EXPECT_EQ(map.find("door_result")->heading, "Result");
  EXPECT_EQ(map.unused, std::vector<std::string>{"Odd thing"});
  EXPECT_NE(map.describe().find("address <- Street address (0."), std::string::npos);
  EXPECT_NE(map.describe().find("1402 Oak St | 9 Elm Ave"), std::string::npos);
  EXPECT_NE(map.pairs().find("date=When\n"), std::string::npos);
}

TEST(ColumnMapTest, EachOwnTemplateHeadingServesItsField) {
  for (const Kind kind : {Kind::Visits, Kind::Sightings, Kind::Premises, Kind::Streets, Kind::Blocks, Kind::Census, Kind::Weather}) {
    Table table;
    std::vector<std::string> expected;
    for (const Field& field : fields(kind)) {
      if (field.type == FieldType::Setting) continue;
      table.add(Column::text(std::string(field.name), {}));
      expected.emplace_back(field.name);
    }
    const ColumnMap map = guessColumns(kind, table);
    ASSERT_EQ(map.picks.size(), expected.size()) << kindName(kind);
    for (const Pick& pick : map.picks) EXPECT_EQ(pick.field, pick.heading);
  }
}

TEST(ColumnMapTest, ContentsDecideBetweenLikeHeadings) {
  const Table table = tableOf({{"Date", {"1 Elm St", "2 Elm St", "3 Elm St"}}, {"Visit date", {"2025-01-02", "2025-01-03", "2025-01-04"}},
                               {"Street", {"1 Elm St", "2 Elm St", "3 Elm St"}}});
  const ColumnMap map = guessColumns(Kind::Visits, table);
  EXPECT_EQ(map.find("date")->heading, "Visit date");
  EXPECT_EQ(map.find("address")->heading, "Street");
}

TEST(ColumnMapTest, GuessesAreCorrectedByHand) {
  const Table table = log();
  const auto overrides = parseOverrides("notes=odd thing, date=\"When\"");
  ASSERT_OK(overrides);
  const auto map = withOverrides(guessColumns(Kind::Visits, table), *overrides, table);
  ASSERT_OK(map);
  EXPECT_EQ(map->find("notes")->heading, "Odd thing");
  EXPECT_EQ(map->find("notes")->confidence, 1.0);
  EXPECT_TRUE(map->unused.empty());
  const auto freed = withOverrides(*map, {{"household", "Street address"}, {"notes", ""}}, table);
  ASSERT_OK(freed);
  EXPECT_EQ(freed->find("address"), nullptr);
  EXPECT_EQ(freed->find("notes"), nullptr);
}

TEST(ColumnMapTest, WrongNamesInCorrectionsGetTheNearest) {
  const Table table = log();
  const ColumnMap map = guessColumns(Kind::Visits, table);
  const auto field = withOverrides(map, {{"adress", "When"}}, table);
  ASSERT_FALSE(field.ok());
  EXPECT_EQ(field.problem().code, ProblemCode::InvalidArgument);
  EXPECT_NE(field.problem().mend.find("address"), std::string::npos);
  const auto column = withOverrides(map, {{"address", "Street adress"}}, table);
  ASSERT_FALSE(column.ok());
  EXPECT_NE(column.problem().mend.find("Street address"), std::string::npos);
  const auto twice = withOverrides(map, {{"address", "When"}, {"date", "When"}}, table);
  ASSERT_FALSE(twice.ok());
  EXPECT_FALSE(parseOverrides("address").ok());
}

TEST(ColumnMapTest, AMissingColumnIsAProblemThatSaysHowToMendIt) {
  const Table table = tableOf({{"When", {"2025-01-02"}}, {"Who", {"north"}}});
  const auto map = mapColumns(Kind::Visits, table, {});
  ASSERT_FALSE(map.ok());
  EXPECT_EQ(map.problem().code, ProblemCode::BadData);
  EXPECT_NE(map.problem().what.find("When, Who"), std::string::npos) << map.problem().text();
  EXPECT_NE(map.problem().mend.find("--map address="), std::string::npos);
  const auto no_date = mapColumns(Kind::Visits, tableOf({{"Address", {"1 Elm St"}}}), {});
  ASSERT_FALSE(no_date.ok());
  EXPECT_NE(no_date.problem().mend.find("--map date="), std::string::npos);
}

}  // namespace
}  // namespace leeward::importers
