// `scan` as a person calls it, on bare files. Figures: the counties of North Carolina, R 4.2.2, from ../shared/checks/06_scan.json.
#include <gtest/gtest.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "shared/layer/layer.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/command.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using ScanWords = std::vector<std::string>;

nlohmann::json scanned(ScanWords words) {
  words.insert(words.begin(), "scan");
  words.emplace_back("--json");
  const Ran ran = leeward(words);
  EXPECT_EQ(ran.status, 0) << ran.err;
  return ran.status == 0 ? nlohmann::json::parse(ran.out) : nlohmann::json();
}

TEST(ScanJourney, CountiesByGreatCirclesAndByMiles) {
  LEEWARD_OUTSIDE_DATA(folder, "checks/data/nc_sids_spdata.csv");
  const ScanWords call = {folder.string(), "--events", "SID74", "--exposure", "BIR74", "--id", "name"};
  const auto with = [&](ScanWords more) {
    more.insert(more.begin(), call.begin(), call.end());
    return more;
  };
  const auto sphere = scanned(with({"--x", "lon", "--y", "lat", "--crs", "EPSG:4326"}));
  ASSERT_GE(sphere["rows"].size(), 5U);
  EXPECT_NEAR(sphere["rows"][0]["llr"].get<double>(), 15.4875841375415, 1e-8);
  EXPECT_NEAR(sphere["rows"][0]["radius"].get<double>(), 210887.26241889, 1e-3);
  EXPECT_EQ(sphere["rows"][1]["members"], "Anson");
  EXPECT_EQ(sphere["events"], 667);
  EXPECT_EQ(sphere["replicates"], 999);
  const auto miles = scanned(with({"--x", "x_miles", "--y", "y_miles", "--crs", "local", "--replicates", "99"}));
  EXPECT_EQ(miles["rows"][0]["centre"], "Pender");  // row 97
  EXPECT_EQ(miles["rows"][0]["areas"], 46);
  EXPECT_EQ(miles["rows"][0]["p"], 0.01);
  const Ran said = leeward([&] {
    auto words = with({"--x", "lon", "--y", "lat", "--crs", "EPSG:4326", "--replicates", "99", "--seed", "3"});
    words.insert(words.begin(), "scan");
    return words;
  }());
  EXPECT_NE(said.err.find("317 events where 246.5 were expected"), std::string::npos) << said.err;
  EXPECT_NE(said.err.find("only if the exposure counts the looks"), std::string::npos) << said.err;
}

/// A row of ten squares of 100 m with 50 doors each; five finds in the third and fourth, else one.
class ScanFiles : public testing::Test {
 protected:
  std::string file(const std::string& name) const { return (folder_.path() / name).string(); }
  std::string squares() const {
    Layer layer;
    layer.name = "squares";
    layer.crs = *Crs::parse("EPSG:32617");
    std::vector<std::string> ids;
    std::vector<std::int64_t> finds;
    for (int i = 0; i < 10; ++i) {
      const double x = 500000 + 100.0 * i, y = 4000000;
      layer.geometry.addArea(std::vector<Point>{{x, y}, {x + 100, y}, {x + 100, y + 100}, {x, y + 100}});
      ids.push_back(fmt::format("B{}", i + 1));
      finds.push_back(i == 2 || i == 3 ? 8 : 1);
    }
    layer.table.add(Column::text("block", ids));
    layer.table.add(Column::integers("finds", finds));
    layer.table.add(Column::integers("doors", std::vector<std::int64_t>(10, 50)));
    Progress quiet;
    EXPECT_OK(writeLayer(layer, file("squares.gpkg"), quiet));
    return file("squares.gpkg");
  }
  static void expectScanProblem(ScanWords words, int status, const std::string& said) {
    words.insert(words.begin(), "scan");
    const Ran ran = leeward(words);
    EXPECT_EQ(ran.status, status) << ran.err;
    EXPECT_NE(ran.err.find(said), std::string::npos) << ran.err;
  }

 private:
  TemporaryFolder folder_;
};

