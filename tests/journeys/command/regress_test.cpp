// `regress` as a person calls it. Figures: R 4.2.2 (glm; MASS 7.3.58.2: glm.nb), ../shared/checks/08_glm.json.
#include <cmath>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using Words = std::vector<std::string>;
using Object = nlohmann::json;

class Regress : public testing::Test {
 protected:
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  std::string write(const std::string& name, const std::string& text) const { return put(file(name), text); }
  static Object told(Words words) {
    words.emplace_back("--json");
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, 0) << ran.err;
    return Object::parse(ran.out, nullptr, false);
  }
  static void expectProblem(const Words& words, int status, const std::vector<const char*>& said) {
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, status) << ran.err;
    EXPECT_EQ(ran.out, "");
    for (const char* one : said) EXPECT_NE(ran.err.find(one), std::string::npos) << "\"" << one << "\" is not in: " << ran.err;
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(Regress, CountiesOfNorthCarolina) {
  LEEWARD_OUTSIDE_DATA(table, "checks/data/nc_glm.csv");
  const Words call = {"regress", table.string(), "--events", "SID74", "--exposure", "BIR74", "--on", "nonwhite_per_1000", "--level", "0.95"};
  const Object poisson = told(call);
  EXPECT_EQ(poisson["rows"][1]["term"], "nonwhite_per_1000");
  EXPECT_NEAR(poisson["rows"][0]["coefficient"].get<double>(), -6.8502146841605, 1e-7 * 6.9);
  EXPECT_NEAR(poisson["rows"][1]["coefficient"].get<double>(), 0.0018684980516961, 1e-7 * 0.0019);
  EXPECT_NEAR(poisson["rows"][1]["standard_error"].get<double>(), 0.000217204661742975, 1e-6 * 0.00022);
  EXPECT_NEAR(poisson["deviance"].get<double>(), 132.212266572119, 1e-8 * 132);
  EXPECT_TRUE(poisson["theta"].is_null());
  Words spread = call;
  spread.insert(spread.end(), {"--kind", "negative-binomial"});
  const Object binomial = told(spread);
  EXPECT_NEAR(binomial["theta"].get<double>(), 17.7233561748662, 1e-4 * 17.7);
  EXPECT_NEAR(binomial["theta_se"].get<double>(), 8.58199514859934, 1e-4 * 8.6);
  EXPECT_NEAR(binomial["terms"][1]["coefficient"].get<double>(), 0.00187722547052005, 1e-6 * 0.0019);
  EXPECT_NEAR(binomial["aic"].get<double>(), 434.994013616221, 1e-6 * 435);
  const Ran ran = leeward(call);
  for (const char* one : {"100 rows", "1.4 times as much as Poisson's", "need not cause it", "95 %"}) EXPECT_NE(ran.err.find(one), std::string::npos) << ran.err;
}

TEST_F(Regress, WordsAreComparedWithTheFirstOfThem) {
  LEEWARD_OUTSIDE_DATA(table, "checks/data/quine.csv");
  const Object found = told({"regress", table.string(), "--events", "Days", "--on", "Sex, Age,Eth,Lrn", "--kind", "negative-binomial"});
  const std::vector<std::pair<std::string, double>> wanted = {{"(Intercept)", 2.8945799902471}, {"Sex=M", 0.0823202841478292}, {"Age=F1", -0.448428149878188}, {"Age=F2", 0.0880801521144686},
                                                              {"Age=F3", 0.356900971431694}, {"Eth=N", -0.56937169735751}, {"Lrn=SL", 0.292109157035047}};
  ASSERT_EQ(found["terms"].size(), wanted.size());
  for (std::size_t j = 0; j < wanted.size(); ++j) {
    EXPECT_EQ(found["terms"][j]["term"], wanted[j].first);
    EXPECT_NEAR(found["terms"][j]["coefficient"].get<double>(), wanted[j].second, 1e-6);
  }
  EXPECT_NEAR(found["theta"].get<double>(), 1.27489264505354, 1e-4);
}

TEST_F(Regress, WhatIsLeftOverIsLookedAtAmongNeighbours) {
  LEEWARD_OUTSIDE_DATA(counties, "checks/data/nc_counties_nad27.geojson");
  const Words call = {"regress", counties.string(), "--events", "SID74", "--exposure", "BIR74", "--on", "NWBIR74", "--neighbours", "queen"};
  const Object found = told(call);
  EXPECT_TRUE(found["residual_moran"]["i"].is_number());
  EXPECT_EQ(found["residual_moran"]["areas"], 100);
  Words rows = call;
  rows.insert(rows.end(), {"--rows", "--quiet"});
  const Table table = csvOfText(leeward(rows).out);
  ASSERT_EQ(table.rows(), 100U);
  double expected = 0, leverage = 0, events = 0;
  for (std::size_t row = 0; row < 100; ++row) expected += number(table, "expected", row), leverage += number(table, "leverage", row), events += number(table, "SID74", row);
  EXPECT_NEAR(expected, events, 1e-6) << "with a constant, what is expected adds up to what was";
  EXPECT_NEAR(leverage, 2, 1e-8);
}

