// `trend` and `lasting` as a person calls them, on bare files. Figures: R 4.2.2 (glm, survival 3.5.3), from ../shared/checks/09_trend_survival.json.
#include <gtest/gtest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/base/dates.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/command.h"

namespace leeward::test {
namespace {

using Told = nlohmann::json;

struct Written {
  TemporaryFolder folder;
  std::string file;

  explicit Written(const std::string& text) : file((folder.path() / "table.csv").string()) { put(file, text); }
};

/// The case poisson_trend, each year in two rows.
std::string yearsOfFinds() {
  const std::vector<int> counts = {31, 28, 35, 33, 40, 38, 46, 44, 51, 49}, people = {10100, 10150, 10220, 10300, 10410, 10500, 10620, 10750, 10810, 10900};
  std::string text = "day,finds,doors\n";
  for (std::size_t i = 0; i < counts.size(); ++i) {
    text += fmt::format("{0}-06-01,{1},{2}\n{0}-11-01T08:00,10,5000\n", 2010 + i, counts[i] - 10, people[i] - 5000);
  }
  return text;
}

/// Miller's subjects (case aml), from one first day.
std::string subjects() {
  const std::vector<std::pair<int, bool>> kept = {{9, true}, {13, true}, {13, false}, {18, true}, {23, true}, {28, false}, {31, true}, {34, true}, {45, false}, {48, true}, {161, false}};
  const std::vector<std::pair<int, bool>> other = {{5, true}, {5, true}, {8, true}, {8, true}, {12, true}, {16, false}, {23, true}, {27, true}, {30, true}, {33, true}, {43, true}, {45, true}};
  std::string text = "first,last,came,group\n";
  const auto add = [&](const auto& all, const char* group) {
    for (const auto& [days, came] : all) text += fmt::format("2024-01-01,{},{},{}\n", toIso(*makeDate(2024, 1, 1) + days), came ? "yes" : "no", group);
  };
  add(kept, "kept"), add(other, "other");
  return text;
}

TEST(TrendJourney, RowsOfAYearAreAddedUpAndTheirTrendIsThatOfR) {
  const Written table(yearsOfFinds());
  const Ran ran = leeward({"trend", table.file, "--when", "day", "--value", "finds", "--exposure", "doors", "--every", "year", "--level", "0.95", "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Told told = Told::parse(ran.out);
  ASSERT_EQ(told["rows"].size(), 10U);
  EXPECT_EQ(told["rows"][0]["period"], "2010");
  EXPECT_EQ(told["rows"][0]["value"], 31);
  EXPECT_EQ(told["rows"][0]["exposure"], 10100);
  const Told& poisson = told["trends"][0]["poisson"];
  EXPECT_NEAR(poisson["change"].get<double>(), 0.0549775882330634, 1e-8);
  EXPECT_NEAR(poisson["low"].get<double>(), 0.0190399302907394, 1e-8);
  EXPECT_NEAR(poisson["high"].get<double>(), 0.0921826305241156, 1e-8);
}

TEST(TrendJourney, APeriodWithoutRowsIsNoneOfCountsAndAGapOfRates) {
  const Written table("day,finds,doors\n2024-01-05,2,10\n2024-07-05,4,10\n");
  const auto rows = [&](std::vector<std::string> more) {
    std::vector<std::string> words = {"trend", table.file, "--when", "day", "--value", "finds", "--json"};
    words.insert(words.end(), more.begin(), more.end());
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 0) << ran.err;
    return Told::parse(ran.out)["rows"];
  };
  EXPECT_EQ(rows({})[1]["value"], 0);
  EXPECT_TRUE(rows({"--exposure", "doors"})[1]["value"].is_null());
}

TEST(TrendJourney, WrongCallsAndWrongRowsAreSaid) {
  const Written table("day,finds\n2024-01-05,2\nsoon,4\n2024-05-01,many\n");
  const Ran wrong_cell = leeward({"trend", table.file, "--when", "day", "--value", "finds"});
  EXPECT_EQ(wrong_cell.status, 3);
  EXPECT_NE(wrong_cell.err.find("line 4"), std::string::npos) << wrong_cell.err;
  const Written blanks("day,finds\n2024-01-05,2\nsoon,4\n2024-05-01,\n2024-06-01,1\n");
  const Ran refused = leeward({"trend", blanks.file, "--when", "day", "--value", "finds", "--strict"});
  EXPECT_EQ(refused.status, 3);
  EXPECT_NE(refused.err.find("no day"), std::string::npos) << refused.err;
  EXPECT_NE(refused.err.find("no number"), std::string::npos) << refused.err;
  const Ran season = leeward({"trend", blanks.file, "--when", "day", "--value", "finds", "--every", "year", "--season", "--json"});
  EXPECT_EQ(season.status, 2);
  EXPECT_EQ(Told::parse(season.out)["problem"]["where"], "--season");
}

TEST(LastingJourney, GroupsAreComparedAsRComparesThem) {
  const Written table(subjects());
  const Ran ran = leeward({"lasting", table.file, "--from", "first", "--to", "last", "--event", "came", "--by", "group", "--level", "0.95", "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Told told = Told::parse(ran.out);
  EXPECT_EQ(told["groups"][0]["median_days"], 31);
  EXPECT_EQ(told["groups"][1]["median_days"], 23);
  EXPECT_NEAR(told["log_rank"]["chisq"].get<double>(), 3.3963886989776, 1e-8);
  EXPECT_NEAR(told["log_rank"]["p"].get<double>(), 0.0653393220405051, 1e-8);
  ASSERT_EQ(told["rows"].size(), 16U);
  const Told& last = told["rows"][6];
  EXPECT_EQ(last["days"], 48);
  EXPECT_NEAR(last["without"].get<double>(), 0.184090909090909, 1e-9);
  EXPECT_NEAR(last["low"].get<double>(), 0.0117384801231896, 1e-9);
  EXPECT_NEAR(last["high"].get<double>(), 0.525014842726641, 1e-9);
  EXPECT_TRUE(told["rows"][15]["se"].is_null()) << "nobody is left";
}

TEST(LastingJourney, CompetingOutcomesAddUpAndBadRowsAreListed) {
  // By hand: ends at days 1 to 5 are a, b, none, a, b: a comes to one half, and so does b.
  const Written table("first,last,end\n2024-01-01,2024-01-02,a\n2024-01-01,2024-01-03,b\n2024-01-01,2024-01-04,\n2024-01-01,2024-01-05,a\n2024-01-01,2024-01-06,b\n2024-01-09,2024-01-06,b\n");
  const Ran ran = leeward({"lasting", table.file, "--from", "first", "--to", "last", "--event", "end", "--competing", "--json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  const Told told = Told::parse(ran.out);
  EXPECT_EQ(told["refused"], 1);
  EXPECT_NE(ran.err.find("the last day is before the first"), std::string::npos);
  ASSERT_EQ(told["rows"].size(), 4U);
  EXPECT_NEAR(told["rows"][1]["share"].get<double>(), 0.5, 1e-12);
  EXPECT_NEAR(told["rows"][3]["share"].get<double>(), 0.5, 1e-12);
}

}  // namespace
}  // namespace leeward::test