TEST_F(ScanFiles, AreasBecomeOneAreaACluster) {
  const std::string out = file("clusters.gpkg");
  const Ran ran = leeward({"scan", squares(), "--events", "finds", "--exposure", "doors", "--id", "block", "--model", "bernoulli", "-o", out});
  ASSERT_EQ(ran.status, 0) << ran.err;
  Progress quiet;
  const auto layer = readLayer({.source = out}, quiet);
  ASSERT_OK(layer);
  const auto names = layer->table.names();
  EXPECT_EQ((std::vector<std::string>(names.begin(), names.begin() + 10)),
            (std::vector<std::string>{"rank", "centre", "radius", "members", "observed", "expected", "relative_risk", "llr", "p", "p_gumbel"}));
  // Both neighbours of a square are as far from it, so that no window holds the two alone.
  EXPECT_EQ(layer->table.find("members")->asText(0), "B2;B3;B4");
  EXPECT_NEAR(*layer->table.find("radius")->asReal(0), 100, 1e-6);
  const Bbox box = layer->geometry.bbox(0);
  EXPECT_NEAR(box.min_x, 500100, 1e-6);
  EXPECT_NEAR(box.max_x, 500400, 1e-6);
  EXPECT_LT(*layer->table.find("p")->asReal(0), 0.02);
}

TEST_F(ScanFiles, ARunOfMonthsIsFoundInRowsOfAreasAndDays) {
  std::string text = "block,x,y,day,finds,doors\n";
  for (int block = 0; block < 6; ++block) {
    for (int month = 1; month <= 8; ++month) {
      for (const int day : {3, 20}) text += fmt::format("B{},{},0,2024-{:02}-{:02},{},20\n", block + 1, 100 * block, month, day, block == 1 && (month == 4 || month == 5) ? 5 : 1);
    }
  }
  const std::string table = put(file("days.csv"), text + "B7,900,0,2024-03-01,2,0\nB7,900,0,,2,5\n");
  const ScanWords call = {table, "--x", "x", "--y", "y", "--crs", "local", "--events", "finds", "--exposure", "doors", "--id", "block", "--when", "day", "--every", "month"};
  auto back = call;
  back.insert(back.end(), {"--time", "retrospective"});
  const auto told = scanned(back);
  EXPECT_EQ(told["rows"][0]["members"], "B2");
  EXPECT_EQ(told["rows"][0]["from"], "2024-04");
  EXPECT_EQ(told["rows"][0]["to"], "2024-05");
  EXPECT_EQ(told["rows"][0]["observed"], 20);
  EXPECT_EQ(told["refused"], 2);
  auto now = call;
  now.insert(now.end(), {"--time", "prospective"});
  for (const auto& row : scanned(now)["rows"]) EXPECT_EQ(row["to"], "2024-08");
  expectScanProblem(call, 2, "--time retrospective");
}

TEST_F(ScanFiles, WhatCannotBeMeantIsSaid) {
  const auto at = [&](const std::string& rows, ScanWords more = {}) {
    ScanWords words = {put(file("some.csv"), "x,y,finds,doors\n" + rows), "--x", "x", "--y", "y", "--crs", "local", "--events", "finds", "--exposure", "doors"};
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  expectScanProblem(at("0,0,1,5\n1,0,-1,5\n"), 3, "below 0");
  expectScanProblem(at("0,0,1,5\n1,0,0.5,5\n"), 3, "no whole number");
  expectScanProblem(at("0,0,0,0\n1,0,0,0\n"), 3, "nothing was exposed");
  expectScanProblem(at("0,0,7,5\n1,0,1,5\n", {"--model", "bernoulli"}), 3, "more events than units");
  expectScanProblem(at("0,0,1,5\n", {"--largest", "0"}), 2, "--largest");
  const Ran none = leeward([&] {
    auto words = at("0,0,0,5\n1,0,0,5\n,,1,5\n2,0,,5\n");
    words.insert(words.begin(), "scan");
    return words;
  }());
  EXPECT_EQ(none.status, 0) << none.err;
  EXPECT_NE(none.err.find("no events"), std::string::npos) << none.err;
  EXPECT_NE(none.err.find("no place"), std::string::npos) << none.err;
}

}  // namespace
}  // namespace leeward::test