/// Doors with a fence and without, by hand: 3 of 30 against 10 of 20, a ratio of 0.2.
TEST_F(Regress, ATableOfTwoGroupsIsTheRatioOfTheirRates) {
  const std::string table = write("doors.csv", "finds,doors,fence\n4,10,no\n6,10,no\n1,20,yes\n2,10,yes\n,10,yes\n1,5,\n0,0,no\n");
  const Words call = {"regress", table, "--events", "finds", "--exposure", "doors", "--on", "fence"};
  const Object found = told(call);
  EXPECT_EQ(found["refused"], 2);
  EXPECT_EQ(found["rows_used"], 4);
  EXPECT_EQ(found["terms"][1]["term"], "fence=yes");
  EXPECT_NEAR(found["terms"][1]["rate_ratio"].get<double>(), 0.2, 1e-9);
  // 1.6448536 = the normal's 95 % point (printed tables)
  EXPECT_NEAR(found["terms"][1]["ratio_high"].get<double>(), 0.2 * std::exp(1.6448536 * std::sqrt(1.0 / 3 + 1.0 / 10)), 1e-6);
  const Ran ran = leeward(call);
  for (const char* one : {"Where fence=yes the rate differs by -80 %", "1 of 7 rows have no exposure", "90 %"}) EXPECT_NE(ran.err.find(one), std::string::npos) << ran.err;
  Words strict = call;
  strict.insert(strict.end(), {"--strict", "--quiet"});
  EXPECT_EQ(leeward(strict).status, 3);
  EXPECT_TRUE(leeward({"regress", table, "--events", "finds", "--exposure", "doors", "--on", "fence", "--quiet", "--threads", "1"}).out ==
              leeward({"regress", table, "--events", "finds", "--exposure", "doors", "--on", "fence", "--quiet", "--threads", "2"}).out);
}

TEST_F(Regress, WhatCantBeFittedSaysWhichColumnOrLine) {
  const std::string table = write("t.csv", "finds,doors,a,b,same,word,gate,neg,half\n3,10,1,2,7,x,0,1,1\n5,10,2,4,7,x,0,2,2.5\n0,10,3,6,7,y,1,-2,3\n4,10,5,10,7,x,0,4,4\n2,10,4,8,7,x,0,5,5\n0,10,2,4,7,y,1,6,6\n");
  const auto call = [&](const std::string& events, const std::string& on, const Words& more = {}) {
    Words words = {"regress", table, "--events", events, "--exposure", "doors", "--on", on};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  expectProblem(call("finds", "a,b"), 3, {"\"b\" follows from \"a\""});
  expectProblem(call("finds", "a,same"), 3, {"\"same\" has one value"});
  expectProblem(call("finds", "a,gate"), 3, {"\"gate\" has no end"});
  expectProblem(call("finds", "a,word"), 3, {"\"word=y\" has no end"});
  expectProblem(call("finds", "a,a"), 2, {"stands twice"});
  expectProblem(call("finds", "finds"), 2, {"can't explain itself"});
  expectProblem(call("finds", ""), 2, {"--on"});
  expectProblem(call("finds", "depth"), 3, {"no column \"depth\""});
  expectProblem(call("neg", "a"), 3, {"-2 is no count", "line 4"});
  expectProblem(call("half", "a"), 3, {"2.5 is no count", "line 3"});
  expectProblem(call("finds", "a", {"--neighbours", "queen"}), 3, {"no areas"});
  expectProblem(call("finds", "a", {"--neighbours", "bishop"}), 2, {"bishop"});
  expectProblem(call("finds", "a", {"--kind", "normal"}), 2, {"--kind"});
  expectProblem({"regress", write("none.csv", "finds,a\n0,1\n0,2\n0,3\n"), "--events", "finds", "--on", "a"}, 3, {"no event"});
  expectProblem({"regress", write("few.csv", "finds,a,b\n1,1,5\n2,2,1\n3,3,2\n"), "--events", "finds", "--on", "a,b"}, 3, {"too few for 2 columns"});
  expectProblem({"regress", write("mixed.csv", "finds,a\n1,1\n2,two\n3,3\n4,1\n"), "--events", "finds", "--on", "a"}, 3, {"\"two\" is not a number", "line 3"});
}

}  // namespace
}  // namespace leeward::test
